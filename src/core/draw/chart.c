/* The sheet of the ribbon and the curves: its texts, key, head and colours. */
#include "core/draw/chart.h"

#include <math.h>
#include <string.h>

#include "core/calendar.h"
#include "core/constants.h"
#include "core/draw/colours.h"
#include "core/draw/label.h"

#define BASELINE 0.76      /* of a line, from its top */
#define TEXT_APART 6.0     /* between two texts of one line */
#define SWATCH_GAP 6.0
#define ENTRY_GAP 16.0
#define AXIS_APART 34.0    /* between the numbers of an axis */

/* ---- texts ---- */

static bool texts_touch(const struct owl_chart_text *one, const struct owl_chart_text *other)
{
    return one->left < other->right + TEXT_APART && other->left < one->right + TEXT_APART && one->top < other->bottom &&
           other->top < one->bottom;
}

static bool fits(const struct owl_chart *chart, const struct owl_chart_text *text)
{
    if (chart->texts == OWL_CHART_TEXTS || text->left < 0.0 || text->right > OWL_CHART_WIDTH)
        return false;
    for (int i = 0; i < chart->texts; i++)
        if (texts_touch(text, &chart->text[i]))
            return false;
    return true;
}

bool owl_chart_put(struct owl_chart *chart, double x, double top, enum owl_chart_anchor anchor, const char *words)
{
    double width = owl_label_width(words, OWL_CHART_FONT);
    double left = x - (anchor == OWL_CHART_START ? 0.0 : anchor == OWL_CHART_MIDDLE ? width / 2.0 : width);
    struct owl_chart_text text = {
        .left = left, .top = top, .right = left + width, .bottom = top + OWL_CHART_LINE, .x = x, .anchor = anchor};
    if (!*words || strlen(words) >= sizeof text.words || !fits(chart, &text))
        return false;
    strcpy(text.words, words);
    chart->text[chart->texts++] = text;
    chart->height = fmax(chart->height, text.bottom);
    return true;
}

/* The end of the next word after `from`; a number keeps its `%`. */
static size_t word_end(const char *words, size_t from)
{
    size_t end = from + strspn(words + from, " ");
    end += strcspn(words + end, " ");
    return words[end] == ' ' && words[end + 1] == '%' ? word_end(words, end) : end;
}

/* How many bytes of the words make the next line: up to the last blank at which it is not too wide. */
static size_t line_length(const char *words, double width)
{
    char line[OWL_CHART_WORDS];
    size_t best = 0, length = 0;
    do {
        length = word_end(words, length);
        if (length >= sizeof line)
            break;
        memcpy(line, words, length);
        line[length] = '\0';
        if (best > 0 && owl_label_width(line, OWL_CHART_FONT) > width)
            break;
        best = length;
    } while (words[length]);
    return best;
}

double owl_chart_paragraph(struct owl_chart *chart, double left, double right, double top, const char *words)
{
    while (*words) {
        char line[OWL_CHART_WORDS];
        size_t length = line_length(words, right - left);
        if (length == 0)
            break;
        memcpy(line, words, length);
        line[length] = '\0';
        (void)owl_chart_put(chart, left, top, OWL_CHART_START, line);
        top += OWL_CHART_LINE;
        words += length + strspn(words + length, " ");
    }
    return top;
}

void owl_chart_entry(struct owl_chart *chart, struct owl_chart_key *key, const char *words, double *x, double *y)
{
    double width = OWL_CHART_SWATCH + SWATCH_GAP + owl_label_width(words, OWL_CHART_FONT);
    if (key->x + width > OWL_CHART_WIDTH - OWL_CHART_EDGE) {
        key->x = OWL_CHART_EDGE;
        key->top += OWL_CHART_LINE;
    }
    *x = key->x;
    *y = key->top + OWL_CHART_LINE / 2.0;
    (void)owl_chart_put(chart, key->x + OWL_CHART_SWATCH + SWATCH_GAP, key->top, OWL_CHART_START, words);
    key->x += width + ENTRY_GAP;
}

/* ---- head and end ---- */

/* The light of the sky is dark by night in both sets. */
#define PAINT(property, light, name) OWL_PAINT("chart", property, light, name)

