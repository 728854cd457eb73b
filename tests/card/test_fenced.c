/* What must hold when work done apart goes wrong: the caller lives on, in time, with no child and no handle more than before. */
#define _GNU_SOURCE /* for what a child may try */
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "card/fenced.h"
#include "support/check.h"
#include "support/handles.h"

#define MB ((size_t)1 << 20)

static struct owl_fence fence_for(bool (*work)(void *, int, int), void *context, int file)
{
    return (struct owl_fence){.work = work, .context = context, .file = file, .memory_bytes = 1024 * MB, .cpu_s = 5,
                              .wall_s = 10.0, .answer_bytes_most = 4 * MB};
}

static double now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Runs it; must leave nothing behind and, on failure, not touch what it was given. */
static enum owl_status run(const struct owl_fence *fence, uint8_t **answer, size_t *length)
{
    uint8_t mark = 0, *got = &mark;
    size_t counted = 77;
    int before = handles_open();
    enum owl_status status = owl_fenced(fence, &got, &counted);
    assert_int_equal(handles_open(), before);
    assert_int_equal(waitpid(-1, NULL, WNOHANG), -1);
    assert_int_equal(errno, ECHILD);
    if (status != OWL_OK) {
        assert_ptr_equal(got, &mark);
        assert_int_equal(counted, 77);
        return status;
    }
    if (answer) {
        *answer = got;
        *length = counted;
    } else {
        free(got);
    }
    return status;
}

static enum owl_status run_work(bool (*work)(void *, int, int), void *context)
{
    struct owl_fence fence = fence_for(work, context, STDIN_FILENO);
    return run(&fence, NULL, NULL);
}

/* ---- answers ---- */

static bool write_bytes(void *context, int file, int answer)
{
    (void)file;
    uint8_t bytes[1000];
    for (size_t left = *(size_t *)context, done = 0; left > 0;) {
        size_t part = left < sizeof bytes ? left : sizeof bytes;
        for (size_t i = 0; i < part; i++)
            bytes[i] = (uint8_t)((done + i) * 31 >> 3);
        ssize_t put = write(answer, bytes, part);
        if (put <= 0)
            return false;
        done += (size_t)put;
        left -= (size_t)put;
    }
    return true;
}

/* identity: what the work writes comes back, byte by byte, for no bytes, few, and as many as are allowed; none more. */
static void test_fenced_answer(void **state)
{
    (void)state;
    const size_t lengths[] = {0, 1, 65535, 65536, 65537, 1000000, 4 * MB};
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
        size_t wanted = lengths[i], length = 0;
        uint8_t *answer = NULL;
        struct owl_fence fence = fence_for(write_bytes, &wanted, STDIN_FILENO);
        assert_int_equal(run(&fence, &answer, &length), OWL_OK);
        assert_int_equal(length, wanted);
        assert_true((answer == NULL) == (wanted == 0));
        for (size_t k = 0; k < length; k++)
            if (answer[k] != (uint8_t)(k * 31 >> 3))
                fail_msg("byte %zu of %zu differs", k, length);
        free(answer);
    }
    size_t too_many = 4 * MB + 1, far_too_many = 400 * MB;
    assert_int_equal(run_work(write_bytes, &too_many), OWL_CANNOT_READ);
    assert_int_equal(run_work(write_bytes, &far_too_many), OWL_CANNOT_READ);
}

/* ---- what a child is given ---- */

static bool tell_handles(void *context, int file, int answer)
{
    (void)context;
    char of_file[16] = "";
    bool reads = pread(file, of_file, 4, 0) == 4 && memcmp(of_file, "\177ELF", 4) == 0;
    int others = 0;
    for (int i = 0; i < 4096; i++)
        others += i != file && i != answer && fcntl(i, F_GETFD) != -1;
    bool opens = open("/dev/null", O_RDONLY) >= 0;
    bool told = write(answer, "x", 1) == 1;
    return reads && others == 1 && !opens && told;
}

/* fault: whatever handles the program holds, in whatever places, the child has its file, its answer and one to nowhere, and
   can open no other. */
static void test_fenced_handles(void **state)
{
    (void)state;
    int program = open("/proc/self/exe", O_RDONLY | O_CLOEXEC), spare[40];
    assert_true(program >= 0);
    for (size_t i = 0; i < 40; i++)
        spare[i] = dup(program);
    struct owl_fence fence = fence_for(tell_handles, NULL, program);
    assert_int_equal(run(&fence, NULL, NULL), OWL_OK);
    /* Also with the program's own three closed, as a service may be started, so that the pipe or the file takes their place. */
    for (int place = 0; place < 3; place++) {
        int saved = dup(place);
        close(place);
        assert_int_equal(run(&fence, NULL, NULL), OWL_OK);
        int low = dup(program);
        struct owl_fence low_fence = fence_for(tell_handles, NULL, low);
        assert_int_equal(run(&low_fence, NULL, NULL), OWL_OK);
        close(low);
        dup2(saved, place);
        close(saved);
    }
    for (size_t i = 0; i < 40; i++)
        close(spare[i]);
    close(program);
}

static bool write_a_file(void *context, int file, int answer)
{
    (void)context;
    (void)answer;
    return write(file, "x", 1) == 1;
}

/* fault: even a handle that could write a file writes none. */
static void test_fenced_writes_nothing(void **state)
{
    (void)state;
    char name[] = "/tmp/owllight-fenced-XXXXXX";
    int file = mkstemp(name);
    assert_true(file >= 0);
    unlink(name);
    struct owl_fence fence = fence_for(write_a_file, NULL, file);
    assert_int_equal(run(&fence, NULL, NULL), OWL_CANNOT_READ);
    assert_int_equal(lseek(file, 0, SEEK_END), 0);
    close(file);
}

