/* Every answer is tried at once with the reader of shelf files itself, in a thing that has nothing else, so that the questions
   accept exactly what a file may hold. */
#include "cli/shelf_questions.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/command.h"
#include "cli/console.h"

#define ANSWER_BYTES 256
#define PROBE_BYTES 2048
#define PROBE_LINE 3 /* the line that an answer stands on in a probe */

struct asking {
    const struct owl_shelf *shelf;
    struct owl_text *text;
    struct owl_shelf *probe;
    struct owl_complaints *complaints;
    char kind[ANSWER_BYTES];
    bool ended; /* no more answers */
};

/* One line without its end; false where there is none. */
static bool answer(struct asking *asking, const char *question, char words[ANSWER_BYTES])
{
    printf("%s ", question);
    fflush(stdout);
    if (asking->ended || !fgets(words, ANSWER_BYTES, stdin)) {
        asking->ended = true;
        return false;
    }
    words[strcspn(words, "\r\n")] = '\0';
    return true;
}

/* Whether a line is right in a thing of this kind; what is wrong is told. */
static bool try_line(struct asking *asking, const char *line)
{
    char words[PROBE_BYTES];
    struct owl_text probe = owl_text_over(words, sizeof words);
    owl_text_words(&probe, "[thing probe]\nis = ");
    owl_text_words(&probe, asking->kind);
    owl_text_char(&probe, '\n');
    owl_text_words(&probe, line);
    owl_text_char(&probe, '\n');
    if (owl_shelf_read(words, probe.length, asking->probe, asking->complaints) == OWL_OK)
        return true;
    for (int i = 0; i < asking->complaints->count; i++)
        if (asking->complaints->list[i].line == PROBE_LINE) {
            printf("  %s\n", asking->complaints->list[i].words);
            return false;
        }
    return true;
}

/* Asks until the line `before` + answer is right, and keeps it; an empty answer keeps nothing. False: the answers ended. */
static bool ask_line(struct asking *asking, const char *question, const char *before, char words[ANSWER_BYTES])
{
    while (answer(asking, question, words)) {
        char line[2 * ANSWER_BYTES];
        if (*words == '\0')
            return true;
        if (snprintf(line, sizeof line, "%s%s", before, words) >= (int)sizeof line || !try_line(asking, line))
            continue;
        owl_text_words(asking->text, line);
        owl_text_char(asking->text, '\n');
        return true;
    }
    return false;
}

/* A numbered list, answered by number or word; the place chosen, -1 for an empty answer, -2 at the end. */
static int ask_choice(struct asking *asking, const char *question, const char *(*choice)(int place))
{
    char words[ANSWER_BYTES];
    for (int i = 0; choice(i); i++)
        printf("  %2d  %s\n", i + 1, choice(i));
    while (answer(asking, question, words)) {
        char *end = NULL;
        long number = strtol(words, &end, 10);
        if (*words == '\0')
            return -1;
        for (int i = 0; choice(i); i++)
            if ((*end == '\0' && number == i + 1) || owl_text_same_name(words, choice(i)))
                return i;
        printf("  a number of the list, or its word, would be right\n");
    }
    return -2;
}

static bool ask_name(struct asking *asking)
{
    char words[ANSWER_BYTES];
    while (answer(asking, "What do you call it?", words)) {
        if (*words == '\0' || strlen(words) >= OWL_THING_NAME_BYTES || strpbrk(words, "[]#\"")) {
            printf("  a name of 1 to %d letters without brackets, quotes and # would be right\n", OWL_THING_NAME_BYTES - 1);
            continue;
        }
        if (owl_shelf_find(asking->shelf, words)) {
            printf("  the shelf has a thing of that name already\n");
            continue;
        }
        owl_text_words(asking->text, "[thing ");
        owl_text_words(asking->text, words);
        owl_text_words(asking->text, "]\n");
        return true;
    }
    return false;
}

static bool ask_kind(struct asking *asking)
{
    int kind;
    while ((kind = ask_choice(asking, "What is it?", owl_thing_kind_words)) == -1)
        printf("  it must be something\n");
    if (kind < 0)
        return false;
    snprintf(asking->kind, sizeof asking->kind, "%s", owl_thing_kind_words(kind));
    owl_text_words(asking->text, "is = ");
    owl_text_words(asking->text, asking->kind);
    owl_text_char(asking->text, '\n');
    return true;
}