static const char style[] =
    ".owl-chart{" OWL_COLOURS_LIGHT("chart") OWL_COLOUR("chart", "path", OWL_PATH) ";"
    OWL_COLOUR("chart", "day", OWL_DAY) ";" OWL_COLOUR("chart", "night", OWL_NIGHT) ";" OWL_COLOUR("chart", "moon", OWL_PAPER) ";"
    "font-family:system-ui,sans-serif;max-width:100%;height:auto}"
    "@media screen and (prefers-color-scheme:dark){.owl-chart{" OWL_COLOURS_DARK("chart")
    OWL_COLOUR("chart", "path", OWL_PATH_DARK) ";" OWL_COLOUR("chart", "day", OWL_DAY_DARK) ";"
    OWL_COLOUR("chart", "night", OWL_NIGHT_DARK) ";" OWL_COLOUR("chart", "moon", OWL_INK_DARK) "}}"
    ".owl-chart .paper{" PAINT("fill", OWL_PAPER, "paper") "}"
    ".owl-chart .ink{" PAINT("fill", OWL_INK, "ink") "}"
    ".owl-chart .line{fill:none;" PAINT("stroke", OWL_INK, "ink") "}"
    ".owl-chart .curve{stroke-width:2}"
    ".owl-chart .hair{fill:none;" PAINT("stroke", OWL_FAINT, "faint") "stroke-width:.7}"
    ".owl-chart .drop{fill:none;" PAINT("stroke", OWL_FAINT, "faint") "stroke-width:.9;stroke-dasharray:3 3}"
    ".owl-chart .under{" PAINT("fill", OWL_FRAME, "frame") "fill-opacity:.13}"
    ".owl-chart .track{" PAINT("fill", OWL_FAINT, "faint") "fill-opacity:.16}"
    ".owl-chart .lives{" PAINT("fill", OWL_FRAME, "frame") "}"
    ".owl-chart .plan{" PAINT("fill", OWL_INK, "ink") PAINT("stroke", OWL_PAPER, "paper") "}"
    ".owl-chart .kept{" PAINT("fill", OWL_SHARP, "sharp") "}"
    ".owl-chart .lost{" PAINT("fill", OWL_PATH, "path") "}"
    ".owl-chart .wins{" PAINT("fill", OWL_PAPER, "paper") PAINT("stroke", OWL_INK, "ink") "stroke-width:1.3}"
    ".owl-chart .sky{fill:none;" PAINT("stroke", OWL_NIGHT, "night") "}"
    ".owl-chart .noon{fill:none;" PAINT("stroke", OWL_DAY, "day") "}"
    ".owl-chart .moon{fill:none;" PAINT("stroke", OWL_PAPER, "moon") "}"
    ".owl-chart .hour{fill:none;" PAINT("stroke", OWL_PAPER, "moon") "stroke-width:.7;stroke-opacity:.3}"
    ".owl-chart .armed{fill:none;" PAINT("stroke", OWL_SENSOR, "sensor") "stroke-width:1.8}"
    ".owl-chart .test{fill:none;" PAINT("stroke", OWL_SHARP, "sharp") "stroke-width:2.4}"
    ".owl-chart .about{" PAINT("fill", OWL_PATH, "path") "fill-opacity:.75}"
    ".owl-chart .share{fill:none;" PAINT("stroke", OWL_PATH, "path") "stroke-opacity:.6}"
    ".owl-chart .sky,.owl-chart .noon,.owl-chart .share,.owl-chart .about{shape-rendering:crispEdges}"
    ".owl-chart text{font-size:13px;" PAINT("fill", OWL_INK, "ink") "}";

void owl_chart_open(const struct owl_chart *chart, const char *name, const char *title, struct owl_text *svg)
{
    double height = ceil(chart->height + OWL_CHART_EDGE);
    owl_text_words(svg, "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"owl-chart\" role=\"img\" aria-labelledby=\"");
    owl_text_words(svg, name);
    owl_text_words(svg, "-title ");
    owl_text_words(svg, name);
    owl_text_words(svg, "-desc\" viewBox=\"0 0 ");
    owl_chart_number(svg, OWL_CHART_WIDTH);
    owl_text_char(svg, ' ');
    owl_chart_number(svg, height);
    owl_text_char(svg, '"');
    owl_chart_attribute(svg, "width", OWL_CHART_WIDTH);
    owl_chart_attribute(svg, "height", height);
    owl_text_words(svg, ">\n<title id=\"");
    owl_text_words(svg, name);
    owl_text_words(svg, "-title\">");
    owl_text_markup(svg, title);
    owl_text_words(svg, "</title>\n<desc id=\"");
    owl_text_words(svg, name);
    owl_text_words(svg, "-desc\">");
}

void owl_chart_begin(const struct owl_chart *chart, struct owl_text *svg)
{
    owl_text_words(svg, "</desc>\n<style>");
    owl_text_words(svg, style);
    owl_text_words(svg, "</style>\n");
    owl_chart_bar(svg, "paper", 0.0, 0.0, OWL_CHART_WIDTH, ceil(chart->height + OWL_CHART_EDGE));
    owl_text_char(svg, '\n');
}

