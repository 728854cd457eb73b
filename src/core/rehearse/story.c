/* Sentences for a traced pass: who came, what the sensor did, where it was in the picture, what was lost. */
#include "core/rehearse/story.h"

#include <math.h>

#include "core/constants.h"

/* A story being told. */
struct teller {
    const struct owl_setup *setup;
    const struct owl_trace *trace;
    struct owl_text *text;
};

static void say(const struct teller *teller, const char *words)
{
    owl_text_words(teller->text, words);
}

static void show(const struct teller *teller, enum owl_unit unit, double value)
{
    owl_unit_show(unit, value, teller->text);
}

static void show_place(const struct teller *teller, double past_m)
{
    show(teller, OWL_UNIT_LENGTH, fabs(past_m));
    say(teller, past_m < 0.0 ? " before the mark" : " past the mark");
}

static void tell_arrival(const struct teller *teller)
{
    const struct owl_plan *plan = teller->setup->plan;
    const struct owl_trace *trace = teller->trace;
    double night = floor(trace->pass.at_s / OWL_SECONDS_PER_DAY), aside_m = trace->pass.path.aside_m;
    say(teller, "In the night of ");
    show(teller, OWL_UNIT_DATE, plan->watch.start_days + night);
    say(teller, " (night ");
    owl_text_integer(teller->text, (int64_t)night + 1);
    say(teller, "), at ");
    show(teller, OWL_UNIT_CLOCK, trace->minute.clock_s);
    say(teller, ", the ");
    say(teller, owl_animal_at((size_t)plan->subject.kind)->name);
    say(teller, trace->pass.sense > 0 ? " walks to the right past the mark at " : " walks to the left past the mark at ");
    show(teller, OWL_UNIT_SPEED, trace->pass.speed_m_s);
    say(teller, ", ");
    show(teller, OWL_UNIT_LENGTH, fabs(aside_m));
    say(teller, aside_m < 0.0 ? " nearer than the line of its path.\n" : " beyond the line of its path.\n");
    if (trace->pass.stay_s > 0.0) {
        say(teller, "It stops on the mark for ");
        show(teller, OWL_UNIT_TIME, trace->pass.stay_s);
        say(teller, ".\n");
    }
    say(teller, "The light at the mark is ");
    show(teller, OWL_UNIT_LIGHT, trace->minute.light_lx);
    say(teller, trace->minute.armed ? "; the rig is armed.\n" : "; the rig is not armed.\n");
}

static void tell_out(const struct teller *teller)
{
    const struct owl_rig *rig = &teller->trace->rig;
    for (int i = 0; i <= OWL_RIG_CARD; i++) {
        if (isinf(rig->out_s[i]))
            continue;
        say(teller, i == OWL_RIG_CARD ? "The card" : "The cells of ");
        if (i < OWL_RIG_CARD)
            say(teller, owl_device_name(teller->setup->plan, i));
        say(teller, i == OWL_RIG_CARD ? " is full since night " : " are empty since night ");
        owl_text_integer(teller->text, (int64_t)(rig->out_s[i] / OWL_SECONDS_PER_DAY) + 1);
        say(teller, ".\n");
    }
}

static void tell_notice(const struct teller *teller)
{
    const struct owl_notice *notice = &teller->trace->notice;
    if (isnan(notice->front_m)) {
        say(teller, "Its way does not cross enough of what the sensor watches. If the sensor were well aimed:\n");
        return;
    }
    say(teller, notice->noticed ? "The sensor notices it when its nose is "
                                : "The sensor does not notice it; it should when its nose is ");
    show_place(teller, notice->front_m);
    say(teller, ", ");
    show(teller, OWL_UNIT_LENGTH, notice->distance_m);
    say(teller, " from the sensor.\n");
}

