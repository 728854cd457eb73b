/* State and routes of the workbench, its beginning and its end. */
#include "serve/workbench.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/plan/reader.h"
#include "serve/workbench_room.h"

#define LISTENERS_MOST 16
#define BODY_MOST 16384                            /* of a request that names folders or frames: paths, escaped */
#define PLAN_BODY_MOST (2 * OWL_PLAN_BYTES + 4096) /* of one with a plan: line ends and quotes are two bytes each in JSON */

/* ---- routes ---- */

static const struct owl_route table[] = {
    {OWL_GET, "/api/plan", 0, owl_workbench_get_plan, NULL},
    {OWL_POST, "/api/plan", PLAN_BODY_MOST, owl_workbench_post_plan, NULL},
    {OWL_POST, "/api/sky", PLAN_BODY_MOST, owl_workbench_post_sky, NULL},
    {OWL_GET, "/api/cards", 0, owl_workbench_get_cards, NULL},
    {OWL_POST, "/api/pull", BODY_MOST, owl_workbench_post_pull, NULL},
    {OWL_POST, "/api/judge", BODY_MOST, owl_workbench_post_judge, NULL},
    {OWL_POST, "/api/stop", BODY_MOST, owl_workbench_post_stop, NULL},
    {OWL_GET, "/api/card", 0, owl_workbench_get_card, NULL},
    {OWL_GET, "/api/small/#", 0, owl_workbench_get_small, NULL},
    {OWL_GET, "/api/frame/#", 0, owl_workbench_get_frame, NULL},
    {OWL_GET, "/api/working/#", 0, owl_workbench_get_working, NULL},
    {OWL_POST, "/api/correct", BODY_MOST, owl_workbench_post_correct, NULL},
    {OWL_GET, "/api/health", 0, owl_workbench_get_health, NULL},
    {OWL_POST, "/api/sidecars", BODY_MOST, owl_workbench_post_sidecars, NULL},
    {OWL_POST, "/api/contact", BODY_MOST, owl_workbench_post_contact, NULL},
};
#define ROUTES (sizeof table / sizeof *table)
_Static_assert(ROUTES <= OWL_WORKBENCH_ROUTES, "the room holds every route");

/* ---- what every handler needs ---- */

bool owl_workbench_body(const struct owl_request *request, struct owl_answer *answer, json_t **root)
{
    struct owl_error error = {{0}};
    if (owl_request_json(request, root, &error) != OWL_OK) {
        owl_answer_complaint(answer, 400, error.words);
        return false;
    }
    if (json_is_object(*root))
        return true;
    json_decref(*root);
    owl_answer_complaint(answer, 400, "the request must be a JSON object");
    return false;
}

const char *owl_workbench_words(const json_t *root, const char *name)
{
    const char *words = json_string_value(json_object_get(root, name));
    return words && *words ? words : NULL;
}

void owl_workbench_fail(struct owl_answer *answer, enum owl_status status, const struct owl_error *error)
{
    int code = status == OWL_NO_MEMORY || status == OWL_CANNOT_WRITE ? 500 : 422;
    owl_answer_complaint(answer, code, error->words[0] ? error->words : owl_status_words(status));
}

void owl_workbench_tell(struct owl_answer *answer, const char *name, const char *words)
{
    size_t room = strlen(name) + 6 * strlen(words) + 16;
    char *buffer = malloc(room);
    struct owl_text text = buffer ? owl_text_over(buffer, room) : (struct owl_text){0};
    if (buffer) {
        owl_workbench_text(&text, "{", name, words);
        owl_text_char(&text, '}');
    }
    owl_workbench_json(answer, &text);
}

void owl_workbench_json(struct owl_answer *answer, struct owl_text *text)
{
    if (text->buffer && !text->cut) {
        owl_answer_bytes(answer, "application/json", text->buffer, text->length, free, text->buffer);
        return;
    }
    free(text->buffer);
    owl_answer_complaint(answer, 500, owl_status_words(text->buffer ? OWL_NO_ROOM : OWL_NO_MEMORY));
}

void owl_workbench_next(struct owl_text *text, bool first)
{
    owl_text_words(text, first ? "" : ",\n");
}

void owl_workbench_key(struct owl_text *text, const char *before, const char *name)
{
    owl_text_words(text, before);
    owl_text_json(text, name);
    owl_text_char(text, ':');
}

void owl_workbench_number(struct owl_text *text, const char *before, const char *name, double value)
{
    owl_workbench_key(text, before, name);
    owl_text_number(text, value);
}

