/* The things everybody can have, by what they do: a shelf text inside the program, read by the same reader as the user's. */
#ifndef OWL_SHELF_GENERIC_H
#define OWL_SHELF_GENERIC_H

#include "shelf/shelf.h"

/* The text, to be shown or copied to a file of one's own. */
const char *owl_shelf_generic_text(void);

/* Fills *shelf from it. Nothing of it is owned; prices in EUR, each thing with its origin. */
void owl_shelf_generic(struct owl_shelf *shelf);

#endif
