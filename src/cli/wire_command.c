/* The command `wire`: how sensor, camera and flashes of a plan join, safely and for the least. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/command.h"
#include "cli/console.h"
#include "cli/rig_wiring.h"
#include "cli/seasons.h"
#include "cli/session.h"
#include "cli/wire_page.h"
#include "core/plan/reader.h"
#include "core/plan/rewrite.h"
#include "shelf/wiring_drawing.h"

#define PAGE_BYTES ((size_t)1 << 18)
#define PLAN_BYTES ((size_t)OWL_PLAN_BYTES + 65536)

struct asked {
    const char *file, *shelf[OWL_SHELF_FILES_MOST], *write, *draw; /* NULL: not given */
    int shelves;
    bool owned_only, costs, air;
    enum owl_wire_aim aim;
};

static int take_aim(struct asked *asked, const char *words)
{
    static const char *const aims[OWL_WIRE_AIMS] = {"cheapest", "fewest-joints", "owned-first"};
    for (int i = 0; words && i < OWL_WIRE_AIMS; i++)
        if (strcmp(words, aims[i]) == 0) {
            asked->aim = (enum owl_wire_aim)i;
            return OWL_EXIT_WELL;
        }
    return owl_complain_usage("--aim is cheapest, fewest-joints or owned-first, not", words ? words : "nothing");
}

static int read_asked(int count, char **words, struct asked *asked)
{
    *asked = (struct asked){.aim = OWL_WIRE_CHEAPEST};
    for (int i = 0; i < count; i++) {
        const char *next = i + 1 < count ? words[i + 1] : NULL;
        bool pair = strcmp(words[i], "--shelf") == 0 || strcmp(words[i], "--write") == 0 || strcmp(words[i], "--draw") == 0;
        if (pair && (!next || *next == '\0'))
            return owl_complain_usage("a file's name must stand behind", words[i]);
        if (strcmp(words[i], "--shelf") == 0) {
            if (asked->shelves == OWL_SHELF_FILES_MOST)
                return owl_complain_usage("wire takes at most three shelves; this is one more:", next);
            asked->shelf[asked->shelves++] = words[++i];
        } else if (strcmp(words[i], "--write") == 0) {
            asked->write = words[++i];
        } else if (strcmp(words[i], "--draw") == 0) {
            asked->draw = words[++i];
        } else if (strcmp(words[i], "--air") == 0) {
            asked->air = true;
        } else if (strcmp(words[i], "--owned") == 0) {
            asked->owned_only = true;
        } else if (strcmp(words[i], "--costs") == 0) {
            asked->costs = true;
        } else if (strcmp(words[i], "--aim") == 0) {
            i++;
            if (take_aim(asked, next) != OWL_EXIT_WELL)
                return OWL_EXIT_WRONG;
        } else if (words[i][0] == '-' && words[i][1] != '\0') {
            return owl_complain_usage("wire takes --shelf, --owned, --aim, --costs, --air, --draw and --write, not", words[i]);
        } else if (asked->file) {
            return owl_complain_usage("wire takes one plan; this is a second:", words[i]);
        } else {
            asked->file = words[i];
        }
    }
    return asked->file ? OWL_EXIT_WELL : owl_complain_usage("wire needs a plan file, such as examples/marten.plan", NULL);
}

/* ---- telling ---- */

