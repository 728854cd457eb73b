/* A judged frame as rows: what the camera noted, and the judge's verdict. For the book's own files. */
#ifndef OWL_BOOK_VERDICTS_H
#define OWL_BOOK_VERDICTS_H

#include "book/run.h"

/* Classes and flash states are kept as words, so that the book does not hang on the order of a list in the program. NULL and
   false for what is none. */
const char *owl_book_class_word(enum owl_judge_class class);
bool owl_book_class_of(const char *word, enum owl_judge_class *class);

/* The questions that enter the rows of frames, one each. */
struct owl_book_pen {
    struct owl_book_query frame, verdict, box;
};

struct owl_book_pen owl_book_pen_take(struct owl_book_run *run);
void owl_book_pen_write(struct owl_book_pen *pen, int64_t card, int number, const struct owl_judged_frame *frame);
void owl_book_pen_lay_down(struct owl_book_pen *pen);

/* Fills the `count` frames of a card, without boxes beyond theirs; what fails is noted, and names made until then are there. */
void owl_book_read_frames(struct owl_book_run *run, int64_t card, struct owl_judged_frame *frame, int count);

#endif
