/* Lines, headings and assignments of a shelf file, and what a whole thing may not lack. */
#include "shelf/reader.h"

#include <math.h>
#include <string.h>

#include "shelf/reading.h"

#define HEADING_WORD "thing"

struct owl_text owl_shelf_complain(struct owl_shelf_reading *reading, struct owl_span span)
{
    return owl_complain(reading->complaints, reading->number, owl_span_characters(reading->line.start, span.start) + 1,
                        owl_span_characters(span.start, span.end));
}

bool owl_shelf_span_is(struct owl_span span, const char *words)
{
    char plain[OWL_READ_NAME_BYTES] = "";
    return owl_span_name(span, plain) && owl_text_same_name(plain, words);
}

struct owl_span owl_shelf_take(struct owl_span *rest, char mark)
{
    const char *found = rest->start < rest->end ? memchr(rest->start, mark, (size_t)(rest->end - rest->start)) : NULL;
    struct owl_span taken = owl_span_trimmed((struct owl_span){rest->start, found ? found : rest->end});
    rest->start = found ? found + 1 : rest->end;
    return taken;
}

static const char *only(const void *list, int place)
{
    return place == 0 ? list : NULL;
}

/* The words nearest in spelling, capitals aside; NULL when none is near enough to be meant. */
static const char *nearest_of(const char *plain, const char *(*words)(int place))
{
    const char *nearest = NULL;
    int least = 0;
    for (int i = 0; words(i); i++) {
        char small[OWL_READ_NAME_BYTES] = "";
        owl_span_name((struct owl_span){words(i), words(i) + strlen(words(i))}, small);
        int distance = owl_spelling_distance(plain, small);
        if (owl_spelling_nearest(plain, only, small) && (!nearest || distance < least)) {
            nearest = words(i);
            least = distance;
        }
    }
    return nearest;
}

void owl_shelf_suggest(struct owl_text *text, struct owl_span wrong, const char *(*words)(int place))
{
    char plain[OWL_READ_NAME_BYTES] = "";
    const char *nearest = owl_span_name(wrong, plain) ? nearest_of(plain, words) : NULL;
    if (nearest) {
        owl_text_words(text, "; did you mean '");
        owl_text_words(text, nearest);
        owl_text_words(text, "'?");
        return;
    }
    owl_text_words(text, "; one of these would be right: ");
    for (int i = 0; words(i); i++) {
        owl_text_words(text, i ? ", " : "");
        owl_text_words(text, words(i));
    }
}

static const char *field_name(int place)
{
    if (owl_thing_field_at(place))
        return owl_thing_field_at(place)->name;
    int fields = 0;
    while (owl_thing_field_at(fields))
        fields++;
    static const char *const more[] = {"price", "weather", "leads", "socket NAME"};
    return place - fields < 4 ? more[place - fields] : NULL;
}

static int field_place(struct owl_span name)
{
    for (int i = 0; owl_thing_field_at(i); i++)
        if (owl_shelf_span_is(name, owl_thing_field_at(i)->name))
            return i;
    return -1;
}

/* ---- the end of a thing ---- */

static bool has_air(const struct owl_thing *thing, int kind)
{
    for (int i = 0; i < thing->sockets; i++)
        if (thing->socket[i].kind == kind)
            return true;
    return false;
}

static struct owl_text complain_thing(struct owl_shelf_reading *reading)
{
    struct owl_text text = owl_complain(reading->complaints, reading->thing->line, 1, 1);
    owl_text_char(&text, '\'');
    owl_text_words(&text, reading->thing->name);
    owl_text_char(&text, '\'');
    return text;
}

static bool wrote(const struct owl_shelf_reading *reading, const char *field)
{
    for (int i = 0; owl_thing_field_at(i); i++)
        if (strcmp(owl_thing_field_at(i)->name, field) == 0)
            return reading->field_line[i] > 0;
    return false;
}

static void complain_lacking(struct owl_shelf_reading *reading)
{
    const struct owl_thing *thing = reading->thing;
    struct owl_text text;
    if (!wrote(reading, "is")) {
        text = complain_thing(reading);
        owl_text_words(&text, " does not say what it is; a line such as 'is = cable' would be right");
    }
    if (wrote(reading, "is") && thing->kind == OWL_THING_CABLE && !wrote(reading, "length")) {
        text = complain_thing(reading);
        owl_text_words(&text, " is a cable without a length; a line such as 'length = 5 m' would be right");
    }
    if (thing->sockets == 0 && !reading->sockets_misread) {
        text = complain_thing(reading);
        owl_text_words(&text, " has no socket, so nothing can join it; "
                              "a line such as 'socket one = PC sync plug, passes sync' would be right");
    }
    if ((has_air(thing, OWL_SOCKET_RADIO) || has_air(thing, OWL_SOCKET_LIGHT)) && !wrote(reading, "range")) {
        text = complain_thing(reading);
        owl_text_words(&text, " works through the air but has no range; a line such as 'range = 30 m' would be right");
    }
}