/* The devices' own prices and what is to be bought, against the keepers a watch brings. */
static int write_costs(const struct owl_session *session, const struct owl_wire_shown *shown, const char *file, struct owl_text *text)
{
    struct owl_seasons seasons = {0};
    int exit_status = owl_seasons_prepare(session, file, &seasons);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = owl_seasons_run(&(struct owl_seasons_wish){.seed = OWL_SEASONS_SEED}, &seasons);
    if (exit_status != OWL_EXIT_WELL) {
        owl_seasons_clear(&seasons);
        return exit_status;
    }
    double keepers = seasons.rehearsal->first[OWL_LEDGER_KEEPER].mean;
    int64_t whole = 0, unpriced = 0;
    for (int i = 0; i < shown->answer->buys; i++) {
        if (shown->answer->buy[i].each >= 0)
            whole += shown->answer->buy[i].each * shown->answer->buy[i].used;
        else
            unpriced += shown->answer->buy[i].used;
    }
    owl_text_words(text, "  The whole rig is worth ");
    owl_money_show(whole, shown->currency, text);
    if (unpriced > 0) {
        owl_text_words(text, " (");
        owl_text_integer(text, unpriced);
        owl_text_words(text, " of its things have no price)");
    }
    owl_text_words(text, "; ");
    owl_text_rounded(text, keepers, 3);
    owl_text_words(text, " keepers are rehearsed for this watch: ");
    if (keepers > 0.0) {
        owl_money_show((int64_t)llround((double)whole / keepers), shown->currency, text);
        owl_text_words(text, " for each, if the gear is used this once\n");
    } else {
        owl_text_words(text, "no price for one can be told\n");
    }
    owl_seasons_clear(&seasons);
    return OWL_EXIT_WELL;
}

static int tell(const struct asked *asked, const struct owl_session *session, struct owl_rig_wiring *wiring, struct owl_text *page)
{
    static const char *const headings[2] = {"With wires only", "With radio or light where it serves"};
    int exit_status = OWL_EXIT_WELL, found = 0;
    for (int air = 0; air < 2 && exit_status == OWL_EXIT_WELL; air++) {
        exit_status = owl_rig_wiring_find(wiring, air != 0);
        const struct owl_wire_shown shown = {headings[air], &wiring->request, wiring->answer, wiring->why, &session->plan,
                                             wiring->shelves.shelf[wiring->shelves.count - 1].currency};
        if (exit_status != OWL_EXIT_WELL)
            break;
        owl_text_words(page, air ? "\n" : "");
        owl_page_wiring(&shown, page);
        found += wiring->answer->found;
        if (wiring->answer->found && asked->costs)
            exit_status = write_costs(session, &shown, asked->file, page);
    }
    if (exit_status == OWL_EXIT_WELL && found == 0)
        return OWL_EXIT_WRONG;
    return exit_status;
}

/* ---- into the plan ---- */

static void set(struct owl_change *change, int *changes, const char *section, int nth, const char *field, enum owl_unit unit,
                double value, const char *words)
{
    struct owl_change *next = &change[*changes];
    *next = (struct owl_change){.section = owl_section_find(section), .nth = nth};
    next->field = owl_field_find(next->section, field);
    struct owl_text text = owl_text_over(next->words, sizeof next->words);
    if (words)
        owl_text_words(&text, words);
    else
        owl_unit_show(unit, value, &text);
    ++*changes;
}

/* Whether the way from the camera to a flash goes through the air somewhere, and the chance that all of it hears. */
static bool way_to_flash(const struct owl_wire_answer *answer, int flash, double *heard)
{
    bool air = false;
    int use = 0;
    while (use < answer->uses && answer->use[use].flash != flash)
        use++;
    for (; use < answer->uses && use > 0 && answer->use[use].thing->kind != OWL_THING_CAMERA; use = answer->use[use].from) {
        air = air || owl_socket_is_air(&answer->use[use].thing->socket[answer->use[use].in]);
        *heard *= isnan(answer->use[use].thing->miss) ? 1.0 : 1.0 - answer->use[use].thing->miss;
    }
    return air;
}

/* What the links do to the plan: the way to the camera into the sensor's delay, the way to each flash into its link. What the
   links draw is counted to the camera, at which they hang. */
