/* The options that all commands about cards share. */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/card_options.h"
#include "cli/command.h"
#include "cli/console.h"
#include "core/plan/units.h"

#define FLASHES_MOST 6
#define SCORE_MOST 1000000

/* Four shares in percent of the frame's sides, with commas between: left, top, right, bottom. */
static bool read_region(const char *words, struct owl_judge_region *region)
{
    double side[4];
    for (int i = 0; i < 4; i++) {
        char *end = NULL;
        side[i] = strtod(words, &end) / 100.0;
        if (end == words || !(side[i] >= 0.0 && side[i] <= 1.0) || *end != (i < 3 ? ',' : '\0'))
            return false;
        words = end + 1;
    }
    *region = (struct owl_judge_region){side[0], side[1], side[2], side[3]};
    return side[0] < side[2] && side[1] < side[3];
}

static int take_region(struct owl_card_options *options, const char *words)
{
    if (options->ignored == OWL_JUDGE_IGNORED) {
        fprintf(stderr, "owllight: --ignore %s: there are %d already; fewer, larger ones would be right\n", words ? words : "",
                OWL_JUDGE_IGNORED);
        return -1;
    }
    if (!words || !read_region(words, &options->ignore[options->ignored])) {
        fprintf(stderr, "owllight: --ignore %s: left, top, right and bottom in percent of the frame would be right, "
                "such as 0,75,25,100\n", words ? words : "without a region");
        return -1;
    }
    options->ignored++;
    options->ignored_given = true;
    return 2;
}

static int take_shift(struct owl_card_options *options, const char *words)
{
    size_t at = 0, sign = words && (*words == '-' || *words == '+') ? 1 : 0;
    double shift_s = 0.0;
    if (!words || owl_unit_read(OWL_UNIT_TIME, words + sign, strlen(words + sign), &shift_s, &at) != OWL_READ_WELL) {
        fprintf(stderr, "owllight: --clock-shift %s: how much is to be added to the camera's clock would be right, such as "
                "'-1 h' or '+95 s'\n", words ? words : "without a time");
        return -1;
    }
    options->clock_shift_s = *words == '-' ? -shift_s : shift_s;
    options->shift_given = true;
    return 2;
}

static int take_number(const struct owl_number_option *option, bool *given, const char *words)
{
    *given = true;
    return owl_read_number(option, words) == OWL_EXIT_WELL ? 2 : -1;
}

int owl_card_option(struct owl_card_options *options, int count, char **words, int at)
{
    const char *word = words[at], *next = at + 1 < count ? words[at + 1] : NULL;
    const struct owl_number_option flashes = {"--flashes", &options->flashes, 0, FLASHES_MOST};
    const struct owl_number_option subject = {"--subject-from", &options->subject_from, 1, SCORE_MOST};
    if (strcmp(word, flashes.name) == 0)
        return take_number(&flashes, &options->flashes_given, next);
    if (strcmp(word, subject.name) == 0)
        return take_number(&subject, &options->subject_given, next);
    if (strcmp(word, "--ignore") == 0)
        return take_region(options, next);
    if (strcmp(word, "--clock-shift") == 0)
        return take_shift(options, next);
    if (strcmp(word, "--book") == 0) {
        options->book = next;
        return next && *next ? 2 : (owl_complain_usage("--book needs the book's folder behind it", NULL), -1);
    }
    if (strcmp(word, "--no-book") == 0)
        options->no_book = true;
    else if (strcmp(word, "--again") == 0)
        options->again = true;
    else
        return 0;
    return 1;
}

int owl_card_folder(struct owl_card_options *options, const char *command, const char *own, const char *word)
{
    char words[320];
    if (word[0] == '-' && word[1] != '\0') {
        snprintf(words, sizeof words, "%s takes %s%s%s, not", command, own, *own ? ", " : "", OWL_CARD_OPTIONS);
        return owl_complain_usage(words, word);
    }
    if (options->folder) {
        snprintf(words, sizeof words, "%s takes one folder; this is a second:", command);
        return owl_complain_usage(words, word);
    }
    options->folder = word;
    return OWL_EXIT_WELL;
}
