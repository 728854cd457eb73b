/* What the parts of the WebAssembly module share: one plan with its sky and evaluation. Everything is static; nothing is
   allocated. */
#ifndef OWL_WASM_ROOM_H
#define OWL_WASM_ROOM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/model/sky_blob.h"
#include "core/plan/evaluate.h"
#include "core/plan/places.h"
#include "core/plan/reader.h"

#define EXPORT(name) __attribute__((export_name(name)))

#define OWL_WASM_WORDS_BYTES 4096

struct owl_wasm_room {
    char text[OWL_PLAN_BYTES + 2];
    size_t length; /* of the text as last read or changed */
    char words[OWL_WASM_WORDS_BYTES];
    struct owl_complaints complaints;
    struct owl_places places; /* of the text */
    struct owl_plan plan;     /* the last sound one */
    bool sound;               /* there is one */
    struct owl_night night[OWL_NIGHTS_MOST];
    struct owl_watch_row row[OWL_NIGHTS_MOST * OWL_NIGHT_ROWS + 1];
    struct owl_watch_view watch;
    struct owl_evaluation evaluation; /* of the plan, when evaluated */
    bool evaluated;
    int turn; /* counts the evaluations: what was made under another is stale */
};

extern struct owl_wasm_room owl_wasm_room;

/* The room's words, closed after `length` bytes; NULL when that many do not fit. */
const char *owl_wasm_words_of(int length);

/* season_exports.c: what report and draw need of it; NULL when there is none for the plan as it now is. */
struct owl_report_rehearsal;
struct owl_report_advised;
const struct owl_report_rehearsal *owl_wasm_rehearsed(void);
const struct owl_report_advised *owl_wasm_advised(void);

#endif