static void tell_pause(const struct teller *teller)
{
    const struct owl_trace *trace = teller->trace;
    if (trace->noticed_s < trace->rig.deaf_until_s) {
        say(teller, "The sensor is still in its pause, for another ");
        show(teller, OWL_UNIT_TIME, trace->rig.deaf_until_s - trace->noticed_s);
        say(teller, ".\n");
    }
    if (trace->signal_s < trace->rig.busy_until_s)
        say(teller, "The camera is still busy with the frames of an earlier firing.\n");
}

static void tell_shutter(const struct teller *teller)
{
    const struct owl_trace *trace = teller->trace;
    const struct owl_frame *frame = &trace->frame;
    say(teller, trace->failed ? "Had it been otherwise, the shutter would open " : "The shutter opens ");
    show(teller, OWL_UNIT_TIME, frame->opens_s - trace->noticed_s);
    say(teller, " after that");
    if (trace->verdict.frames > 1) {
        say(teller, " (frame ");
        owl_text_integer(teller->text, trace->best + 1);
        say(teller, ", the best)");
    }
    say(teller, "; its middle is then ");
    show_place(teller, frame->past_m);
    say(teller, ", ");
    show(teller, OWL_UNIT_PERCENT, frame->inside);
    say(teller, " of it in the frame.\n");
}

static void tell_flashes(const struct teller *teller)
{
    const struct owl_plan *plan = teller->setup->plan;
    const struct owl_rig_light *light = &teller->trace->frame.light;
    for (int i = 0; i < plan->flashes; i++) {
        say(teller, i ? ", " : "The flashes give: ");
        say(teller, plan->flash[i].name);
        say(teller, " ");
        show(teller, OWL_UNIT_PERCENT, light->dead[i] ? 0.0 : light->share[i]);
    }
    say(teller, plan->flashes ? " of their light. " : "");
    say(teller, "Shutter ");
    show(teller, OWL_UNIT_SHUTTER, teller->trace->minute.shutter_s);
    say(teller, ", exposure ");
    if (isinf(teller->trace->frame.stops))
        say(teller, "none");
    else
        show(teller, OWL_UNIT_STOPS, teller->trace->frame.stops);
    say(teller, " against a right one.\n");
}

static void tell_sharpness(const struct teller *teller)
{
    const struct owl_frame *frame = &teller->trace->frame;
    say(teller, "Blur on the image sensor: ");
    show(teller, OWL_UNIT_LENGTH, frame->defocus_m);
    say(teller, " by focus, ");
    show(teller, OWL_UNIT_LENGTH, frame->travel_m);
    say(teller, " by its walk; ");
    show(teller, OWL_UNIT_LENGTH, teller->setup->plan->limits.blur_m);
    say(teller, " is the limit.\n");
}

static void tell_row(const struct teller *teller, enum owl_ledger_row row)
{
    say(teller, owl_ledger_word(row));
    say(teller, ": ");
    say(teller, owl_ledger_meaning(row));
    say(teller, ".\n");
}

static void tell_verdict(const struct teller *teller)
{
    unsigned failed = teller->trace->verdict.failed;
    enum owl_ledger_row first = owl_ledger_first(failed);
    say(teller, "It ends as ");
    tell_row(teller, first);
    for (int row = (int)first + 1; row < OWL_LEDGER_ROWS && first != OWL_LEDGER_KEEPER; row++) {
        if (failed & OWL_FAILED(row)) {
            say(teller, "It would also be lost as ");
            tell_row(teller, (enum owl_ledger_row)row);
        }
    }
}

enum owl_status owl_rehearsal_story(const struct owl_setup *setup, uint64_t seed, int season, int pass, int *passes,
                                    struct owl_text *text)
{
    struct owl_trace trace;
    enum owl_status status = owl_season_trace(setup, seed, season, pass, &trace);
    *passes = trace.passes;
    if (status != OWL_OK)
        return status;
    struct teller teller = {setup, &trace, text};
    tell_arrival(&teller);
    tell_out(&teller);
    tell_notice(&teller);
    tell_pause(&teller);
    tell_shutter(&teller);
    tell_flashes(&teller);
    tell_sharpness(&teller);
    tell_verdict(&teller);
    return OWL_OK;
}
