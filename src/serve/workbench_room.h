/* What the parts of the workbench share. Private to it.
   Handlers run one at a time on the server's one hand; beside them there is only the job's thread. `lock` is over what both
   reach: the open card and whether a job is at work. */
#ifndef OWL_SERVE_WORKBENCH_ROOM_H
#define OWL_SERVE_WORKBENCH_ROOM_H

#include <jansson.h>
#include <pthread.h>
#include <stdatomic.h>

#include "card/frames.h"
#include "serve/workbench.h"
#include "session/card_places.h"
#include "session/card_rehearsed.h"

#define OWL_WORKBENCH_ROUTES 18

#define OWL_EXIT_OF_DONE 0    /* "exit" of the event "done": as the exit statuses of the commands */
#define OWL_EXIT_OF_FAILURE 1 /* the machine could not */
#define OWL_EXIT_OF_WRONG 2   /* what was asked for is wrong */

/* A card with all that is told of it. Begins as {0}. */
struct owl_open_card {
    struct owl_card_session session;
    struct owl_visits visits;
    struct owl_card_place *place;
    struct owl_seasons seasons; /* of its watch's plan; done 0: none */
    struct owl_visits_rehearsed rehearsed;
    bool compared;              /* rehearsed holds something */
    bool has_raw;
    struct owl_frames *files;   /* opened with the first picture; the handlers' */
};

enum owl_job_kind { OWL_JOB_PULL, OWL_JOB_JUDGE };

struct owl_work {
    enum owl_job_kind kind;
    char *from, *to, *watch; /* card and target of a pull, or the folder to judge; its own; NULL: not told */
    bool new_watch;          /* the watch was entered for this pull */
    int flashes;             /* -1: not told */
    bool again;
    double began_s, told_s;  /* progress: of what is being done, and when it was told last */
    char doing[32];
};

struct owl_workbench {
    char *plan, *book_directory; /* NULL: none, usual */
    bool no_book;
    struct owl_events *events;
    struct owl_server *server;
    struct owl_route routes[OWL_WORKBENCH_ROUTES];
    struct owl_book *book; /* the handlers'; NULL: none */
    pthread_mutex_t lock;
    struct owl_open_card *card; /* NULL: none is open */
    bool busy, judging;         /* a job is at work; it reads frames */
    bool joinable;              /* a thread was begun that was not waited for yet */
    pthread_t thread;
    struct owl_work work;       /* the job's alone while busy */
    atomic_bool stop;
};

/* ---- what every handler needs ---- */

/* The body as a JSON object; false, and that is answered, where it is none. */
bool owl_workbench_body(const struct owl_request *request, struct owl_answer *answer, json_t **root);

/* A member's words; NULL where it is missing, null, empty or no text. */
const char *owl_workbench_words(const json_t *root, const char *name);

/* The words of a failure, with the HTTP code that goes with its status. */
void owl_workbench_fail(struct owl_answer *answer, enum owl_status status, const struct owl_error *error);

/* {name: words} with code 200. */
void owl_workbench_tell(struct owl_answer *answer, const char *name, const char *words);

/* 200 with JSON that was built over a block of malloc, which is handed over; a text that was cut, or has no block, is a
   failure. */
void owl_workbench_json(struct owl_answer *answer, struct owl_text *text);

/* ---- jobs ---- */

void owl_work_clear(struct owl_work *work);

/* Begins a job; `work` is taken over in every case. OWL_BAD_USE: one is at work; OWL_NO_MEMORY: no thread. */
OWL_MUST_USE enum owl_status owl_workbench_begin(struct owl_workbench *workbench, struct owl_work *work, struct owl_error *error);

/* Waits for the thread of a job, having told it to stop. True where it was at work. */
bool owl_workbench_end_job(struct owl_workbench *workbench);

/* ---- the open card ---- */

/* Visits, places and comparison of the card's session as it is now. rehearsed stays as it was on failure. */
OWL_MUST_USE enum owl_status owl_open_card_group(struct owl_open_card *card, struct owl_error *error);

/* Closes and frees; NULL is passed over. */
void owl_open_card_close(struct owl_open_card *card);

/* The whole card, over a block of malloc; NULL for no memory. */
struct owl_text owl_open_card_json(const struct owl_open_card *card);

/* Beginning of a list's next member: a comma unless it is the first. */
void owl_workbench_next(struct owl_text *text, bool first);

/* `before`, the name in quotes, a colon and a number, null where it is none; or words, null for NULL; or what the caller adds. */
void owl_workbench_number(struct owl_text *text, const char *before, const char *name, double value);
void owl_workbench_text(struct owl_text *text, const char *before, const char *name, const char *words);
void owl_workbench_key(struct owl_text *text, const char *before, const char *name);

/* ---- the handlers; room is the workbench ---- */

void owl_workbench_get_plan(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_post_plan(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_post_sky(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_get_cards(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_post_pull(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_post_judge(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_post_stop(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_get_card(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_get_small(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_get_frame(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_get_working(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_post_correct(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_get_health(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_post_sidecars(void *room, const struct owl_request *request, struct owl_answer *answer);
void owl_workbench_post_contact(void *room, const struct owl_request *request, struct owl_answer *answer);

#endif
