/* What is wrong with a plan: where, in what words, and what would be right.
   The list is the caller's; nothing is allocated. */
#ifndef OWL_CORE_PLAN_COMPLAINTS_H
#define OWL_CORE_PLAN_COMPLAINTS_H

#include "core/text.h"

#define OWL_COMPLAINTS 40

struct owl_complaint {
    int line;   /* from 1; 0: the plan as a whole */
    int column; /* from 1, in characters */
    int width;  /* characters to underline */
    char words[240];
};

struct owl_complaints {
    struct owl_complaint list[OWL_COMPLAINTS];
    int count;
    int left_out; /* found after the list was full */
    char nowhere[1]; /* takes the words of those */
};

/* Room for a new complaint, a text to write its words into; words past its end are cut. When the
   list is full a text is given whose words go nowhere. */
struct owl_text owl_complain(struct owl_complaints *complaints, int line, int column, int width);

/* One complaint as people read it:
       marten.plan:12:12: the words
          12 | aperture = f/1.0
             |            ^^^^^
   plan is the text complained about (for the second and third line, left out for line 0). */
void owl_complaint_show(const struct owl_complaint *complaint, const char *file, const char *plan,
                        size_t length, struct owl_text *text);

/* In the order of the lines; those about the whole plan last. */
void owl_complaints_sort(struct owl_complaints *complaints);

/* How many letters must be changed, added, dropped or swapped with the next to turn one word into
   the other; words longer than 40 bytes count as wholly different. */
int owl_spelling_distance(const char *one, const char *other);

/* The candidate nearest in spelling, NULL when none is near enough to be meant. */
const char *owl_spelling_nearest(const char *word, const char *(*candidate)(const void *list, int place),
                                 const void *list);

/* Bounds of a line (from 1) of a text, without its line end; an empty range past the last. */
void owl_text_line(const char *text, size_t length, int line, const char **start, const char **end);

#endif
