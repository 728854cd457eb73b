/* Troubles put into words. */
#include "session/trouble.h"

#include <stdlib.h>

enum owl_status owl_trouble_say(struct owl_error *error, enum owl_status status, const char *name, const char *words)
{
    struct owl_text text = owl_text_over(error->words, sizeof error->words);
    owl_text_words(&text, name);
    owl_text_words(&text, ": ");
    owl_text_words(&text, words);
    return status;
}

void owl_trouble_show(const struct owl_trouble *trouble, enum owl_status status, struct owl_text *text)
{
    if (trouble->complaints)
        owl_text_words(text, trouble->complaints);
    if (*trouble->error.words)
        owl_text_words(text, trouble->error.words);
    else if (!trouble->complaints)
        owl_text_words(text, owl_status_words(status));
}

void owl_trouble_clear(struct owl_trouble *trouble)
{
    free(trouble->complaints);
    *trouble = (struct owl_trouble){0};
}
