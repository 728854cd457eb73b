/* The child and its limits; the parent that collects, waits and kills. What Linux adds to POSIX here stays in this file. */
#define _GNU_SOURCE /* close_range, pipe2 */
#include "card/fenced.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#define HANDLES 3            /* the work's file, its answer, and one to nowhere */
#define FIRST_ROOM 65536     /* bytes of an answer */
#define NAP_NS 1000000       /* between two looks whether a child that has answered is gone */
#define POLL_MS_MOST 60000

#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#define LIMITS_MEMORY 0
#endif
#endif
#if !defined(LIMITS_MEMORY) && defined(__SANITIZE_ADDRESS__)
#define LIMITS_MEMORY 0
#endif
#ifndef LIMITS_MEMORY
#define LIMITS_MEMORY 1
#endif

/* ---- in the child ---- */

static bool limit(enum __rlimit_resource what, rlim_t most)
{
    struct rlimit now, wanted = {most, most};
    if (getrlimit(what, &now) == 0 && now.rlim_max < most)
        wanted = (struct rlimit){now.rlim_max, now.rlim_max};
    return setrlimit(what, &wanted) == 0;
}

static bool set_limits(const struct owl_fence *fence)
{
    return (!LIMITS_MEMORY || limit(RLIMIT_AS, fence->memory_bytes)) && limit(RLIMIT_CPU, fence->cpu_s) &&
           limit(RLIMIT_CORE, 0) && limit(RLIMIT_FSIZE, 0) && limit(RLIMIT_NOFILE, HANDLES);
}

/* Puts file, answer and nowhere in the places 0, 1 and 2, which any of them may hold already, and closes all else: no answer
   of another child, no lock and no output of the program stays open through this one. */
static bool keep_handles(int file, int answer)
{
    int kept = fcntl(file, F_DUPFD, HANDLES), told = fcntl(answer, F_DUPFD, HANDLES);
    int nowhere = open("/dev/null", O_RDWR);
    if (kept < 0 || told < 0 || nowhere < 0)
        return false;
    if (dup2(nowhere, 2) < 0 || dup2(kept, 0) < 0 || dup2(told, 1) < 0)
        return false;
    return close_range(HANDLES, ~0u, 0) == 0;
}

/* A handler of the program's, or of a sanitizer, has nothing to say about a crash that is allowed for. */
static void forget_handlers(void)
{
    struct sigaction plain = {.sa_handler = SIG_DFL};
    sigset_t none;
    for (int signal = 1; signal < NSIG; signal++)
        (void)sigaction(signal, &plain, NULL);
    sigemptyset(&none);
    sigprocmask(SIG_SETMASK, &none, NULL);
}

static _Noreturn void be_child(const struct owl_fence *fence, int answer, pid_t parent)
{
    forget_handlers();
    /* Not dumpable: a limit of 0 alone does not keep a core from a program that collects them. */
    bool ready = prctl(PR_SET_PDEATHSIG, SIGKILL) == 0 && prctl(PR_SET_DUMPABLE, 0) == 0 && getppid() == parent;
    ready = ready && keep_handles(fence->file, answer) && set_limits(fence);
    _exit(ready && fence->work(fence->context, 0, 1) ? EXIT_SUCCESS : EXIT_FAILURE);
}

/* ---- in the parent ---- */

static double now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

struct collected {
    uint8_t *bytes;
    size_t length, room, most;
};

/* Makes room for more than there is, up to one byte over the most, which shows an answer that is too long. */
static bool make_room(struct collected *collected)
{
    if (collected->length < collected->room)
        return true;
    size_t room = collected->room ? 2 * collected->room : FIRST_ROOM;
    if (room > collected->most)
        room = collected->most + 1;
    uint8_t *moved = realloc(collected->bytes, room);
    if (!moved)
        return false;
    collected->bytes = moved;
    collected->room = room;
    return true;
}

/* Waits until there is something to read or the end is reached. */
static bool wait_readable(int from, double until_s)
{
    for (;;) {
        double left_ms = ceil(1000.0 * (until_s - now_s()));
        if (!(left_ms > 0.0))
            return false;
        struct pollfd watched = {.fd = from, .events = POLLIN};
        int found = poll(&watched, 1, (int)fmin(left_ms, POLL_MS_MOST));
        if (found > 0)
            return true;
        if (found < 0 && errno != EINTR)
            return false;
    }
}

/* OWL_OK: all of it until the child closed its end. */
static enum owl_status collect(int from, double until_s, struct collected *collected)
{
    while (wait_readable(from, until_s)) {
        if (!make_room(collected))
            return OWL_NO_MEMORY;
        ssize_t got = read(from, collected->bytes + collected->length, collected->room - collected->length);
        if (got == 0)
            return OWL_OK;
        if (got < 0 && errno != EINTR)
            return OWL_CANNOT_READ;
        collected->length += got > 0 ? (size_t)got : 0;
        if (collected->length > collected->most)
            return OWL_CANNOT_READ;
    }
    return OWL_CANNOT_READ;
}

/* Whether the child ended by itself, in time, and well. It may live on after its answer: then it is killed like any other. */
static bool ended_well(pid_t child, double until_s, bool wanted)
{
    int how = 0;
    pid_t seen = 0;
    while (wanted && (seen = waitpid(child, &how, WNOHANG)) == 0 && now_s() < until_s)
        nanosleep(&(struct timespec){.tv_nsec = NAP_NS}, NULL);
    if (seen == 0) {
        kill(child, SIGKILL);
        while ((seen = waitpid(child, &how, 0)) < 0 && errno == EINTR)
            ;
    }
    return seen == child && WIFEXITED(how) && WEXITSTATUS(how) == EXIT_SUCCESS;
}

static enum owl_status finish(int from, pid_t child, const struct owl_fence *fence, struct collected *collected)
{
    double until_s = now_s() + fence->wall_s;
    enum owl_status status = collect(from, until_s, collected);
    if (!ended_well(child, until_s, status == OWL_OK) && status == OWL_OK)
        status = OWL_CANNOT_READ;
    return status;
}

enum owl_status owl_fenced(const struct owl_fence *fence, uint8_t **answer, size_t *length)
{
    int ends[2];
    if (pipe2(ends, O_CLOEXEC) != 0)
        return OWL_CANNOT_READ;
    pid_t parent = getpid(), child = fork();
    if (child == 0)
        be_child(fence, ends[1], parent);
    close(ends[1]);
    struct collected collected = {.most = fence->answer_bytes_most};
    enum owl_status status = child < 0 ? OWL_NO_MEMORY : finish(ends[0], child, fence, &collected);
    close(ends[0]);
    if (status != OWL_OK || collected.length == 0) {
        free(collected.bytes);
        collected.bytes = NULL;
    }
    if (status == OWL_OK) {
        *answer = collected.bytes;
        *length = collected.length;
    }
    return status;
}
