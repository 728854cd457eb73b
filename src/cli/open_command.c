/* The command `open`: the workbench in the browser, until it is interrupted. */
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "cli/command.h"
#include "cli/console.h"
#include "cli/session.h"
#include "serve/workbench.h"

#define OPENER "xdg-open" /* of the desktops that follow the common conventions */
#define PORT_LEAST 1024
#define PORT_MOST 65535

extern const struct owl_asset_table owl_page_assets; /* made by scripts/page-assets */
extern char **environ;

struct asked {
    const char *plan, *card, *book; /* NULL: not given */
    uint64_t port;                  /* 0: any */
    bool no_book, no_browser;
};

static int take(struct asked *asked, const char *word, const char *next)
{
    const struct owl_number_option port = {"--port", &asked->port, PORT_LEAST, PORT_MOST};
    if (strcmp(word, port.name) == 0)
        return owl_read_number(&port, next) == OWL_EXIT_WELL ? 2 : -1;
    if (strcmp(word, "--card") == 0 || strcmp(word, "--book") == 0) {
        if (!next || *next == '\0')
            return owl_complain_usage(word, "needs a folder behind it"), -1;
        *(word[2] == 'c' ? &asked->card : &asked->book) = next;
        return 2;
    }
    if (strcmp(word, "--no-book") == 0)
        asked->no_book = true;
    else if (strcmp(word, "--no-browser") == 0)
        asked->no_browser = true;
    else if (word[0] == '-' && word[1] != '\0')
        return owl_complain_usage("open takes --card, --port, --no-browser, --book and --no-book, not", word), -1;
    else if (asked->plan)
        return owl_complain_usage("open takes one plan file; this is a second:", word), -1;
    else
        asked->plan = word;
    return 1;
}

/* A plan that is not there yet is begun with the first saving; its folder must be there. */
static int check_plan(const char *path)
{
    struct stat about;
    const char *slash = strrchr(path, '/');
    if (stat(path, &about) == 0) {
        if (S_ISREG(about.st_mode))
            return OWL_EXIT_WELL;
        fprintf(stderr, "owllight: %s: %s\n", path,
                S_ISDIR(about.st_mode) ? "this is a directory; a plan file in it would be right" : "this is no file");
        return OWL_EXIT_WRONG;
    }
    char *folder = slash ? strndup(path, (size_t)(slash - path) + 1) : strdup(".");
    bool there = errno == ENOENT && folder && stat(folder, &about) == 0 && S_ISDIR(about.st_mode);
    free(folder);
    if (there) {
        printf("%s is new: it is written when you save.\n", path);
        return OWL_EXIT_WELL;
    }
    fprintf(stderr, "owllight: %s: %s\n", path, "there is no such file, nor a folder for it");
    return OWL_EXIT_WRONG;
}

static int read_asked(int count, char **words, struct asked *asked)
{
    *asked = (struct asked){0};
    for (int i = 0; i < count;) {
        int taken = take(asked, words[i], i + 1 < count ? words[i + 1] : NULL);
        if (taken < 0)
            return OWL_EXIT_WRONG;
        i += taken;
    }
    if (asked->book && asked->no_book)
        return owl_complain_usage("--book names a book: leave out --no-book", NULL);
    return asked->plan ? check_plan(asked->plan) : OWL_EXIT_WELL;
}

/* ---- the browser ---- */

static bool has_display(void)
{
    const char *x = getenv("DISPLAY"), *wayland = getenv("WAYLAND_DISPLAY");
    return (x && *x) || (wayland && *wayland);
}

/* In a process group of its own, so that the interrupt that ends us does not end the browser; with no signal blocked, and
   nothing of what it says on our terminal. Nobody waits for it: it may be the browser itself. */
static void open_browser(const char *address)
{
    char *const words[] = {(char *)OPENER, (char *)address, NULL};
    posix_spawn_file_actions_t files;
    posix_spawnattr_t how;
    sigset_t none;
    pid_t child;
    sigemptyset(&none);
    if (posix_spawn_file_actions_init(&files) != 0)
        return;
    if (posix_spawnattr_init(&how) == 0) {
        bool ready = posix_spawnattr_setsigmask(&how, &none) == 0 && posix_spawnattr_setpgroup(&how, 0) == 0 &&
                     posix_spawnattr_setflags(&how, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETPGROUP) == 0;
        for (int handle = 0; handle < 3 && ready; handle++)
            ready = posix_spawn_file_actions_addopen(&files, handle, "/dev/null", handle == 0 ? O_RDONLY : O_WRONLY, 0) == 0;
        if (ready && posix_spawnp(&child, OPENER, &files, &how, words, environ) != 0)
            printf("No browser could be opened: copy the address into one.\n");
        posix_spawnattr_destroy(&how);
    }
    posix_spawn_file_actions_destroy(&files);
}

/* ---- until it is interrupted ---- */

static sigset_t endings(void)
{
    sigset_t set;
    sigemptyset(&set);
    sigaddset(&set, SIGINT);
    sigaddset(&set, SIGTERM);
    sigaddset(&set, SIGHUP);
    return set;
}

static int run(struct owl_workbench *workbench, const struct asked *asked, const sigset_t *ends)
{
    char address[OWL_SERVER_ADDRESS_BYTES];
    struct owl_error error = {{0}};
    int ending = 0;
    enum owl_status status = owl_workbench_address(workbench, address, &error);
    if (status != OWL_OK) {
        (void)owl_workbench_stop(workbench);
        return owl_complain_error(status, &error);
    }
    printf("The workbench is open at %s\nThe address is good for one browser. Ctrl-C ends it.\n", address);
    fflush(stdout);
    if (!asked->no_browser && has_display())
        open_browser(address);
    fflush(stdout);
    sigwait(ends, &ending);
    pthread_sigmask(SIG_UNBLOCK, ends, NULL); /* a second one ends the program at once */
    bool stopped = owl_workbench_stop(workbench);
    printf("%sThe workbench is closed%s.\n", ending == SIGINT ? "\n" : "",
           stopped ? "; what it was at work on was stopped, and goes on when it is asked for again" : "");
    return OWL_EXIT_WELL;
}

int owl_command_open(int count, char **words)
{
    struct asked asked;
    struct owl_workbench *workbench = NULL;
    struct owl_error note = {{0}}, error = {{0}};
    int exit_status = read_asked(count, words, &asked);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    sigset_t ends = endings();
    pthread_sigmask(SIG_BLOCK, &ends, NULL); /* before any thread, so that only sigwait takes them */
    const struct owl_workbench_options options = {.plan = asked.plan, .card = asked.card, .book = asked.book,
                                                  .no_book = asked.no_book, .port = (int)asked.port, .assets = &owl_page_assets};
    enum owl_status status = owl_workbench_start(&options, &workbench, &note, &error);
    if (note.words[0])
        fprintf(stderr, "owllight: %s\n", note.words);
    return status == OWL_OK ? run(workbench, &asked, &ends) : owl_complain_error(status, &error);
}