/* With the room kept for it, left top right bottom: what the tests hold against each other. */
static void write_text(const struct owl_chart_text *text, struct owl_text *svg)
{
    static const char *const anchor[] = {"\">", "\" text-anchor=\"middle\">", "\" text-anchor=\"end\">"};
    const double box[] = {text->left, text->top, text->right, text->bottom};
    owl_text_words(svg, "<text data-box=\"");
    for (int i = 0; i < 4; i++) {
        owl_text_words(svg, i ? " " : "");
        owl_chart_number(svg, box[i]);
    }
    owl_text_char(svg, '"');
    owl_chart_attribute(svg, "x", text->x);
    owl_text_words(svg, " y=\"");
    owl_chart_number(svg, text->top + BASELINE * OWL_CHART_LINE);
    owl_text_words(svg, anchor[text->anchor]);
    owl_text_markup(svg, text->words);
    owl_text_words(svg, "</text>\n");
}

void owl_chart_close(const struct owl_chart *chart, struct owl_text *svg)
{
    for (int i = 0; i < chart->texts; i++)
        write_text(&chart->text[i], svg);
    owl_text_words(svg, "</svg>\n");
}

/* ---- pieces of SVG ---- */

void owl_chart_number(struct owl_text *svg, double value)
{
    double tenths = floor(value * 10.0 + 0.5);
    if (fmod(tenths, 10.0) == 0.0)
        owl_text_integer(svg, (int64_t)(tenths / 10.0));
    else
        owl_text_fixed(svg, tenths / 10.0, 1);
}

void owl_chart_attribute(struct owl_text *svg, const char *name, double value)
{
    owl_text_char(svg, ' ');
    owl_text_words(svg, name);
    owl_text_words(svg, "=\"");
    owl_chart_number(svg, value);
    owl_text_char(svg, '"');
}

void owl_chart_bar(struct owl_text *svg, const char *class, double x, double y, double width, double height)
{
    owl_text_words(svg, "<rect class=\"");
    owl_text_words(svg, class);
    owl_text_char(svg, '"');
    owl_chart_attribute(svg, "x", x);
    owl_chart_attribute(svg, "y", y);
    owl_chart_attribute(svg, "width", width);
    owl_chart_attribute(svg, "height", height);
    owl_text_words(svg, "/>");
}

void owl_chart_path(struct owl_text *svg, const char *class)
{
    owl_text_words(svg, "<path class=\"");
    owl_text_words(svg, class);
    owl_text_words(svg, "\" d=\"");
}

void owl_chart_move(struct owl_text *svg, double x, double y)
{
    owl_text_char(svg, 'M');
    owl_chart_number(svg, x);
    owl_text_char(svg, ' ');
    owl_chart_number(svg, y);
}

void owl_chart_along(struct owl_text *svg, char direction, double length)
{
    owl_text_char(svg, direction);
    owl_chart_number(svg, length);
}

void owl_chart_end(struct owl_text *svg)
{
    owl_text_words(svg, "\"/>\n");
}

void owl_chart_line(struct owl_text *svg, const char *class, double x, double y, char direction, double length)
{
    owl_chart_path(svg, class);
    owl_chart_move(svg, x, y);
    owl_chart_along(svg, direction, length);
    owl_chart_end(svg);
}

/* ---- dates, clocks, axes ---- */

void owl_chart_date(struct owl_text *text, double days)
{
    static const char *const month[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    struct owl_date date = owl_calendar_date((int64_t)days);
    owl_text_integer(text, date.day);
    owl_text_char(text, ' ');
    owl_text_words(text, date.month >= 1 ? month[date.month - 1] : "");
}

void owl_chart_clock(struct owl_text *text, double clock_s)
{
    int minutes = (int)floor(clock_s / 60.0 + 0.5), day = (int)(OWL_SECONDS_PER_DAY / 60.0);
    minutes = (minutes % day + day) % day;
    owl_text_words(text, minutes < 600 ? "0" : "");
    owl_text_integer(text, minutes / 60);
    owl_text_words(text, minutes % 60 < 10 ? ":0" : ":");
    owl_text_integer(text, minutes % 60);
}

double owl_chart_step(const double *steps, int count, double least)
{
    for (int i = 0; i < count; i++)
        if (steps[i] >= least)
            return steps[i];
    return steps[count - 1];
}

void owl_chart_nights_axis(struct owl_chart *chart, double x, double width, double top, int last)
{
    static const double steps[] = {1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0};
    double step = owl_chart_step(steps, 7, AXIS_APART * last / width);
    for (int night = 0; night <= last; night += (int)step) {
        char words[16];
        struct owl_text text = owl_text_over(words, sizeof words);
        owl_text_integer(&text, night);
        (void)owl_chart_put(chart, x + width * night / last, top, OWL_CHART_MIDDLE, words);
    }
}