/* ---- ways to go wrong ---- */

static bool say_no(void *context, int file, int answer)
{
    (void)context;
    (void)file;
    return write(answer, "half", 4) != 4;
}

static bool crash(void *context, int file, int answer)
{
    (void)file;
    if (write(answer, "half", 4) != 4)
        return false;
    raise(*(int *)context);
    return true;
}

static bool stop_the_program(void *context, int file, int answer)
{
    (void)context;
    (void)file;
    (void)answer;
    abort();
}

static void no_handler(int signal)
{
    (void)signal;
}

/* fault: a failure after half an answer, or any deadly signal, is a failure; the program's own handlers do not save the child. */
static void test_fenced_crashes(void **state)
{
    (void)state;
    const int deadly[] = {SIGSEGV, SIGBUS, SIGABRT, SIGFPE, SIGILL, SIGKILL, SIGTERM, SIGXCPU, SIGPIPE};
    assert_int_equal(run_work(say_no, NULL), OWL_CANNOT_READ);
    assert_int_equal(run_work(stop_the_program, NULL), OWL_CANNOT_READ);
    struct sigaction caught = {.sa_handler = no_handler}, before;
    sigaction(SIGTERM, &caught, &before);
    for (size_t i = 0; i < sizeof deadly / sizeof *deadly; i++) {
        int which = deadly[i];
        assert_int_equal(run_work(crash, &which), OWL_CANNOT_READ);
    }
    sigaction(SIGTERM, &before, NULL);
}

static bool sleep_on(void *context, int file, int answer)
{
    (void)file;
    if (context)
        close(answer);
    while (pause() != 0)
        ;
    return true;
}

static bool trickle(void *context, int file, int answer)
{
    (void)context;
    (void)file;
    while (write(answer, "x", 1) == 1)
        nanosleep(&(struct timespec){.tv_nsec = 20000000}, NULL);
    return true;
}

/* fault: a child that hangs is killed when its time is up: silent, after its answer, or with an answer that never ends. */
static void test_fenced_hangs(void **state)
{
    (void)state;
    int yes = 1;
    struct owl_fence fences[] = {fence_for(sleep_on, NULL, STDIN_FILENO), fence_for(sleep_on, &yes, STDIN_FILENO),
                                 fence_for(trickle, NULL, STDIN_FILENO)};
    for (size_t i = 0; i < sizeof fences / sizeof *fences; i++) {
        fences[i].wall_s = 0.3;
        double from = now_s();
        assert_int_equal(run(&fences[i], NULL, NULL), OWL_CANNOT_READ);
        double took = now_s() - from;
        assert_true(took >= 0.29 && took < 5.0);
    }
}

static bool spin(void *context, int file, int answer)
{
    (void)context;
    (void)file;
    (void)answer;
    volatile bool on = true;
    while (on)
        ;
    return true;
}

/* fault: a child that computes for ever is ended by the time of the processor it may use, long before the clock's. */
static void test_fenced_spins(void **state)
{
    (void)state;
    struct owl_fence fence = fence_for(spin, NULL, STDIN_FILENO);
    fence.cpu_s = 1;
    fence.wall_s = 60.0;
    double from = now_s();
    assert_int_equal(run(&fence, NULL, NULL), OWL_CANNOT_READ);
    assert_true(now_s() - from < 30.0);
}

static bool take_memory(void *context, int file, int answer)
{
    (void)file;
    void *taken = mmap(NULL, *(size_t *)context, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    return taken != MAP_FAILED && write(answer, "x", 1) == 1;
}

/* fault: memory above the limit is not had, below it it is. Under the address sanitizer there is no such limit. */
static void test_fenced_memory(void **state)
{
    (void)state;
#if defined(__SANITIZE_ADDRESS__)
    skip();
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
    skip();
#endif
#endif
    size_t little = 200 * MB, much = 1100 * MB;
    assert_int_equal(run_work(take_memory, &little), OWL_OK);
    assert_int_equal(run_work(take_memory, &much), OWL_CANNOT_READ);
}

/* fault: where no handle is left for the pipe nothing happens. */
static void test_fenced_no_handle(void **state)
{
    (void)state;
    int taken[4096], count = 0;
    while (count < 4096 && (taken[count] = dup(STDIN_FILENO)) >= 0)
        count++;
    size_t some = 1, length = 0;
    uint8_t *answer = NULL;
    struct owl_fence fence = fence_for(write_bytes, &some, STDIN_FILENO);
    enum owl_status status = owl_fenced(&fence, &answer, &length);
    bool full = count < 4096;
    while (count > 0)
        close(taken[--count]);
    free(answer);
    assert_true(!full || status == OWL_CANNOT_READ);
}

/* fault: with children reaped by the system itself the way of the end is not known, and the answer not believed. */
static void test_fenced_children_ignored(void **state)
{
    (void)state;
    struct sigaction ignored = {.sa_handler = SIG_IGN}, before;
    sigaction(SIGCHLD, &ignored, &before);
    size_t some = 9;
    assert_int_equal(run_work(write_bytes, &some), OWL_CANNOT_READ);
    sigaction(SIGCHLD, &before, NULL);
    assert_int_equal(run_work(write_bytes, &some), OWL_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fenced_answer),       cmocka_unit_test(test_fenced_handles),
        cmocka_unit_test(test_fenced_writes_nothing), cmocka_unit_test(test_fenced_crashes),
        cmocka_unit_test(test_fenced_hangs),        cmocka_unit_test(test_fenced_spins),
        cmocka_unit_test(test_fenced_memory),       cmocka_unit_test(test_fenced_no_handle),
        cmocka_unit_test(test_fenced_children_ignored),
    };
    return cmocka_run_group_tests_name("fenced", tests, NULL, NULL);
}
