/* Devices, distances, search: what wire and sheet both need. */
#include "cli/rig_wiring.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/command.h"
#include "cli/console.h"
#include "core/plan/vector.h"

#define LABELS 200000      /* pieces of wiring looked at, at most */
#define SLACK 0.2          /* of a cable along the ground; common practice */
#define DOWN_M 0.3         /* from a device to its stand and in at the other end; common practice */

/* ---- devices ---- */

static const struct owl_thing *find_thing(const struct owl_shelves *shelves, const char *name)
{
    for (int i = 0; i < shelves->count; i++) {
        const struct owl_thing *thing = owl_shelf_find(&shelves->shelf[i], name);
        if (thing)
            return thing;
    }
    return NULL;
}

/* Tells what would be right: the things of that kind. */
static int complain_gear(const struct owl_rig_wish *wish, const struct owl_shelves *shelves, const char *section, const char *gear,
                         enum owl_thing_kind kind)
{
    if (*gear)
        fprintf(stderr, "owllight: %s: [%s] has gear = %s, and no shelf has a %s of that name; ", wish->file, section, gear,
                owl_thing_kind_words((int)kind));
    else
        fprintf(stderr, "owllight: %s: [%s] names no gear; ", wish->file, section);
    const char *between = "these would be right: ";
    for (int i = 0; i < shelves->count; i++)
        for (int k = 0; k < shelves->shelf[i].things; k++)
            if (shelves->shelf[i].thing[k].kind == (int)kind) {
                fprintf(stderr, "%s%s", between, shelves->shelf[i].thing[k].name);
                between = ", ";
            }
    fprintf(stderr, "\n");
    return OWL_EXIT_WRONG;
}

static int take_device(const struct owl_rig_wish *wish, const struct owl_shelves *shelves, const char *section, const char *gear,
                       enum owl_thing_kind kind, const struct owl_thing **thing)
{
    *thing = *gear ? find_thing(shelves, gear) : NULL;
    if (*thing && (*thing)->kind == (int)kind)
        return OWL_EXIT_WELL;
    return complain_gear(wish, shelves, section, gear, kind);
}

static int take_devices(const struct owl_rig_wish *wish, const struct owl_plan *plan, const struct owl_shelves *shelves,
                        struct owl_wire_request *request)
{
    int exit_status = take_device(wish, shelves, "camera", plan->camera.gear, OWL_THING_CAMERA, &request->camera);
    if (take_device(wish, shelves, "sensor", plan->sensor.gear, OWL_THING_SENSOR, &request->sensor) != OWL_EXIT_WELL)
        exit_status = OWL_EXIT_WRONG;
    for (int i = 0; i < plan->flashes; i++) {
        char section[OWL_NAME_BYTES + 8];
        snprintf(section, sizeof section, "flash %s", plan->flash[i].name);
        if (take_device(wish, shelves, section, plan->flash[i].gear, OWL_THING_FLASH, &request->flash[i]) != OWL_EXIT_WELL)
            exit_status = OWL_EXIT_WRONG;
    }
    request->flashes = plan->flashes;
    return exit_status;
}

/* Straight through the air, and down each stand, along the ground with slack, and up the next. */
static void measure(const struct owl_plan *plan, struct owl_wire_request *request)
{
    struct owl_point place[OWL_WIRE_SITES] = {plan->sensor.place, plan->camera.place};
    double climb_m[OWL_WIRE_SITES] = {0.0};
    for (int i = 0; i < plan->flashes; i++)
        place[OWL_AT_FLASH + i] = plan->flash[i].place;
    for (int i = 0; i < OWL_WIRE_SITES; i++) {
        climb_m[i] = fmax(place[i].z_m, 0.0) + DOWN_M;
        for (int j = 0; j < OWL_WIRE_SITES; j++) {
            struct owl_point way = owl_vector_from_to(&place[i], &place[j]);
            request->apart_m[i][j] = owl_vector_length(&way);
        }
    }
    owl_wire_lay(request, climb_m, SLACK);
}

static int make_request(const struct owl_rig_wish *wish, const struct owl_plan *plan, struct owl_rig_wiring *wiring)
{
    const struct owl_shelves *shelves = &wiring->shelves;
    wiring->request = (struct owl_wire_request){.shelves = shelves->count, .camera_sleeps = plan->camera.sleeps != 0,
                                                .by_day = plan->sensor.gate != OWL_GATE_NIGHT, .aim = wish->aim};
    for (int i = 0; i < shelves->count; i++) {
        wiring->request.shelf[i] = &shelves->shelf[i];
        wiring->request.may_buy[i] = !wish->owned_only;
    }
    measure(plan, &wiring->request);
    return take_devices(wish, plan, shelves, &wiring->request);
}

/* ---- the search ---- */

bool owl_rig_named(const struct owl_plan *plan)
{
    bool named = *plan->camera.gear && *plan->sensor.gear;
    for (int i = 0; i < plan->flashes; i++)
        named = named && *plan->flash[i].gear;
    return named;
}

static bool make_room(struct owl_rig_wiring *wiring)
{
    wiring->room = calloc(1, sizeof *wiring->room);
    wiring->answer = calloc(1, sizeof *wiring->answer);
    wiring->why = calloc(1, sizeof *wiring->why);
    if (!wiring->room || !wiring->answer || !wiring->why)
        return false;
    wiring->room->most = LABELS;
    wiring->room->label = malloc(LABELS * sizeof *wiring->room->label);
    return wiring->room->label != NULL;
}

int owl_rig_wiring_open(const struct owl_rig_wish *wish, const struct owl_plan *plan, struct owl_rig_wiring *wiring)
{
    int exit_status = owl_shelves_open(wish->shelf, wish->shelves, &wiring->shelves);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = make_request(wish, plan, wiring);
    if (exit_status == OWL_EXIT_WELL && !make_room(wiring))
        exit_status = owl_complain_memory();
    return exit_status;
}

/* Only what is owned may be used: then the generic shelf, the last, tells what could be bought to mend it. */
static const struct owl_shelf *mending(const struct owl_rig_wiring *wiring)
{
    const struct owl_shelves *shelves = &wiring->shelves;
    bool owned_only = !wiring->request.may_buy[shelves->count - 1];
    return owned_only && shelves->count < OWL_WIRE_SHELVES ? &shelves->shelf[shelves->count - 1] : NULL;
}

int owl_rig_wiring_find(struct owl_rig_wiring *wiring, bool through_air)
{
    wiring->request.through_air = through_air;
    enum owl_status status = owl_wire_find(&wiring->request, wiring->room, wiring->answer);
    if (status == OWL_OK && !wiring->answer->found)
        status = owl_wire_explain(&wiring->request, mending(wiring), wiring->room, wiring->why);
    if (status == OWL_OK || (status == OWL_NO_ROOM && wiring->answer->found))
        return OWL_EXIT_WELL;
    fprintf(stderr, "owllight: %s\n", status == OWL_NO_ROOM ? "there are too many ways to wire this: fewer shelves or things would be right"
                                                            : owl_status_words(status));
    return OWL_EXIT_FAILED;
}

void owl_rig_wiring_close(struct owl_rig_wiring *wiring)
{
    if (wiring->room)
        free(wiring->room->label);
    free(wiring->room);
    free(wiring->answer);
    free(wiring->why);
    owl_shelves_close(&wiring->shelves);
}
