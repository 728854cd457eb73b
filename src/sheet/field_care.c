/* The cautions that this plan asks for, and its own warnings. They say what can hurt and whom to
   ask; they do not replace local law or a licensed hand. */
#include <math.h>
#include <string.h>

#include "core/model/bait.h"
#include "core/model/eye.h"
#include "core/model/flash.h"
#include "sheet/field_parts.h"

static void caution(const struct owl_sheet *sheet, const char *title, const char *words)
{
    owl_sheet_raw(sheet, "<li><strong>");
    owl_sheet_raw(sheet, title);
    owl_sheet_raw(sheet, "</strong> ");
    owl_sheet_raw(sheet, words);
    owl_sheet_raw(sheet, "</li>\n");
}

/* A margin, which is no better known than to its tenths. */
static struct owl_quantity times(double margin)
{
    double step = margin < 10.0 ? 0.1 : 1.0;
    return (struct owl_quantity){OWL_UNIT_RATIO, floor(margin / step + 0.5) * step};
}

static void caution_eyes(const struct owl_sheet *sheet)
{
    owl_sheet_raw(sheet, "<li><strong>Eyes.</strong> ");
    OWL_SAY(sheet, "Seen from the mark, the brightest flash stays % times below the limit for a human retina; for an animal's "
                   "wide pupil the margin is smaller, about %.",
            times(owl_sheet_figure(sheet, OWL_RESULT_EYE_MARGIN, 0)), times(owl_sheet_figure(sheet, OWL_RESULT_EYE_ANIMAL, 0)));
    owl_sheet_raw(sheet, " Never look into a flash close by, nor fire one at a face or an animal at arm's length; cover it while "
                         "you work before it.");
    if (sheet->plan->sensor.pause_s < OWL_EYE_REST_S && sheet->plan->sensor.gate != OWL_GATE_DAY)
        OWL_SAY(sheet, " An animal's night sight needs % between firings; the pause is set to %.",
                {OWL_UNIT_TIME, OWL_EYE_REST_S}, {OWL_UNIT_TIME, sheet->plan->sensor.pause_s});
    owl_sheet_raw(sheet, "</li>\n");
}

static void cautions_flash(const struct owl_sheet *sheet)
{
    bool doubtful = false;
    caution(sheet, "Flashes hold a deadly charge.",
            "Several hundred volts stay in the capacitor for days, switched off and without cells. Never open one; a wet, "
            "cracked or humming one is let be and goes to a repair workshop.");
    for (int i = 0; i < sheet->plan->flashes; i++)
        doubtful = doubtful || owl_sheet_trigger(sheet, i) != OWL_TRIGGER_SAFE;
    if (doubtful)
        caution(sheet, "Trigger voltage.",
                "An old flash can put hundreds of volts on its trigger contact: enough to destroy a camera and to hurt a hand. "
                "Join nothing whose voltage has not been measured, with the flash charged and a meter of high resistance, "
                "except through an opto-isolated adapter.");
    caution_eyes(sheet);
}

/* Whether any device runs on cells whose kind has the word in its name. */
static bool has_cells(const struct owl_plan *plan, const char *word)
{
    for (int device = 0; device < OWL_DEVICE_FLASH + plan->flashes; device++)
        if (strstr(owl_cells_at((size_t)owl_device_supply(plan, device)->kind)->name, word))
            return true;
    return false;
}

static void cautions_power(const struct owl_sheet *sheet)
{
    if (has_cells(sheet->plan, "ithium") || has_cells(sheet->plan, "Li"))
        caution(sheet, "Lithium cells.",
                "Do not crush, pierce, heat or short them; spares ride in their case. Charge none below freezing. One that is "
                "swollen or hot stays outside, away from anything that burns, and is handed in as its maker says.");
    caution(sheet, "Cells.", "Never mix old with new or one kind with another; take used ones home.");
    caution(sheet, "Wiring.",
            "A 12 V battery can set a wood on fire: a fuse at its pole, closed joints, nothing bare. Mains out of doors is work "
            "for a licensed electrician, under local rules.");
}

