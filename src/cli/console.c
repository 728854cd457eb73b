/* Pages, options, threads, progress and new files, as every command handles them. */
#include "cli/console.h"

#include <errno.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/session.h"
#include "core/status.h"

#define PROGRESS_AFTER_S 1.0
#define PROGRESS_EVERY_S 0.2

int owl_complain_memory(void)
{
    fprintf(stderr, "owllight: %s\n", owl_status_words(OWL_NO_MEMORY));
    return OWL_EXIT_FAILED;
}

struct owl_text owl_page_begin(size_t bytes)
{
    char *buffer = malloc(bytes);
    if (!buffer) {
        owl_complain_memory();
        return (struct owl_text){0};
    }
    return owl_text_over(buffer, bytes);
}

int owl_page_end(struct owl_text *page)
{
    bool whole = owl_print(page);
    if (!whole)
        fprintf(stderr, "owllight: the output could not be written\n");
    free(page->buffer);
    return whole ? OWL_EXIT_WELL : OWL_EXIT_FAILED;
}

static bool read_whole(const char *words, uint64_t most, uint64_t *value)
{
    uint64_t sum = 0;
    if (*words == '\0' || strlen(words) > 15)
        return false;
    for (; *words; words++) {
        if (*words < '0' || *words > '9')
            return false;
        sum = sum * 10 + (uint64_t)(*words - '0');
    }
    *value = sum;
    return sum <= most;
}

int owl_read_number(const struct owl_number_option *option, const char *words)
{
    uint64_t value = 0;
    if (words && read_whole(words, option->most, &value) && value >= option->least) {
        *option->value = value;
        return OWL_EXIT_WELL;
    }
    fprintf(stderr, "owllight: %s %s: a whole number from %llu to %llu would be right\n", option->name,
            words ? words : "without a number", (unsigned long long)option->least, (unsigned long long)option->most);
    return OWL_EXIT_WRONG;
}

/* The one place where the program keeps something for itself: a signal can reach nothing else. */
static atomic_int interrupted;

static void interrupt(int signal_number)
{
    (void)signal_number;
    atomic_store(&interrupted, 1);
}

void owl_listen_for_interrupt(void)
{
    struct sigaction action;
    memset(&action, 0, sizeof action);
    action.sa_handler = interrupt;
    action.sa_flags = (int)SA_RESETHAND;
    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, NULL);
}

bool owl_interrupted(void)
{
    return atomic_load(&interrupted) != 0;
}

static double now_s(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

struct owl_progress owl_progress_begin(void)
{
    return (struct owl_progress){.telling = isatty(STDERR_FILENO) != 0, .next_s = now_s() + PROGRESS_AFTER_S};
}

bool owl_progress_due(struct owl_progress *progress)
{
    if (!progress->telling || now_s() < progress->next_s)
        return false;
    progress->told = true;
    progress->next_s = now_s() + PROGRESS_EVERY_S;
    return true;
}

void owl_progress_end(const struct owl_progress *progress)
{
    if (progress->told)
        fprintf(stderr, "\r%*s\r", 40, "");
}

int owl_write_picture(const char *path, const char *option, const void *bytes, size_t length)
{
    enum owl_written written = owl_write_new_bytes(path, bytes, length);
    if (written == OWL_WRITTEN)
        return OWL_EXIT_WELL;
    if (written == OWL_NOT_OPENED && errno == EEXIST)
        fprintf(stderr, "owllight: %s: is there already; %s writes new files only\n", path, option);
    else
        fprintf(stderr, "owllight: %s: %s\n", path, strerror(errno));
    return written == OWL_NOT_OPENED ? OWL_EXIT_WRONG : OWL_EXIT_FAILED;
}

void owl_page_integer(struct owl_text *text, int value, int columns)
{
    char shown[16];
    struct owl_text number = owl_text_over(shown, sizeof shown);
    owl_text_integer(&number, value);
    owl_text_repeat(text, ' ', columns - (int)number.length);
    owl_text_words(text, shown);
}
