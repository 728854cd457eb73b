/* From the text of a shelf file to a shelf: `[thing NAME]`, `name = value`, `# remark`.
   Everything wrong is found in one reading and told with its place.

       [thing sync cable 5 m]
       is = cable
       length = 5 m
       price = 14 EUR
       socket one = PC sync plug, passes sync
       socket other = PC sync plug, passes sync

   A socket is one sentence of phrases between commas: what it is (kind, then plug, socket or foot); what it takes,
   gives or passes (signals joined by `and`); then, in any order, `presents 5 V`, `bears 24 V`, `centre plus` or
   `centre minus`, `dry contact`, `opto contact` or `live`, `tip release` or `tip focus`, `set WORDS` and
   `16 channels` (radio). `leads = IN to OUT, ...` says which socket leads to which inside a thing; left out, each
   that takes leads to each that gives. */
#ifndef OWL_SHELF_READER_H
#define OWL_SHELF_READER_H

#include "core/plan/complaints.h"
#include "core/status.h"
#include "shelf/shelf.h"

#define OWL_SHELF_BYTES 262144

/* Reads length bytes (UTF-8, with or without byte-order mark, any line ends) into *shelf.
   OWL_OK: every thing is complete, its sockets lead somewhere, names and the currency are one.
   OWL_BAD_PLAN: *complaints says why, sorted by line; the shelf is left empty. */
enum owl_status owl_shelf_read(const char *bytes, size_t length, struct owl_shelf *shelf, struct owl_complaints *complaints)
    OWL_MUST_USE;

/* A field of a thing, for a manual's table: its name, how its value is written, what it means. Sockets and `leads` have
   their own form and are not among them. */
struct owl_thing_field {
    const char *name;
    enum owl_unit unit;           /* CHOICE: see choice */
    size_t offset;                /* in struct owl_thing */
    double least, most;
    const char *(*choice)(int place);
    const char *help;
};

/* NULL past the last. */
const struct owl_thing_field *owl_thing_field_at(int place);

#endif