/* Price and weather stand beside the table of fields; the rest is asked as the table has it. */
static bool ask_fields(struct asking *asking)
{
    char words[ANSWER_BYTES], question[2 * ANSWER_BYTES], before[ANSWER_BYTES];
    if (!ask_line(asking, "Price, with its currency, such as 14.50 EUR (Enter: not known)", "price = ", words) ||
        !ask_line(asking, "Weather rating, such as IP54 (Enter: none)", "weather = ", words))
        return false;
    for (int i = 0; owl_thing_field_at(i); i++) {
        const struct owl_thing_field *field = owl_thing_field_at(i);
        if (strcmp(field->name, "is") == 0)
            continue;
        snprintf(before, sizeof before, "%s = ", field->name);
        struct owl_text text = owl_text_over(question, sizeof question);
        owl_text_words(&text, field->name);
        owl_text_words(&text, ": ");
        owl_text_words(&text, field->help);
        for (int k = 0; field->choice && field->choice(k); k++) {
            owl_text_words(&text, k ? ", " : " [");
            owl_text_words(&text, field->choice(k));
        }
        owl_text_words(&text, field->choice ? "] (Enter: not known)" : " (Enter: not known)");
        if (!ask_line(asking, question, before, words))
            return false;
    }
    return true;
}

/* ---- sockets ---- */

static bool add_words(struct asking *asking, const char *question, const char *before, char *line, size_t room)
{
    char words[ANSWER_BYTES];
    if (!answer(asking, question, words))
        return false;
    if (*words && strlen(line) + strlen(before) + strlen(words) + 1 < room) {
        strcat(line, before);
        strcat(line, words);
    }
    return true;
}

/* One socket as its sentence, put together from four answers; 1 taken, 0 no more, -1 the answers ended. */
static int ask_socket(struct asking *asking, int number)
{
    char line[4 * ANSWER_BYTES], shape[ANSWER_BYTES];
    printf("Socket %d, or the end of a cable:\n", number);
    int kind = ask_choice(asking, number == 1 ? "Which form has it?" : "Which form has it? (Enter: there are no more)", owl_socket_kind_words);
    if (kind < 0)
        return kind == -1 && number > 1 ? 0 : kind == -1 ? 1 : -1;
    shape[0] = '\0';
    if (kind == OWL_SOCKET_PORT && !answer(asking, "What shape is it, such as round 3-pin?", shape))
        return -1;
    snprintf(line, sizeof line, "socket s%d = %s%s%s", number, shape, *shape ? " " : "", owl_socket_kind_words(kind));
    bool air = kind == OWL_SOCKET_RADIO || kind == OWL_SOCKET_LIGHT;
    const char *side = kind == OWL_SOCKET_HOT_SHOE ? "A foot that slides into a shoe? Then type foot (Enter: it is the shoe)" : "plug or socket?";
    if ((!air && !add_words(asking, side, " ", line, sizeof line)) ||
        !add_words(asking, "What goes through it? Such as: takes sync; gives focus and release; passes sync", ", ", line, sizeof line) ||
        !add_words(asking, air ? "What else is stated? Such as: set blue, 16 channels (Enter: nothing)"
                               : "What else is stated? Such as: presents 5 V, bears 24 V, centre plus, dry contact, tip release (Enter: nothing)",
                   ", ", line, sizeof line))
        return -1;
    if (!try_line(asking, line)) {
        printf("  once more:\n");
        return ask_socket(asking, number);
    }
    owl_text_words(asking->text, line);
    owl_text_char(asking->text, '\n');
    return 1;
}

static bool ask_sockets(struct asking *asking)
{
    int taken = 1;
    for (int number = 1; taken == 1 && number <= OWL_THING_SOCKETS; number++)
        taken = ask_socket(asking, number);
    return taken >= 0;
}

int owl_shelf_ask(const struct owl_shelf *shelf, struct owl_text *text)
{
    struct asking asking = {.shelf = shelf, .text = text, .probe = calloc(1, sizeof *asking.probe),
                            .complaints = calloc(1, sizeof *asking.complaints), .kind = "other"};
    bool whole = asking.probe && asking.complaints;
    printf("Answer from the manual; what you do not know stays open. Nothing is written before the last answer.\n");
    whole = whole && ask_name(&asking) && ask_kind(&asking) && ask_fields(&asking) && ask_sockets(&asking);
    free(asking.probe);
    free(asking.complaints);
    if (whole)
        return OWL_EXIT_WELL;
    return asking.ended ? owl_complain_usage("the answers ended before the last question; nothing was written", NULL)
                        : owl_complain_memory();
}
