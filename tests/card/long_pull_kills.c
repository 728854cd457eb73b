/* The kill proof: a pull is killed 300 times at random points, half of them by the clock and half in the middle of a random call,
   from one kill into the next until a run comes to its end by itself. After every kill no file under a final name is torn, after
   every end nothing is lost and nothing doubled. A program of some minutes, not a test of every build; ends with 1 at the
   first thing wrong. */
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "card/pull.h"
#include "core/model/rng.h"
#include "support/card_room.h"

#define KILLS 300
#define FILES 40
#define DUPLICATES 5
#define LARGEST_BYTES 600000
#define LONGEST_S 0.15 /* about what a run takes */
#define MOST_CALLS 350
#define SHARE_ENDED 0.1 /* of the runs that are not killed */

static struct owl_calls calls;
static int calls_left;

static void die_in_time(void)
{
    if (calls_left > 0 && --calls_left == 0)
        raise(SIGKILL);
}

static ssize_t read_dying(int file, void *bytes, size_t count)
{
    die_in_time();
    return read(file, bytes, count);
}

static ssize_t write_dying(int file, const void *bytes, size_t count)
{
    if (calls_left == 1 && write(file, bytes, count / 2) < 0)
        raise(SIGKILL);
    die_in_time();
    return write(file, bytes, count);
}

static int sync_data_dying(int file)
{
    die_in_time();
    return owl_calls_system.sync_data(file);
}

static int rename_dying(int from, const char *name, int to, const char *new_name)
{
    die_in_time();
    int done = owl_calls_system.rename_new(from, name, to, new_name);
    die_in_time();
    return done;
}

static int remove_dying(int directory, const char *name)
{
    die_in_time();
    return owl_calls_system.remove(directory, name);
}

static void check(bool holds, const char *what, int kills)
{
    if (holds)
        return;
    printf("after %d kills: %s\n", kills, what);
    exit(EXIT_FAILURE);
}

/* Frames in three folders, some the same as others, one whose name is taken in the target by another. */
static void make_card(struct owl_rng *rng)
{
    char name[64];
    card_room_empty();
    for (int i = 0; i < FILES; i++) {
        snprintf(name, sizeof name, "card/DCIM/%03dOWL/IMG_%04d.JPG", 100 + i % 3, i);
        card_room_make(name, i < DUPLICATES ? 70000 : (size_t)(1 + LARGEST_BYTES * owl_rng_uniform(rng)),
                       (uint64_t)(i < DUPLICATES ? 1000 : i));
    }
    card_room_make("card/DCIM/100OWL/IMG_0000.xmp", 0, 7);
    card_room_make("home/DCIM/101OWL/IMG_0010.JPG", 3000, 999);
    card_room_make("before/DCIM/101OWL/IMG_0010.JPG", 3000, 999);
}

static int run_child(void)
{
    struct owl_pull_report report;
    struct owl_error error;
    enum owl_status status = card_room_pull("card", "home", &calls, &report, &error);
    bool whole = status == OWL_OK && report.failed == 0 && report.not_reached == 0;
    owl_pull_report_clear(&report);
    return whole ? 0 : 1;
}

/* Whether the run was killed; otherwise it came to its end. */
static bool run(int at_call, double after_s, int kills)
{
    fflush(stdout);
    pid_t child = fork();
    if (child == 0) {
        calls_left = at_call;
        _exit(run_child());
    }
    if (after_s >= 0.0) {
        struct timespec wait = {0, (long)(after_s * 1e9)};
        nanosleep(&wait, NULL);
        kill(child, SIGKILL);
    }
    int status = 0;
    check(child > 0 && waitpid(child, &status, 0) == child, "no child", kills);
    check(WIFSIGNALED(status) || WEXITSTATUS(status) == 0, "a run failed", kills);
    return WIFSIGNALED(status);
}

static bool run_some(struct owl_rng *rng, int kills)
{
    if (owl_rng_uniform(rng) < SHARE_ENDED)
        return run(0, -1.0, kills);
    if (kills % 2)
        return run(0, LONGEST_S * owl_rng_uniform(rng), kills);
    return run(1 + (int)(MOST_CALLS * owl_rng_uniform(rng)), -1.0, kills);
}

int main(int count, char **words)
{
    int kills = 0, ends = 0, wanted = count > 1 ? atoi(words[1]) : KILLS;
    struct owl_rng rng = owl_rng_start(300, 9);
    calls = owl_calls_system;
    calls.read = read_dying;
    calls.write = write_dying;
    calls.sync_data = sync_data_dying;
    calls.rename_new = rename_dying;
    calls.remove = remove_dying;
    card_room_open();
    make_card(&rng);
    while (kills < wanted) {
        bool killed = run_some(&rng, kills);
        check(card_room_none_torn("card", "home", "before"), "a torn file", kills);
        kills += killed;
        if (killed)
            continue;
        ends++;
        check(card_room_all_home("card", "home"), "a file is lost", kills);
        check(card_room_count("home") == FILES - (DUPLICATES - 1) + 1 + 1 + 2, "a file is doubled", kills);
        check(!card_room_has("home/PULLING.part"), "a half-made copy is left", kills);
        check(card_room_same("home/DCIM/101OWL/IMG_0010.JPG", "before/DCIM/101OWL/IMG_0010.JPG"), "overwritten", kills);
        check(card_room_tool_agrees("home", true), "the manifest is wrong", kills);
        make_card(&rng);
    }
    card_room_close();
    printf("%d kills, %d runs to the end: nothing torn, nothing lost, nothing doubled\n", kills, ends);
    return ends > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
