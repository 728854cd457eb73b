/* Words on paper: set in bold and plain, and wrapped into lines. Lengths are in points, as PDF counts them.

   Words are UTF-8 with three marks among them. The caller's context is left with another font. */
#ifndef OWL_PAPER_WORDS_H
#define OWL_PAPER_WORDS_H

#include <cairo.h>
#include <stdbool.h>
#include <stddef.h>

#define OWL_WORDS_HARD_BLANK '\x01' /* a blank that does not break over a line */
#define OWL_WORDS_BOLD '\x02'
#define OWL_WORDS_PLAIN '\x03'

#define OWL_WORDS_LINE_HEIGHT 1.28 /* of the letters' size */
#define OWL_WORDS_BASELINE 0.98    /* below the line's top, the same */

/* Size, and whether the words begin bold. */
struct owl_words_setting {
    double size_pt;
    bool bold;
};

/* Whether there is any font to set words in: without one cairo draws letters of sticks and says nothing. */
bool owl_words_font_installed(void);

/* Sets words[0..length) with their baseline at at_pt, x and y, or only measures them when it is NULL; the setting goes past
   their marks. How wide they are. */
double owl_words_set(cairo_t *ink, struct owl_words_setting *setting, const char *words, size_t length, const double *at_pt);
double owl_words_width_pt(cairo_t *ink, struct owl_words_setting setting, const char *words, size_t length);

/* How many bytes make the next line: up to a blank, or of one word that is too wide what fits, at least a character. */
size_t owl_words_line(cairo_t *ink, struct owl_words_setting setting, const char *words, double width_pt);

/* Sets words over as many lines as they need in box, left, top and width, or only measures them; how high they are. */
double owl_words_lines(cairo_t *ink, struct owl_words_setting setting, const char *words, const double box[3], bool draw);

#endif