static int write_plan(const struct asked *asked, const struct owl_session *session, const struct owl_wire_answer *answer)
{
    struct owl_change change[3 + 3 * OWL_FLASHES];
    int changes = 0;
    double sensor_s = answer->uses > 0 ? answer->camera_s : NAN;
    if (!isnan(sensor_s))
        set(change, &changes, "sensor", 0, "delay", OWL_UNIT_TIME, sensor_s, NULL);
    for (int i = 0; i < session->plan.flashes; i++) {
        double heard = 1.0;
        bool air = way_to_flash(answer, i, &heard);
        set(change, &changes, "flash", i, "link", OWL_UNIT_CHOICE, 0.0, air ? "radio" : "wire");
        set(change, &changes, "flash", i, "link delay", OWL_UNIT_TIME, answer->flash_s[i], NULL);
        set(change, &changes, "flash", i, "link miss", OWL_UNIT_PERCENT, 1.0 - heard, NULL);
    }
    struct owl_text text = owl_page_begin(PLAN_BYTES);
    if (!text.buffer)
        return OWL_EXIT_FAILED;
    owl_plan_rewrite(session->bytes, session->length, &session->plan, change, changes, &text);
    int exit_status = text.cut ? owl_complain_memory() : owl_write_picture(asked->write, "--write", text.buffer, text.length);
    free(text.buffer);
    return exit_status;
}

static int draw(const char *path, const struct owl_session *session, const struct owl_wire_answer *answer)
{
    const char *name[OWL_FLASHES] = {NULL};
    for (int i = 0; i < session->plan.flashes; i++)
        name[i] = session->plan.flash[i].name;
    struct owl_text svg = owl_page_begin(OWL_WIRING_BYTES);
    if (!svg.buffer)
        return OWL_EXIT_FAILED;
    owl_draw_wiring(answer, name, &svg);
    int exit_status = owl_write_picture(path, "--draw", svg.buffer, svg.length);
    free(svg.buffer);
    return exit_status;
}

/* What is written goes by the wiring without radio, or where --air asks for it or there is no other, by the one with it. */
static int write_out(const struct asked *asked, const struct owl_session *session, struct owl_rig_wiring *wiring)
{
    int exit_status = owl_rig_wiring_find(wiring, asked->air);
    if (exit_status == OWL_EXIT_WELL && !wiring->answer->found && !asked->air)
        exit_status = owl_rig_wiring_find(wiring, true);
    if (exit_status == OWL_EXIT_WELL && asked->draw)
        exit_status = draw(asked->draw, session, wiring->answer);
    if (exit_status == OWL_EXIT_WELL && asked->draw)
        printf("%s\n", asked->draw);
    if (exit_status == OWL_EXIT_WELL && asked->write)
        exit_status = write_plan(asked, session, wiring->answer);
    if (exit_status == OWL_EXIT_WELL && asked->write)
        printf("%s\n", asked->write);
    return exit_status;
}

static int wire(const struct asked *asked, const struct owl_session *session, struct owl_rig_wiring *wiring)
{
    const struct owl_rig_wish wish = {asked->file, asked->shelf, asked->shelves, asked->owned_only, asked->aim};
    int exit_status = owl_rig_wiring_open(&wish, &session->plan, wiring);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    struct owl_text page = owl_page_begin(PAGE_BYTES);
    if (!page.buffer)
        return OWL_EXIT_FAILED;
    exit_status = tell(asked, session, wiring, &page);
    if (exit_status == OWL_EXIT_FAILED)
        free(page.buffer);
    else if (owl_page_end(&page) != OWL_EXIT_WELL)
        exit_status = OWL_EXIT_FAILED;
    return exit_status == OWL_EXIT_WELL && (asked->write || asked->draw) ? write_out(asked, session, wiring) : exit_status;
}

int owl_command_wire(int count, char **words)
{
    struct asked asked;
    struct owl_session *session = NULL;
    struct owl_rig_wiring wiring = {.room = NULL};
    int exit_status = read_asked(count, words, &asked);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    enum owl_status status = owl_session_open(asked.file, &session);
    if (status != OWL_OK)
        return owl_session_exit(status);
    exit_status = wire(&asked, session, &wiring);
    owl_rig_wiring_close(&wiring);
    owl_session_free(session);
    return exit_status;
}
