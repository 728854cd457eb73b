/* What the parts of the field sheet share. Private to the field sheet. */
#ifndef OWL_SHEET_FIELD_PARTS_H
#define OWL_SHEET_FIELD_PARTS_H

#include "core/plan/evaluate.h"
#include "shelf/wire.h"

struct owl_sheet {
    const struct owl_plan *plan;
    const struct owl_evaluation *evaluation;
    const struct owl_watch_view *watch;
    const struct owl_wire_answer *wiring; /* NULL: not known */
    struct owl_text *html;
};

/* A number with the kind it is shown as. */
struct owl_quantity {
    enum owl_unit unit;
    double value;
};

/* Markup as it stands. */
void owl_sheet_raw(const struct owl_sheet *sheet, const char *markup);

/* Markup with each % replaced by the next quantity, set so that it never breaks over a line. */
void owl_sheet_say(const struct owl_sheet *sheet, const char *markup, const struct owl_quantity *quantity);
#define OWL_SAY(sheet, markup, ...) \
    owl_sheet_say(sheet, markup, (const struct owl_quantity[]){__VA_ARGS__})

/* A word of the user's own, escaped. */
void owl_sheet_name(const struct owl_sheet *sheet, const char *words);

/* A length as a tape in the wood shows it, to the centimetre, and a share to the whole percent. */
struct owl_quantity owl_sheet_tape(double length_m);
struct owl_quantity owl_sheet_percent(double share);

/* A section with its heading; `id` is its link target. */
void owl_sheet_open(const struct owl_sheet *sheet, const char *id, const char *heading);
void owl_sheet_close(const struct owl_sheet *sheet);

/* One line to tick off, and a whole one of fixed words. */
void owl_sheet_open_tick(const struct owl_sheet *sheet);
void owl_sheet_close_tick(const struct owl_sheet *sheet);
void owl_sheet_tick(const struct owl_sheet *sheet, const char *markup);

/* 0 for the weekday of day 0, 1970-01-01, a Thursday; 3 for Sundays. */
int owl_sheet_weekday(double days);

/* `Sat`, `9 Jan`, and both, `Sat 9 Jan`; days since 1970-01-01. */
const char *owl_sheet_weekday_name(double days);
void owl_sheet_day_month(const struct owl_sheet *sheet, double days);
void owl_sheet_date(const struct owl_sheet *sheet, double days);

/* The clock at the site, `16:52`. */
void owl_sheet_clock(const struct owl_sheet *sheet, double unix_s);

/* The focal length in millimetres, as lenses are marked. */
void owl_sheet_focal(const struct owl_sheet *sheet);

double owl_sheet_figure(const struct owl_sheet *sheet, enum owl_result result, int which);

/* What the socket bears of this flash: an enum owl_trigger_verdict; fired by radio it is never
   joined to the camera. */
int owl_sheet_trigger(const struct owl_sheet *sheet, int flash);

/* The flash to do as the nth: the key first, the others as they stand in the plan. */
int owl_sheet_flash_order(const struct owl_sheet *sheet, int nth);

/* The parts, in their order. */
void owl_sheet_packing(const struct owl_sheet *sheet);
void owl_sheet_placing(const struct owl_sheet *sheet);
void owl_sheet_wiring(const struct owl_sheet *sheet);
void owl_sheet_settings(const struct owl_sheet *sheet);
void owl_sheet_test(const struct owl_sheet *sheet);
void owl_sheet_leaving(const struct owl_sheet *sheet);
void owl_sheet_care(const struct owl_sheet *sheet);
void owl_sheet_warnings(const struct owl_sheet *sheet);
void owl_sheet_sky(const struct owl_sheet *sheet);

#endif
