/* The command `shelf`: shows the things everybody can have, lists a shelf of one's own, adds to it by questions, and reads camera
   and lens out of pictures. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/command.h"
#include "cli/console.h"
#include "cli/shelf_files.h"
#include "cli/shelf_questions.h"
#include "gear/from_photos.h"
#include "shelf/generic.h"

#define THING_BYTES 4096
#define GEAR_BYTES 8192
#define NAME_COLUMNS 36
#define KIND_COLUMNS 13

/* ---- listing ---- */

static void list_thing(const struct owl_shelf *shelf, const struct owl_thing *thing, struct owl_text *text)
{
    owl_text_words(text, "  ");
    owl_text_padded(text, thing->name, NAME_COLUMNS);
    owl_text_padded(text, owl_thing_kind_words(thing->kind), KIND_COLUMNS);
    owl_text_words(text, thing->owned > 0.0 ? "owned " : "");
    if (thing->owned > 0.0)
        owl_text_integer(text, (int64_t)thing->owned);
    owl_text_words(text, thing->owned > 0.0 && thing->price >= 0 ? ", " : "");
    if (thing->price >= 0)
        owl_money_show(thing->price, shelf->currency, text);
    owl_text_char(text, '\n');
    for (int i = 0; i < thing->sockets; i++) {
        owl_text_words(text, "      ");
        owl_text_words(text, thing->socket[i].name);
        owl_text_words(text, ": ");
        owl_socket_show(&thing->socket[i], text);
        owl_text_char(text, '\n');
    }
}

static int list(const char *path)
{
    struct owl_shelves shelves;
    int exit_status = owl_shelves_open(&path, 1, &shelves);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    const struct owl_shelf *shelf = &shelves.shelf[0];
    struct owl_text page = owl_page_begin((size_t)(shelf->things + 1) * THING_BYTES);
    exit_status = OWL_EXIT_FAILED;
    if (page.buffer) {
        owl_text_integer(&page, shelf->things);
        owl_text_words(&page, shelf->things == 1 ? " thing\n" : " things\n");
        for (int i = 0; i < shelf->things; i++)
            list_thing(shelf, &shelf->thing[i], &page);
        exit_status = owl_page_end(&page);
    }
    owl_shelves_close(&shelves);
    return exit_status;
}

/* ---- adding ---- */

/* The old text and the new thing together, in a new file that then takes the old one's place: whole or not at all. */
static int put_beside(const char *path, const struct owl_text *text)
{
    char part[4096];
    if (snprintf(part, sizeof part, "%s.part", path) >= (int)sizeof part)
        return owl_complain_usage("the path is too long:", path);
    int exit_status = owl_write_picture(part, "shelf add", text->buffer, text->length);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    if (rename(part, path) == 0)
        return OWL_EXIT_WELL;
    fprintf(stderr, "owllight: %s: %s\n", path, strerror(errno));
    remove(part);
    return OWL_EXIT_FAILED;
}

static int add(const char *path)
{
    size_t length = 0;
    FILE *there = fopen(path, "rb");
    if (there)
        fclose(there);
    char *old = there ? owl_shelves_text(path, &length) : calloc(1, 1);
    struct owl_shelf *shelf = calloc(1, sizeof *shelf);
    struct owl_text text = owl_page_begin(OWL_SHELF_TEXT_BYTES);
    int exit_status = OWL_EXIT_FAILED;
    if (old && shelf && text.buffer) {
        exit_status = there ? owl_shelves_read(path, old, length, shelf) : OWL_EXIT_WELL;
        owl_text_bytes(&text, old, length);
        owl_text_words(&text, length > 0 && old[length - 1] != '\n' ? "\n\n" : length > 0 ? "\n" : "");
        if (exit_status == OWL_EXIT_WELL)
            exit_status = owl_shelf_ask(shelf, &text);
        if (exit_status == OWL_EXIT_WELL)
            exit_status = owl_shelves_read(path, text.buffer, text.length, shelf);
        if (exit_status == OWL_EXIT_WELL)
            exit_status = put_beside(path, &text);
        if (exit_status == OWL_EXIT_WELL)
            printf("\n%s is on the shelf %s\n", shelf->thing[shelf->things - 1].name, path);
    }
    free(text.buffer);
    free(shelf);
    free(old);
    return exit_status;
}

/* ---- from pictures ---- */

static int from_photos(int count, char **words)
{
    struct owl_gear_seen seen = {0};
    struct owl_error error = {{0}};
    for (int i = 0; i < count; i++) {
        enum owl_status status = owl_gear_take_photo(&seen, words[i], &error);
        if (status != OWL_OK) {
            fprintf(stderr, "owllight: %s\n", error.words);
            return status == OWL_NO_MEMORY ? OWL_EXIT_FAILED : OWL_EXIT_WRONG;
        }
    }
    owl_gear_find_sensor(&seen);
    struct owl_text page = owl_page_begin(GEAR_BYTES);
    if (!page.buffer)
        return OWL_EXIT_FAILED;
    owl_gear_write(&seen, &page);
    return owl_page_end(&page);
}

int owl_command_shelf(int count, char **words)
{
    if (count == 0)
        return fputs(owl_shelf_generic_text(), stdout) >= 0 && fflush(stdout) == 0 ? OWL_EXIT_WELL : OWL_EXIT_FAILED;
    if (strcmp(words[0], "from") == 0)
        return count > 1 ? from_photos(count - 1, words + 1)
                         : owl_complain_usage("shelf from needs pictures taken by the camera, such as: shelf from IMG_0001.JPG", NULL);
    if (strcmp(words[0], "add") == 0)
        return count == 2 ? add(words[1]) : owl_complain_usage("shelf add needs the file to add to, such as: shelf add my.shelf", NULL);
    if (count > 1 || words[0][0] == '-')
        return owl_complain_usage("shelf takes nothing, a shelf file, add FILE, or from PICTURES, not", words[count > 1 ? 1 : 0]);
    return list(words[0]);
}
