/* Doubling strides out, halving strides in. */
#include "core/rehearse/advise_line.h"

#include <math.h>

#define NEARLY_AS_GOOD 0.95 /* of the gain; our choice */
#define PLACES_DOWN 128
#define PLACES 256

struct owl_line owl_line_of(int lever, int hint, int reach)
{
    return (struct owl_line){.levers = 1, .lever = {lever}, .ratio = {1}, .hint = hint, .reach = reach};
}

void owl_line_add(struct owl_line *line, int lever, int ratio)
{
    if (line->levers == OWL_LINE_LEVERS)
        return;
    line->lever[line->levers] = lever;
    line->ratio[line->levers++] = ratio;
}

/* 1, -1, 2, -2, 4, -4 .. */
static int coarse_place(int number)
{
    int away = 1 << number / 2;
    return number % 2 ? -away : away;
}

/* The hint, the coarse places up to the reach, then both sides of the best at half the stride, a quarter .. 0: done. */
static int next_place(struct owl_line *line)
{
    if (line->hint != 0) {
        int hint = line->hint;
        line->hint = 0;
        return hint;
    }
    if (line->stride == 0) {
        int place = coarse_place(line->tries);
        if (place <= line->reach && -place <= line->reach) {
            line->tries++;
            return place;
        }
        line->stride = line->best > 0 ? line->best : -line->best;
        line->tries = 0;
    }
    if (line->tries % 2 == 0)
        line->stride /= 2;
    if (line->stride == 0)
        return 0;
    return line->best + (line->tries++ % 2 ? -line->stride : line->stride);
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
    do {
        line->place = next_place(line);
    } while (line->place != 0 && !is_news(line, line->place));
    return line->place != 0;
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
