/* A card brought home, and what the book keeps of that: its watch with the plan as it was used, the card in its folder. */
#ifndef OWL_SESSION_CARD_PULL_H
#define OWL_SESSION_CARD_PULL_H

#include "book/book.h"
#include "card/pull.h"
#include "session/plan_session.h"

/* Enters a watch of this name with its plan, so that what came can be held against it; or puts it right. */
enum owl_status owl_card_note_watch(struct owl_book *book, const char *name, const struct owl_session *plan,
                                    struct owl_error *error) OWL_MUST_USE;

/* Whether the book knows such a watch. */
enum owl_status owl_card_knows_watch(struct owl_book *book, const char *name, bool *known, struct owl_error *error) OWL_MUST_USE;

/* Enters the card that was brought home to `target` just now; watch: its name, NULL where not told. */
enum owl_status owl_card_note_pulled(struct owl_book *book, const char *target, const char *watch,
                                     struct owl_error *error) OWL_MUST_USE;

/* "12 of 13 files are home; 240 MB copied, read back and compared in 3 s". */
void owl_card_pull_tell(const struct owl_pull_report *report, struct owl_text *text);

#endif
