/* Doubling strides out, halving strides in. */
#include "core/rehearse/advise_line.h"

#include <math.h>

#define NEARLY_AS_GOOD 0.98 /* of the gain; our choice */
#define PLACES_DOWN 128
#define PLACES 256

struct owl_line owl_line_of(int lever, int hint, int reach)
{
    return (struct owl_line){.levers = 1, .lever = {lever}, .ratio = {1}, .hint = hint, .reach = reach};
}

/* Thirds of a stop, and whole stops of flash power. */
static const struct {
    enum owl_lever_kind one, other;
    int step, other_step;
} joint[OWL_LINE_JOINTS] = {
    {OWL_LEVER_APERTURE, OWL_LEVER_ISO, 1, 1}, {OWL_LEVER_APERTURE, OWL_LEVER_POWER, 3, 1},
    {OWL_LEVER_ISO, OWL_LEVER_POWER, 3, -1},   {OWL_LEVER_APERTURE, OWL_LEVER_SHUTTER, 1, 1},
    {OWL_LEVER_ISO, OWL_LEVER_SHUTTER, 1, -1}, {OWL_LEVER_POWER, OWL_LEVER_POWER, 1, 1},
};

static void add_levers(const struct owl_ground *ground, enum owl_lever_kind kind, int ratio, struct owl_line *line)
{
    for (int i = 0; i < ground->levers && line->levers < OWL_LINE_LEVERS; i++) {
        if (ground->lever[i].kind != kind)
            continue;
        line->lever[line->levers] = i;
        line->ratio[line->levers++] = ratio;
    }
}

struct owl_line owl_line_joint(const struct owl_ground *ground, int number, int reach)
{
    struct owl_line line = {.reach = reach};
    add_levers(ground, joint[number].one, joint[number].step, &line);
    if (joint[number].other != joint[number].one)
        add_levers(ground, joint[number].other, joint[number].other_step, &line);
    return line;
}

/* 1, -1, 2, -2, 4, -4 .. */
static int coarse_place(int number)
{
    int away = 1 << number / 2;
    return number % 2 ? -away : away;
}

/* The hint, the coarse places up to the reach, then both sides of the best at half the stride, a quarter and so on. */
static bool go_on(struct owl_line *line)
{
    if (line->hint != 0) {
        line->place = line->hint;
        line->hint = 0;
        return true;
    }
    if (line->stride == 0) {
        line->place = coarse_place(line->tries++);
        if (line->place <= line->reach && -line->place <= line->reach)
            return true;
        line->stride = line->best > 0 ? line->best : -line->best;
        line->tries = 0;
    }
    if (line->tries % 2 == 0)
        line->stride /= 2;
    line->place = line->best + (line->tries++ % 2 ? -line->stride : line->stride);
    return line->stride != 0;
}

static bool is_news(struct owl_line *line, int place)
{
    int bit = place + PLACES_DOWN;
    if (place == 0 || bit < 0 || bit >= PLACES)
        return false;
    uint64_t mask = (uint64_t)1 << bit % 64, *word = &line->tried[bit / 64];
    bool news = !(*word & mask);
    *word |= mask;
    return news;
}

bool owl_line_next(struct owl_line *line)
{
    while (go_on(line))
        if (is_news(line, line->place))
            return true;
    return false;
}

struct owl_steps owl_line_steps(const struct owl_line *line, const struct owl_steps *from, int place)
{
    struct owl_steps steps = *from;
    for (int i = 0; i < line->levers; i++)
        steps.step[line->lever[i]] += place * line->ratio[i];
    return steps;
}

double owl_line_target(const struct owl_line *line)
{
    return line->best != 0 ? NEARLY_AS_GOOD * line->gain.mean : 0.0;
}

bool owl_line_take(struct owl_line *line, const struct owl_difference *gain)
{
    bool smaller = line->place * line->place < line->best * line->best;
    double wanted = line->best == 0 ? 0.0 : smaller ? NEARLY_AS_GOOD * line->gain.mean : line->gain.mean / NEARLY_AS_GOOD;
    if (gain->mean - OWL_INTERVAL_ERRORS * gain->error <= 0.0 || gain->mean <= wanted)
        return false;
    line->best = line->place;
    line->gain = *gain;
    return true;
}
