/* Goes from folder to folder below a first one, by handles and without following links, and stays in the last one: files come
   in the order of their paths, so most need no step at all. */
#ifndef OWL_CARD_FOLDER_H
#define OWL_CARD_FOLDER_H

#include <stdbool.h>

#include "card/calls.h"

struct owl_folder {
    const struct owl_calls *calls;
    int root;       /* borrowed */
    int here;       /* root itself, or owned */
    char *path;     /* of here, NULL for root */
    bool unsettled; /* names made here are not known to be on the device yet */
};

struct owl_folder owl_folder_at(const struct owl_calls *calls, int root);

/* Enters the folder a path's file lies in and gives its handle, borrowed until the next call; name: the last part of the path.
   With `make`, folders missing are made. -1 and errno. */
int owl_folder_enter(struct owl_folder *folder, const char *path, bool make, const char **name);

/* Brings the names made here to the device: 0, or -1 and errno. */
int owl_folder_settle(struct owl_folder *folder);

void owl_folder_close(struct owl_folder *folder);

/* Opens a folder by its path from the working folder, making what is missing; never on the device and below the folder
   `forbidden`, an open handle: -1 and EXDEV then, before anything is made. Otherwise -1 and errno. */
int owl_folder_open_target(const char *path, int forbidden);

#endif
