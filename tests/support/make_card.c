/* make_card PLAN DIRECTORY [options]: a made-up card on the disk, to try things on by hand and to measure speed. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/made_card.h"

static const char usage[] =
    "usage: make_card PLAN DIRECTORY [options]\n"
    "  --frames N        how many (60)\n"
    "  --seed S          the same seed makes the same card (1)\n"
    "  --size WxH        pixels as rendered (750x500)\n"
    "  --file-width N    files enlarged to that width\n"
    "  --file-noise L    levels of noise over files of another size than rendered (0)\n"
    "  --visited SHARE   frames with an animal (0.33)\n"
    "  --faults FACTOR   against the usual shares of faults; 0: none (1)\n"
    "  --blades N        of grass (120)\n"
    "  --wind W          0 to 1 (0.3)\n"
    "  --noise FACTOR    against a good image sensor (1)\n"
    "  --dusk LX         the sensor works up to so much light (as its gate says)\n"
    "  --knock N:X,Y     from frame N on the camera stands so that all lies X pixels to the right, Y lower\n"
    "  --quality Q       of the files, 1 to 100 (90)\n"
    "  --preview         with a second, smaller picture in each file\n"
    "  --truth FILE      where the truth goes (truth.csv beside the directory)\n";

struct call {
    struct made_card_wish wish;
    const char *directory, *truth;
    double faults;
};

/* Whether the option is known and its value reads. */
static bool take(struct call *call, const char *name, const char *value)
{
    struct made_card_wish *wish = &call->wish;
    struct {
        const char *name;
        int *whole;
        double *number;
    } plain[] = {{"--frames", &wish->frames, NULL},   {"--file-width", &wish->file_width, NULL},
                 {"--visited", NULL, &wish->visited}, {"--faults", NULL, &call->faults},
                 {"--blades", &wish->blades, NULL},   {"--wind", NULL, &wish->wind},
                 {"--noise", NULL, &wish->noise},     {"--dusk", NULL, &wish->lightest_lx},
                 {"--quality", &wish->quality, NULL},  {"--file-noise", NULL, &wish->file_noise}};
    char more;
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) {
        if (strcmp(name, plain[i].name) != 0)
            continue;
        if (plain[i].whole)
            return sscanf(value, "%d%c", plain[i].whole, &more) == 1;
        return sscanf(value, "%lf%c", plain[i].number, &more) == 1;
    }
    if (strcmp(name, "--seed") == 0) {
        char *end;
        wish->seed = strtoull(value, &end, 10);
        return *value != '\0' && *end == '\0';
    }
    if (strcmp(name, "--size") == 0)
        return sscanf(value, "%dx%d%c", &wish->width, &wish->height, &more) == 2;
    if (strcmp(name, "--knock") == 0)
        return sscanf(value, "%d:%lf,%lf%c", &wish->knock_at, &wish->knock_x_px, &wish->knock_y_px, &more) == 3;
    if (strcmp(name, "--truth") == 0)
        call->truth = value;
    return strcmp(name, "--truth") == 0;
}

static bool read_call(struct call *call, int count, char **words)
{
    int places = 0;
    for (int i = 1; i < count; i++) {
        if (strcmp(words[i], "--preview") == 0) {
            call->wish.preview = true;
        } else if (strncmp(words[i], "--", 2) == 0) {
            if (i + 1 >= count || !take(call, words[i], words[i + 1]))
                return false;
            i++;
        } else if (places++ == 0) {
            call->wish.plan_path = words[i];
        } else {
            call->directory = words[i];
        }
    }
    for (int i = 0; i < MADE_FAULTS; i++)
        call->wish.share[i] *= call->faults;
    return places == 2;
}

int main(int count, char **words)
{
    struct call call = {.wish = made_card_usual(NULL, 1, 60), .faults = 1.0};
    struct made_card_trouble trouble;
    if (!read_call(&call, count, words)) {
        fputs(usage, stderr);
        return 2;
    }
    if (made_card(&call.wish, call.directory, call.truth, NULL, &trouble) != OWL_OK) {
        fprintf(stderr, "make_card: %s\n", trouble.words);
        return 1;
    }
    return 0;
}
