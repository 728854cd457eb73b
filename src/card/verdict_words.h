/* A frame's verdict in words: its class, what else there is to say, and how it came about. */
#ifndef OWL_CARD_VERDICT_WORDS_H
#define OWL_CARD_VERDICT_WORDS_H

#include "card/judged.h"
#include "core/text.h"

/* "subject", "can't judge"; one or two words. */
const char *owl_verdict_class_words(enum owl_judge_class class);

/* The class of such words, capitals or not; false for words that are none. */
bool owl_verdict_class_of(const char *words, enum owl_judge_class *class);

/* "fired", "one missing". */
const char *owl_verdict_flash_words(enum owl_flash_state flash);

/* Whether its boxes are of anything: OWL_JUDGE_SUBJECT or OWL_JUDGE_LOOK. */
bool owl_verdict_shows(const struct owl_frame_verdict *verdict);

/* What went wrong, joined by commas; nothing where nothing did. */
void owl_verdict_remarks(const struct owl_frame_verdict *verdict, struct owl_text *text);

/* The working of one frame's verdict: each step with its numbers and what it was held against, one line each. */
void owl_verdict_working(const struct owl_judged *judged, int frame, struct owl_text *text);

#endif