void owl_workbench_text(struct owl_text *text, const char *before, const char *name, const char *words)
{
    owl_workbench_key(text, before, name);
    if (words)
        owl_text_json(text, words);
    else
        owl_text_words(text, "null");
}

/* ---- beginning and end ---- */

static void take_note(void *context, const char *words)
{
    struct owl_error *note = context;
    struct owl_text text = owl_text_over(note->words, sizeof note->words);
    owl_text_words(&text, words);
}

static bool copy(const char *words, char **kept)
{
    *kept = words ? strdup(words) : NULL;
    return !words || *kept;
}

/* A relative path goes on meaning the same file. */
static bool copy_path(const char *path, char **kept)
{
    char here[4096];
    if (!path || *path == '/' || !getcwd(here, sizeof here))
        return copy(path, kept);
    size_t room = strlen(here) + strlen(path) + 2;
    *kept = malloc(room);
    if (*kept)
        snprintf(*kept, room, "%s/%s", here, path);
    return *kept != NULL;
}

static void free_room(struct owl_workbench *workbench)
{
    owl_open_card_close(workbench->card);
    owl_book_close(workbench->book);
    owl_events_free(workbench->events);
    pthread_mutex_destroy(&workbench->lock);
    free(workbench->plan);
    free(workbench->book_directory);
    free(workbench);
}

static enum owl_status serve(struct owl_workbench *workbench, const struct owl_workbench_options *options,
                             struct owl_error *error)
{
    for (size_t i = 0; i < ROUTES; i++) {
        workbench->routes[i] = table[i];
        workbench->routes[i].room = workbench;
    }
    const struct owl_server_options wanted = {.port = options->port, .assets = options->assets, .routes = workbench->routes,
                                              .route_count = ROUTES, .events = workbench->events, .events_path = "/api/events"};
    return owl_server_start(&wanted, &workbench->server, error);
}

/* Before the server: from its start on, only handlers begin jobs. */
static enum owl_status begin_with_card(struct owl_workbench *workbench, const char *card, struct owl_error *error)
{
    struct stat about;
    if (!card)
        return OWL_OK;
    if (stat(card, &about) != 0 || !S_ISDIR(about.st_mode))
        return owl_trouble_say(error, OWL_CANNOT_READ, card, "there is no such folder");
    struct owl_work work = {.kind = OWL_JOB_JUDGE, .flashes = -1, .from = strdup(card)};
    return work.from ? owl_workbench_begin(workbench, &work, error) : OWL_NO_MEMORY;
}

static enum owl_status fill_room(struct owl_workbench *workbench, const struct owl_workbench_options *options,
                                 struct owl_error *note, struct owl_error *error)
{
    const struct owl_listener listener = {.note = take_note, .context = note};
    workbench->no_book = options->no_book;
    workbench->events = owl_events_open(LISTENERS_MOST);
    if (!workbench->events || !copy_path(options->plan, &workbench->plan) ||
        !copy_path(options->book, &workbench->book_directory))
        return OWL_NO_MEMORY;
    return owl_card_book_open(options->book, options->no_book, &listener, &workbench->book, error);
}

enum owl_status owl_workbench_start(const struct owl_workbench_options *options, struct owl_workbench **workbench,
                                    struct owl_error *note, struct owl_error *error)
{
    struct owl_workbench *made = calloc(1, sizeof *made);
    if (!made)
        return OWL_NO_MEMORY;
    pthread_mutex_init(&made->lock, NULL);
    atomic_init(&made->stop, false);
    enum owl_status status = fill_room(made, options, note, error);
    if (status == OWL_OK)
        status = begin_with_card(made, options->card, error);
    if (status == OWL_OK)
        status = serve(made, options, error);
    if (status == OWL_OK)
        *workbench = made;
    else
        (void)owl_workbench_stop(made);
    return status;
}

int owl_workbench_port(const struct owl_workbench *workbench)
{
    return owl_server_port(workbench->server);
}

enum owl_status owl_workbench_address(struct owl_workbench *workbench, char address[OWL_SERVER_ADDRESS_BYTES],
                                      struct owl_error *error)
{
    return owl_server_address(workbench->server, address, error);
}

/* The server first: afterwards no handler can begin another job. A job does not need the server, only the events. */
bool owl_workbench_stop(struct owl_workbench *workbench)
{
    if (!workbench)
        return false;
    atomic_store(&workbench->stop, true);
    owl_server_stop(workbench->server);
    bool stopped = owl_workbench_end_job(workbench);
    free_room(workbench);
    return stopped;
}
