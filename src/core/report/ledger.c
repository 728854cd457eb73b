/* A rehearsal as JSON: ledger, odds by night, what runs out. */
#include "core/report/ledger.h"

#include "core/report/json.h"

static void spread(struct owl_text *text, const char *before, const char *name, const struct owl_spread *value)
{
    owl_report_key(text, before, name);
    owl_report_number(text, "{", "mean", value->mean);
    owl_report_number(text, ", ", "low", value->low);
    owl_report_number(text, ", ", "middle", value->middle);
    owl_report_number(text, ", ", "high", value->high);
    owl_text_char(text, '}');
}

static void write_ledger(const struct owl_rehearsal *rehearsal, struct owl_text *text)
{
    owl_report_key(text, ",\n  ", "ledger");
    owl_text_char(text, '[');
    for (int row = 0; row < OWL_LEDGER_ROWS; row++) {
        owl_report_key(text, row ? ",\n    {" : "\n    {", "row");
        owl_text_json(text, owl_ledger_word((enum owl_ledger_row)row));
        owl_report_key(text, ", ", "means");
        owl_text_json(text, owl_ledger_meaning((enum owl_ledger_row)row));
        spread(text, ", ", "first", &rehearsal->first[row]);
        if (row != OWL_LEDGER_KEEPER)
            spread(text, ", ", "only", &rehearsal->only[row]);
        owl_text_char(text, '}');
    }
    owl_text_words(text, "\n  ]");
}

static void write_odds(const struct owl_rehearsal *rehearsal, struct owl_text *text)
{
    static const char *const names[OWL_REHEARSAL_CHANCES] = {"50", "80", "95"};
    owl_report_key(text, ",\n  ", "odds by night");
    for (int n = 1; n <= rehearsal->nights; n++) {
        owl_text_words(text, n > 1 ? ", " : "[");
        owl_text_number(text, rehearsal->odds[n]);
    }
    owl_text_char(text, ']');
    owl_report_key(text, ",\n  ", "nights for percent");
    for (int i = 0; i < OWL_REHEARSAL_CHANCES; i++)
        owl_report_number(text, i ? ", " : "{", names[i], rehearsal->nights_for[i]);
    owl_text_char(text, '}');
}

static void write_store(const struct owl_rehearsal *rehearsal, int store, const char *name, const char *before,
                        struct owl_text *text)
{
    const struct owl_spread *out = &rehearsal->out_nights[store];
    owl_report_key(text, before, "store");
    owl_text_json(text, name);
    owl_report_number(text, ", ", "lasts", rehearsal->lasts[store]);
    owl_report_number(text, ", ", "low", out->low);
    owl_report_number(text, ", ", "middle", out->middle);
    owl_report_number(text, ", ", "high", out->high);
    owl_text_char(text, '}');
}

static void write_stores(const struct owl_report_rehearsal *report, struct owl_text *text)
{
    owl_report_key(text, ",\n  ", "runs out");
    owl_text_char(text, '[');
    for (int device = 0; device < OWL_DEVICE_FLASH + report->plan->flashes; device++)
        write_store(report->rehearsal, device, owl_device_name(report->plan, device),
                    device ? ",\n    {" : "\n    {", text);
    write_store(report->rehearsal, OWL_RIG_CARD, "card", ",\n    {", text);
    owl_text_words(text, "\n  ]");
}

void owl_report_ledger(const struct owl_report_rehearsal *report, struct owl_text *text)
{
    const struct owl_rehearsal *rehearsal = report->rehearsal;
    owl_report_number(text, "{\n  ", "seasons", rehearsal->seasons);
    owl_report_number(text, ",\n  ", "seasons wanted", report->wanted);
    owl_report_key(text, ",\n  ", "stopped");
    owl_text_words(text, rehearsal->seasons < report->wanted ? "true" : "false");
    owl_report_number(text, ",\n  ", "seed", (double)report->seed);
    owl_report_number(text, ",\n  ", "nights", rehearsal->nights);
    spread(text, ",\n  ", "keepers", &rehearsal->first[OWL_LEDGER_KEEPER]);
    owl_report_number(text, ",\n  ", "keepers error", rehearsal->keepers_error);
    owl_report_number(text, ",\n  ", "keepers per night", rehearsal->first[OWL_LEDGER_KEEPER].mean / rehearsal->nights);
    spread(text, ",\n  ", "passes", &rehearsal->passes);
    write_ledger(rehearsal, text);
    write_odds(rehearsal, text);
    write_stores(report, text);
    spread(text, ",\n  ", "frames", &rehearsal->frames);
    spread(text, ",\n  ", "false frames", &rehearsal->false_frames);
    spread(text, ",\n  ", "firings", &rehearsal->firings);
    spread(text, ",\n  ", "flashes", &rehearsal->flashes);
    spread(text, ",\n  ", "flashed too soon", &rehearsal->unrested);
    owl_report_number(text, ",\n  ", "shortest gap", rehearsal->shortest_gap_s);
    owl_text_words(text, "\n}\n");
}
