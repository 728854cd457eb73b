/* Words by cairo's plain text calls, measured and wrapped here. */
#include "paper/words.h"

#include <fontconfig/fontconfig.h>
#include <string.h>

#include "core/text.h"

#define BYTES_OF_LINE 512
#define FONT "sans-serif"

/* cairo would draw letters of its own, of sticks, and say nothing. */
bool owl_words_font_installed(void)
{
    FcResult result;
    FcPattern *wanted = FcNameParse((const FcChar8 *)FONT), *found;
    if (!wanted)
        return false;
    FcConfigSubstitute(NULL, wanted, FcMatchPattern);
    FcDefaultSubstitute(wanted);
    found = FcFontMatch(NULL, wanted, &result);
    FcPatternDestroy(wanted);
    if (!found)
        return false;
    FcChar8 *file;
    bool installed = FcPatternGetString(found, FC_FILE, 0, &file) == FcResultMatch;
    FcPatternDestroy(found);
    return installed;
}

static void choose_font(cairo_t *ink, double size_pt, bool bold)
{
    cairo_select_font_face(ink, FONT, CAIRO_FONT_SLANT_NORMAL, bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(ink, size_pt);
}

/* Sets one stretch without marks, at x, y when it is to be drawn; how wide it is. */
static double set_stretch(cairo_t *ink, const struct owl_words_setting *setting, const char *words, const double at_pt[2])
{
    cairo_text_extents_t extents;
    choose_font(ink, setting->size_pt, setting->bold);
    cairo_text_extents(ink, words, &extents);
    if (at_pt) {
        cairo_move_to(ink, at_pt[0], at_pt[1]);
        cairo_show_text(ink, words);
    }
    return extents.x_advance;
}

double owl_words_set(cairo_t *ink, struct owl_words_setting *setting, const char *words, size_t length, const double *at_pt)
{
    char buffer[BYTES_OF_LINE];
    double width_pt = 0.0;
    for (size_t i = 0; i < length;) {
        struct owl_text stretch = owl_text_over(buffer, sizeof buffer);
        while (i < length && words[i] != OWL_WORDS_BOLD && words[i] != OWL_WORDS_PLAIN) {
            owl_text_char(&stretch, words[i] == OWL_WORDS_HARD_BLANK ? ' ' : words[i]);
            i++;
        }
        if (stretch.length > 0)
            width_pt += set_stretch(ink, setting, buffer, at_pt ? (const double[]){at_pt[0] + width_pt, at_pt[1]} : NULL);
        if (i < length)
            setting->bold = words[i++] == OWL_WORDS_BOLD;
    }
    return width_pt;
}

double owl_words_width_pt(cairo_t *ink, struct owl_words_setting setting, const char *words, size_t length)
{
    return owl_words_set(ink, &setting, words, length, NULL);
}

/* The longest beginning of one word that fits, at least a character. */
static size_t broken_word(cairo_t *ink, struct owl_words_setting setting, const char *words, size_t length, double width_pt)
{
    size_t best = 0;
    for (size_t end = 1; end <= length; end++) {
        if (((unsigned char)words[end] & 0xC0u) == 0x80u)
            continue;
        if (best > 0 && owl_words_width_pt(ink, setting, words, end) > width_pt)
            break;
        best = end;
    }
    return best;
}

size_t owl_words_line(cairo_t *ink, struct owl_words_setting setting, const char *words, double width_pt)
{
    size_t best = 0;
    for (size_t end = 0; words[end];) {
        end += strspn(words + end, " ");
        end += strcspn(words + end, " ");
        if (end >= BYTES_OF_LINE || owl_words_width_pt(ink, setting, words, end) > width_pt)
            return best > 0 ? best : broken_word(ink, setting, words, end < BYTES_OF_LINE ? end : BYTES_OF_LINE - 1, width_pt);
        best = end;
    }
    return best;
}

double owl_words_lines(cairo_t *ink, struct owl_words_setting setting, const char *words, const double box[3], bool draw)
{
    double line_pt = setting.size_pt * OWL_WORDS_LINE_HEIGHT, y_pt = box[1];
    for (words += strspn(words, " "); *words; words += strspn(words, " ")) {
        size_t length = owl_words_line(ink, setting, words, box[2]);
        double at_pt[2] = {box[0], y_pt + setting.size_pt * OWL_WORDS_BASELINE};
        (void)owl_words_set(ink, &setting, words, length, draw ? at_pt : NULL);
        words += length;
        y_pt += line_pt;
    }
    return y_pt - box[1];
}
