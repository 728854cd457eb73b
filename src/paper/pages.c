/* Words for paper, gathered block by block. */
#include "paper/pages.h"

#include <string.h>

#include "paper/words.h"
#include "sheet/clean.h"

static void write_quantity(struct owl_pages *pages, const struct owl_quantity *quantity)
{
    char buffer[64];
    struct owl_text shown = owl_text_over(buffer, sizeof buffer);
    owl_unit_show(quantity->unit, quantity->value, &shown);
    owl_text_char(&pages->gathered, OWL_WORDS_BOLD);
    for (const char *c = buffer; *c; c++)
        owl_text_char(&pages->gathered, *c == ' ' ? OWL_WORDS_HARD_BLANK : *c);
    owl_text_char(&pages->gathered, pages->bold ? OWL_WORDS_BOLD : OWL_WORDS_PLAIN);
}

void owl_pages_say(struct owl_pages *pages, const char *words, const struct owl_quantity *quantity)
{
    for (; *words; words++) {
        if (*words == '%') {
            write_quantity(pages, quantity++);
        } else if (*words == '*') {
            pages->bold = !pages->bold;
            owl_text_char(&pages->gathered, pages->bold ? OWL_WORDS_BOLD : OWL_WORDS_PLAIN);
        } else {
            owl_text_char(&pages->gathered, *words);
        }
    }
}

void owl_pages_words(struct owl_pages *pages, const char *words)
{
    owl_pages_say(pages, words, NULL);
}

void owl_pages_name(struct owl_pages *pages, const char *words)
{
    owl_clean_words(&pages->gathered, words);
}

static void forget(struct owl_pages *pages)
{
    pages->gathered = owl_text_over(pages->words, sizeof pages->words);
    pages->bold = false;
}

void owl_pages_paragraph(struct owl_pages *pages)
{
    owl_leaf_paragraph(&pages->leaf, pages->words);
    forget(pages);
}

void owl_pages_note(struct owl_pages *pages)
{
    owl_leaf_note(&pages->leaf, pages->words);
    forget(pages);
}

void owl_pages_tick(struct owl_pages *pages)
{
    owl_leaf_tick(&pages->leaf, pages->words);
    forget(pages);
}

void owl_pages_setting(struct owl_pages *pages, const char *label)
{
    owl_leaf_setting(&pages->leaf, label, pages->words);
    forget(pages);
}

void owl_pages_tick_words(struct owl_pages *pages, const char *words)
{
    owl_pages_words(pages, words);
    owl_pages_tick(pages);
}

void owl_pages_setting_words(struct owl_pages *pages, const char *label, const char *words)
{
    owl_pages_words(pages, words);
    owl_pages_setting(pages, label);
}
