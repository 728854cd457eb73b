/* What went wrong with a plan, or with a card and its plan: an error's line, and what the plan's reader complains of. */
#ifndef OWL_SESSION_TROUBLE_H
#define OWL_SESSION_TROUBLE_H

#include <stddef.h>

#include "card/error.h"
#include "core/status.h"
#include "core/text.h"

/* Begins as {0}; owl_trouble_clear gives its memory back. */
struct owl_trouble {
    struct owl_error error; /* words may be empty where the complaints tell all */
    char *complaints;       /* whole lines, to stand before the error; NULL: none */
};

/* Words behind a name: "name: words"; what does not fit is cut. Returns status. */
enum owl_status owl_trouble_say(struct owl_error *error, enum owl_status status, const char *name, const char *words);

/* Everything for people's eyes: complaints, then the error's words, or where both are empty the status's. */
void owl_trouble_show(const struct owl_trouble *trouble, enum owl_status status, struct owl_text *text);

void owl_trouble_clear(struct owl_trouble *trouble);

#endif
