/* What the parts of the paper sheet share. Private to it. */
#ifndef OWL_PAPER_PAGES_H
#define OWL_PAPER_PAGES_H

#include "paper/leaf.h"
#include "sheet/field_parts.h"

#define OWL_PAGES_WORDS 2048

/* The words of one block are gathered in `sheet.html`, which is over `words`, and then set by one of owl_pages_tick and the
   like. The structure may not be moved. */
struct owl_pages {
    struct owl_sheet sheet;
    struct owl_leaf leaf;
    struct owl_text gathered;
    char words[OWL_PAGES_WORDS];
    bool bold; /* what is gathered ends so */
    char *svg; /* room for the largest drawing */
};

/* Adds words: each % becomes the next quantity, bold and not broken over a line; what stands between * is bold. */
void owl_pages_say(struct owl_pages *pages, const char *words, const struct owl_quantity *quantity);
#define OWL_TELL(pages, words, ...) owl_pages_say(pages, words, (const struct owl_quantity[]){__VA_ARGS__})
void owl_pages_words(struct owl_pages *pages, const char *words); /* none with a % */
void owl_pages_name(struct owl_pages *pages, const char *words);  /* of the user's own */

/* Sets what is gathered, and is empty again. */
void owl_pages_paragraph(struct owl_pages *pages);
void owl_pages_note(struct owl_pages *pages);
void owl_pages_tick(struct owl_pages *pages);
void owl_pages_setting(struct owl_pages *pages, const char *label);

/* Whole blocks of fixed words. */
void owl_pages_tick_words(struct owl_pages *pages, const char *words);
void owl_pages_setting_words(struct owl_pages *pages, const char *label, const char *words);

/* The parts, in their order. */
void owl_pages_packing(struct owl_pages *pages);
void owl_pages_warnings(struct owl_pages *pages);
void owl_pages_placing(struct owl_pages *pages);
void owl_pages_settings(struct owl_pages *pages);
void owl_pages_test(struct owl_pages *pages);
void owl_pages_leaving(struct owl_pages *pages);
void owl_pages_care(struct owl_pages *pages);
void owl_pages_sky(struct owl_pages *pages);

#endif