static void close_thing(struct owl_shelf_reading *reading)
{
    if (!reading->thing)
        return;
    complain_lacking(reading);
    owl_shelf_read_leads(reading);
    reading->thing = NULL;
}

/* ---- headings ---- */

static bool heading_name(struct owl_shelf_reading *reading, struct owl_span heading, char name[OWL_READ_NAME_BYTES])
{
    struct owl_text text;
    if (heading.end[-1] != ']') {
        text = owl_shelf_complain(reading, heading);
        owl_text_words(&text, "the heading is not closed; a ']' at its end would be right");
        return false;
    }
    struct owl_span inside = owl_span_trimmed((struct owl_span){heading.start + 1, heading.end - 1});
    struct owl_span rest = inside, word = owl_shelf_take(&rest, ' ');
    rest = owl_span_trimmed(rest);
    if (!owl_shelf_span_is(word, HEADING_WORD)) {
        text = owl_shelf_complain(reading, heading);
        owl_text_words(&text, "a shelf holds things only; [thing ");
        owl_text_bytes(&text, inside.start, (size_t)(inside.end - inside.start < 40 ? inside.end - inside.start : 40));
        owl_text_words(&text, "] would be right");
        return false;
    }
    if (rest.start == rest.end || !owl_span_name(rest, name)) {
        text = owl_shelf_complain(reading, heading);
        owl_text_words(&text, "each thing needs a name of its own of at most 45 letters, such as [thing sync cable 5 m]");
        return false;
    }
    return true;
}

static void open_thing(struct owl_shelf_reading *reading, struct owl_span heading)
{
    char name[OWL_READ_NAME_BYTES] = "";
    struct owl_shelf *shelf = reading->shelf;
    reading->under_bad_heading = true;
    if (!heading_name(reading, heading, name))
        return;
    const struct owl_thing *taken = owl_shelf_find(shelf, name);
    struct owl_text text;
    if (taken) {
        text = owl_shelf_complain(reading, heading);
        owl_text_words(&text, "this name is taken by the thing on line ");
        owl_text_integer(&text, taken->line);
        owl_text_words(&text, "; another name would be right, or 'owned = 2' for two of a kind");
        return;
    }
    if (shelf->things == OWL_SHELF_THINGS) {
        text = owl_shelf_complain(reading, heading);
        owl_text_words(&text, "a shelf holds at most ");
        owl_text_integer(&text, OWL_SHELF_THINGS);
        owl_text_words(&text, " things; what is never used could go");
        return;
    }
    reading->under_bad_heading = false;
    reading->thing = &shelf->thing[shelf->things++];
    *reading->thing = (struct owl_thing){.origin = OWL_GIVEN, .price = -1, .solids = -1, .water = -1, .line = reading->number,
                                         .length_m = NAN, .standby_a = NAN, .supply_v = NAN, .latency_s = NAN, .miss = NAN,
                                         .range_m = NAN, .isolates = -1};
    memcpy(reading->thing->name, name, sizeof name);
    memset(reading->field_line, 0, sizeof reading->field_line);
    memset(reading->socket_line, 0, sizeof reading->socket_line);
    reading->leads_line = 0;
    reading->sockets_misread = false;
}

/* ---- lines ---- */

static bool told_twice(struct owl_shelf_reading *reading, struct owl_span name, int *line)
{
    if (*line == 0) {
        *line = reading->number;
        return false;
    }
    struct owl_text text = owl_shelf_complain(reading, name);
    owl_span_quote(&text, name);
    owl_text_words(&text, " stands already on line ");
    owl_text_integer(&text, *line);
    owl_text_words(&text, "; one of the two must go");
    return true;
}

static bool is_socket(struct owl_span name, struct owl_span *own)
{
    *own = name;
    struct owl_span word = owl_shelf_take(own, ' ');
    *own = owl_span_trimmed(*own);
    return owl_shelf_span_is(word, "socket");
}