static void cautions_bait(const struct owl_sheet *sheet)
{
    double share = owl_sheet_figure(sheet, OWL_RESULT_BAIT_SHARE, 0);
    owl_sheet_raw(sheet, "<li><strong>Bait.</strong> ");
    if (!isnan(share))
        OWL_SAY(sheet, "It gives % of the animal's day; above % it becomes a need. ", owl_sheet_percent(share),
                owl_sheet_percent(OWL_BAIT_SHARE_LIMIT));
    owl_sheet_raw(sheet, "Feeding is forbidden in many places and for many animals, and shared food spreads disease: ask the "
                         "authority first, lay out little, clear away what is left, and stop if sick animals come.</li>\n");
}

static void cautions_everywhere(const struct owl_sheet *sheet)
{
    caution(sheet, "Alone after dark.",
            "Tell somebody where you are, when you will be back, and what to do if you are not. Two lights, a charged phone, "
            "warm clothes; know where the phone has a signal.");
    caution(sheet, "Trees and water.",
            "Look up before you stand: dead limbs fall without wind. Fix nothing higher than you reach from firm ground. "
            "Streams rise overnight; keep devices and yourself above the flood line and off ice.");
    caution(sheet, "Cords.", "Nobody, on two legs or four, may trip over or be caught in one: flat, fixed, and off every path.");
    caution(sheet, "Protected species, nests and dens.",
            "Many may not be disturbed, lit or even approached without a licence, and nests and dens least of all. Local law "
            "decides; ask before placing. If the animal shies from the rig or changes its ways, take the rig away.");
    caution(sheet, "Leave and privacy.",
            "The landowner's leave first. A rig that fires by itself takes people too: keep it off ways that people use, put up "
            "the notice that local law asks for, and delete pictures of strangers.");
}

void owl_sheet_care(const struct owl_sheet *sheet)
{
    owl_sheet_open(sheet, "care", "Care");
    owl_sheet_raw(sheet, "<p class=\"quiet\">Plain cautions; local law and licensed practice come before this sheet.</p>\n"
                         "<ul class=\"plain\">\n");
    if (sheet->plan->flashes > 0)
        cautions_flash(sheet);
    cautions_power(sheet);
    if (sheet->plan->bait.food >= 0)
        cautions_bait(sheet);
    cautions_everywhere(sheet);
    owl_sheet_raw(sheet, "</ul>\n");
    owl_sheet_close(sheet);
}

/* The words with a capital at their head. */
static void write_sentence(const struct owl_sheet *sheet, const char *words)
{
    char head[2] = {words[0], '\0'};
    if (head[0] >= 'a' && head[0] <= 'z')
        head[0] = (char)(head[0] - 'a' + 'A');
    owl_sheet_name(sheet, head);
    owl_sheet_name(sheet, words + (words[0] != '\0'));
}

static void write_warning(const struct owl_sheet *sheet, const struct owl_warning *warning)
{
    owl_sheet_raw(sheet, "<li>");
    if (warning->danger)
        owl_sheet_raw(sheet, "<strong class=\"alarm\">Danger:</strong> ");
    write_sentence(sheet, warning->words);
    if (!warning->danger && warning->cost >= 0.01)
        OWL_SAY(sheet, " (costs about % of its passes)", owl_sheet_percent(warning->cost));
    owl_sheet_raw(sheet, ".<br/>");
    owl_sheet_raw(sheet, "<strong>Change:</strong> ");
    write_sentence(sheet, warning->change);
    owl_sheet_raw(sheet, ".</li>\n");
}

void owl_sheet_warnings(const struct owl_sheet *sheet)
{
    const struct owl_evaluation *evaluation = sheet->evaluation;
    owl_sheet_open(sheet, "warnings", "Warnings of the plan");
    if (evaluation->warnings == 0)
        owl_sheet_raw(sheet, "<p>None: nothing in the plan is known to lose pictures or to hurt.</p>\n");
    else
        owl_sheet_raw(sheet, "<ul class=\"plain\">\n");
    for (int i = 0; i < evaluation->warnings; i++)
        write_warning(sheet, &evaluation->warning[i]);
    if (evaluation->warnings > 0)
        owl_sheet_raw(sheet, "</ul>\n");
    owl_sheet_close(sheet);
}
