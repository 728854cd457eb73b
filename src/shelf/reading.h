/* What the parts of the shelf reader share while one text is read. Private to the shelf. */
#ifndef OWL_SHELF_READING_H
#define OWL_SHELF_READING_H

#include "core/plan/reading.h"
#include "shelf/reader.h"

#define OWL_THING_FIELDS 24 /* at least as many as a thing has */

struct owl_shelf_reading {
    struct owl_shelf *shelf;
    struct owl_complaints *complaints;
    struct owl_span line;
    int number;                          /* of the line, from 1 */
    struct owl_thing *thing;             /* NULL before the first heading and under a bad one */
    bool headless_told, under_bad_heading;
    int field_line[OWL_THING_FIELDS];    /* of the thing being read, 0: not written */
    int socket_line[OWL_THING_SOCKETS];
    int leads_line, currency_line;
    struct owl_span leads, leads_in;     /* the words after `leads =`, and the line they stand in */
    bool sockets_misread;                /* a sentence of this thing was wrong: its leads cannot be judged */
};

/* A complaint that underlines a span of the line being read. */
struct owl_text owl_shelf_complain(struct owl_shelf_reading *reading, struct owl_span span);

/* The same span against words, capitals aside. */
bool owl_shelf_span_is(struct owl_span span, const char *words);

/* `; did you mean 'NEAREST'?` when something of the list is near, else `; one of these would be right: ...`. */
void owl_shelf_suggest(struct owl_text *text, struct owl_span wrong, const char *(*words)(int place));

/* Takes the words up to the next `mark` off *rest, trimmed. */
struct owl_span owl_shelf_take(struct owl_span *rest, char mark);

/* reading_values.c: a value of the field table into the thing; a misread one is complained about. */
void owl_shelf_read_field(struct owl_shelf_reading *reading, struct owl_span value, int field);
/* Whether words read as a value of the unit between two bounds; complains when not. */
bool owl_shelf_read_number(struct owl_shelf_reading *reading, struct owl_span words, const char *name, enum owl_unit unit,
                           double least, double most, double *value);
void owl_shelf_read_price(struct owl_shelf_reading *reading, struct owl_span value);
void owl_shelf_read_weather(struct owl_shelf_reading *reading, struct owl_span value);

/* reading_sockets.c: `socket NAME = sentence`, and the end of a thing: its leads, and what it may not lack. */
void owl_shelf_read_socket(struct owl_shelf_reading *reading, struct owl_span name, struct owl_span sentence);
void owl_shelf_read_leads(struct owl_shelf_reading *reading);

#endif