static void read_assignment(struct owl_shelf_reading *reading, struct owl_span whole, const char *equals)
{
    struct owl_span name = owl_span_trimmed((struct owl_span){whole.start, equals}), own;
    struct owl_span value = owl_span_trimmed((struct owl_span){equals + 1, whole.end});
    int field = field_place(name), *extra = reading->field_line + OWL_THING_FIELDS - 2; /* price, weather */
    if (value.start == value.end) {
        struct owl_text text = owl_shelf_complain(reading, whole);
        owl_span_quote(&text, name);
        owl_text_words(&text, " has no value; a line without one can go");
    } else if (is_socket(name, &own)) {
        owl_shelf_read_socket(reading, own, value);
    } else if (owl_shelf_span_is(name, "price")) {
        if (!told_twice(reading, name, &extra[0]))
            owl_shelf_read_price(reading, value);
    } else if (owl_shelf_span_is(name, "weather")) {
        if (!told_twice(reading, name, &extra[1]))
            owl_shelf_read_weather(reading, value);
    } else if (owl_shelf_span_is(name, "leads")) {
        if (!told_twice(reading, name, &reading->leads_line)) {
            reading->leads = value;
            reading->leads_in = reading->line;
        }
    } else if (field >= 0) {
        if (!told_twice(reading, name, &reading->field_line[field]))
            owl_shelf_read_field(reading, value, field);
    } else {
        struct owl_text text = owl_shelf_complain(reading, name.start < name.end ? name : whole);
        owl_text_words(&text, "a thing has no ");
        owl_span_quote(&text, name);
        owl_shelf_suggest(&text, name, field_name);
    }
}

static void read_line(struct owl_shelf_reading *reading)
{
    struct owl_span line = reading->line;
    const char *remark = line.start < line.end ? memchr(line.start, '#', (size_t)(line.end - line.start)) : NULL;
    struct owl_span content = owl_span_trimmed((struct owl_span){line.start, remark ? remark : line.end});
    if (content.start == content.end)
        return;
    const char *equals = memchr(content.start, '=', (size_t)(content.end - content.start));
    if (*content.start == '[') {
        close_thing(reading);
        open_thing(reading, content);
    } else if (!reading->thing) {
        if (reading->under_bad_heading || reading->headless_told)
            return; /* told once already */
        reading->headless_told = true;
        struct owl_text text = owl_shelf_complain(reading, content);
        owl_text_words(&text, "this stands under no heading; a line such as [thing sync cable 5 m] above it would be right");
    } else if (!equals) {
        struct owl_text text = owl_shelf_complain(reading, content);
        owl_text_words(&text, "this is neither a heading nor 'name = value'; remarks begin with #");
    } else {
        read_assignment(reading, content, equals);
    }
}

static void read_lines(struct owl_shelf_reading *reading, const char *here, const char *end)
{
    while (here < end) {
        const char *feed = memchr(here, '\n', (size_t)(end - here));
        const char *stop = feed ? feed : end;
        reading->number++;
        reading->line = (struct owl_span){here, stop > here && stop[-1] == '\r' ? stop - 1 : stop};
        read_line(reading);
        here = feed ? feed + 1 : end;
    }
    close_thing(reading);
}

static bool is_text(const char *bytes, size_t length, struct owl_complaints *complaints)
{
    const char *zero = length > 0 ? memchr(bytes, '\0', length) : NULL;
    if (length <= OWL_SHELF_BYTES && !zero)
        return true;
    struct owl_text text = owl_complain(complaints, 0, 0, 0);
    owl_text_words(&text, zero ? "a zero byte stands in this file, so it is not a text; a shelf is plain text (UTF-8)"
                               : "this is too long for a shelf; a shelf is a text of at most 256 KB");
    return false;
}

enum owl_status owl_shelf_read(const char *bytes, size_t length, struct owl_shelf *shelf, struct owl_complaints *complaints)
{
    struct owl_shelf_reading reading = {.shelf = shelf, .complaints = complaints};
    complaints->count = complaints->left_out = 0;
    shelf->things = 0;
    shelf->currency[0] = '\0';
    if (length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) {
        bytes += 3;
        length -= 3;
    }
    if (is_text(bytes, length, complaints))
        read_lines(&reading, bytes, bytes + length);
    owl_complaints_sort(complaints);
    if (complaints->count > 0) {
        shelf->things = 0;
        return OWL_BAD_PLAN;
    }
    return OWL_OK;
}
