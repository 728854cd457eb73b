/* What was found about the rig, what to do about it, and how it was worked out, in words. */
#include <math.h>

#include "card/health_view.h"
#include "core/calendar.h"
#include "core/constants.h"
#include "core/plan/units.h"

/* ---- dates ---- */

static const char *const month_name[] = {"",     "January", "February",  "March",   "April",    "May",     "June",
                                         "July", "August",  "September", "October", "November", "December"};

static struct owl_date date_of(double time_s)
{
    return owl_calendar_date((int64_t)floor(time_s / OWL_SECONDS_PER_DAY));
}

static void say_date(struct owl_text *text, double time_s)
{
    struct owl_date date = date_of(time_s);
    owl_text_integer(text, date.day);
    owl_text_char(text, ' ');
    owl_text_words(text, month_name[date.month]);
}

static void say_clock(struct owl_text *text, double time_s)
{
    owl_unit_show(OWL_UNIT_CLOCK, time_s - floor(time_s / OWL_SECONDS_PER_DAY) * OWL_SECONDS_PER_DAY, text);
}

static void say_moment(struct owl_text *text, double time_s)
{
    say_date(text, time_s);
    owl_text_char(text, ' ');
    say_clock(text, time_s);
}

static bool tellable(double time_s)
{
    return fabs(time_s) < 1e12 && date_of(time_s).month > 0;
}

/* " on 3 January between 04:10 and 06:30", " between 3 and 17 January"; nothing when not known. */
static void say_span(struct owl_text *text, double from_s, double to_s)
{
    if (!tellable(from_s) || !tellable(to_s))
        return;
    struct owl_date from = date_of(from_s), to = date_of(to_s);
    bool same_month = from.month == to.month && from.year == to.year;
    if (same_month && from.day == to.day) {
        owl_text_words(text, " on ");
        say_date(text, from_s);
        owl_text_words(text, " between ");
        say_clock(text, from_s);
        owl_text_words(text, " and ");
        say_clock(text, to_s);
        return;
    }
    owl_text_words(text, " between ");
    if (same_month)
        owl_text_integer(text, from.day);
    else
        say_date(text, from_s);
    owl_text_words(text, " and ");
    say_date(text, to_s);
}

static void say_on(struct owl_text *text, double time_s)
{
    if (!tellable(time_s))
        return;
    owl_text_words(text, " on ");
    say_moment(text, time_s);
}

/* ---- numbers ---- */

static void say_number(struct owl_text *text, const char *before, double value, int decimals, const char *after)
{
    owl_text_words(text, before);
    owl_text_fixed(text, value, decimals);
    owl_text_words(text, after);
}

static void say_rounded(struct owl_text *text, const char *before, double value, int digits, const char *after)
{
    owl_text_words(text, before);
    owl_text_rounded(text, value, digits);
    owl_text_words(text, after);
}

static void say_count(struct owl_text *text, const char *before, int count, const char *after)
{
    owl_text_words(text, before);
    owl_text_integer(text, count);
    owl_text_words(text, after);
}

static void say_of(struct owl_text *text, int count, int of, const char *after)
{
    say_count(text, "", count, " of ");
    say_count(text, "", of, after);
}

/* " (0.4 to 0.8 with 95 % confidence)"; sizes without sign. */
static void say_interval(struct owl_text *text, double low, double high, int decimals, const char *unit)
{
    double lesser = fmin(fabs(low), fabs(high)), greater = fmax(fabs(low), fabs(high));
    if (!isfinite(low) || !isfinite(high))
        return;
    say_number(text, " (", lesser, decimals, " to ");
    say_number(text, "", greater, decimals, unit);
    owl_text_words(text, " with 95 % confidence)");
}

static int decimals_for_px(double px)
{
    return fabs(px) < 10.0 ? 1 : 0;
}

static void say_percent(struct owl_text *text, const struct owl_health_finding *finding)
{
    say_rounded(text, ", ", 100.0 * finding->value, 2, " %");
    say_interval(text, 100.0 * finding->low, 100.0 * finding->high, 1, " %");
}

static void say_wait(struct owl_text *text, double wait_s)
{
    if (wait_s >= 2.0 * OWL_SECONDS_PER_DAY)
        say_rounded(text, "", wait_s / OWL_SECONDS_PER_DAY, 2, " days");
    else if (wait_s >= OWL_SECONDS_PER_HOUR)
        say_rounded(text, "", wait_s / OWL_SECONDS_PER_HOUR, 2, " hours");
    else
        say_rounded(text, "", wait_s / 60.0, 2, " minutes");
}

static void say_hours(struct owl_text *text, const struct owl_health_finding *finding)
{
    owl_text_words(text, " between ");
    say_clock(text, finding->value * OWL_SECONDS_PER_HOUR);
    owl_text_words(text, " and ");
    say_clock(text, finding->second * OWL_SECONDS_PER_HOUR);
}

/* ---- what was found ---- */

static void tell_weaker(const struct owl_health_finding *finding, struct owl_text *text)
{
    double stops = fabs(finding->value);
    if (finding->kind == OWL_HEALTH_FLASH_WEAKER)
        owl_text_words(text, "The flash light fell by ");
    else
        owl_text_words(text, finding->value < 0.0 ? "The light on the left half fell, against the right half, by "
                                                  : "The light on the right half fell, against the left half, by ");
    say_number(text, "", stops, 2, " stop");
    say_interval(text, finding->low, finding->high, 2, " stop");
    say_span(text, finding->from_s, finding->to_s);
    if (finding->second > 0.0)
        say_rounded(text, ": ", stops / finding->second, 2, " stop a night");
    if (finding->count > 0)
        say_rounded(text, finding->second > 0.0 ? " and " : ": ", 100.0 * stops / finding->count, 2,
                    " stop in a hundred flashes");
    owl_text_char(text, '.');
}

static void tell_misfires(const struct owl_health_finding *finding, struct owl_text *text)
{
    switch (finding->kind) {
    case OWL_HEALTH_FLASH_STOPPED:
        owl_text_words(text, finding->count == finding->of ? "In all " : "In the last ");
        say_count(text, "", finding->count, " frames with flash, some or all of its light was missing");
        if (tellable(finding->from_s)) {
            owl_text_words(text, ", from ");
            say_moment(text, finding->from_s);
            owl_text_words(text, " on");
        }
        break;
    case OWL_HEALTH_MISFIRES_SOON:
        say_rounded(text, "Frames within ", finding->second, 3, " s of the one before missed a flash in ");
        say_of(text, finding->count, finding->of, "");
        say_percent(text, finding);
        owl_text_words(text, "; later ones in ");
        say_of(text, finding->other, finding->other_of, "");
        break;
    default:
        say_of(text, finding->count, finding->of, " frames with flash missed a flash");
        say_percent(text, finding);
        if (finding->other > 0)
            say_count(text, "; in ", finding->other, " of them no flash fired at all");
    }
    owl_text_char(text, '.');
}

static void tell_side(const struct owl_health_finding *finding, struct owl_text *text)
{
    owl_text_words(text, "Where one flash was missing, the ");
    owl_text_words(text, finding->second < 0.0 ? "left" : "right");
    owl_text_words(text, " half of the picture was the darker in ");
    say_of(text, finding->count, finding->of, " frames.");
}

static void tell_fog(const struct owl_health_finding *finding, struct owl_text *text)
{
    if (finding->kind == OWL_HEALTH_FOG) {
        say_of(text, finding->count, finding->of, finding->of == 1 ? " frame was fogged" : " frames in a row were fogged");
        if (tellable(finding->from_s)) {
            owl_text_words(text, ", from ");
            say_moment(text, finding->from_s);
            owl_text_words(text, " to ");
            say_moment(text, finding->to_s);
        }
    } else {
        owl_text_words(text, "The lens fogs before dawn: ");
        say_of(text, finding->count, finding->of, finding->of == 1 ? " spell of fog fell" : " spells of fog fell");
        say_hours(text, finding);
        owl_text_words(text, ", where only ");
        say_of(text, finding->other, finding->other_of, " clear frames were taken");
    }
    owl_text_char(text, '.');
}

static void tell_slip(const struct owl_health_finding *finding, struct owl_text *text)
{
    static const char *const way[3][2] = {{" to the left", " to the right"}, {" up", " down"},
                                          {" counter-clockwise", " clockwise"}};
    int decimals = decimals_for_px(finding->value);
    owl_text_words(text, finding->axis == 2 ? "The picture slowly turned" : "The picture slowly slid");
    owl_text_words(text, way[finding->axis][finding->value > 0.0]);
    say_number(text, " by ", fabs(finding->value), decimals, " pixels of the whole picture");
    if (finding->axis == 2)
        say_rounded(text, " at its left and right edges, ", fabs(finding->second), 2, " degrees,");
    say_interval(text, finding->low, finding->high, decimals, " pixels");
    say_span(text, finding->from_s, finding->to_s);
    owl_text_char(text, '.');
}

static void tell_moved(const struct owl_health_finding *finding, struct owl_text *text)
{
    owl_text_words(text, "The camera was moved");
    if (tellable(finding->from_s) && tellable(finding->to_s)) {
        owl_text_words(text, " between ");
        say_moment(text, finding->from_s);
        owl_text_words(text, " and ");
        say_moment(text, finding->to_s);
    } else {
        say_on(text, finding->to_s);
    }
    if (finding->value > 0.0) {
        int decimals = decimals_for_px(finding->value);
        say_number(text, ", by up to ", finding->value, decimals, " pixels of the whole picture");
        say_interval(text, finding->low, finding->high, decimals, " pixels");
    }
    owl_text_char(text, '.');
}

static void tell_empties(const struct owl_health_finding *finding, struct owl_text *text)
{
    switch (finding->kind) {
    case OWL_HEALTH_NIGHT_OF_EMPTIES:
        owl_text_words(text, "The night from ");
        say_date(text, finding->from_s);
        owl_text_words(text, " to ");
        say_date(text, finding->to_s);
        say_count(text, " brought ", finding->count, " empty frames");
        say_rounded(text, "; usual are ", finding->second, 3, " a night.");
        break;
    case OWL_HEALTH_EMPTIES_IN_WIND:
        owl_text_words(text, "Empty frames come in wind: of an empty frame and one with a subject, ");
        owl_text_words(text, "the empty one was the windier in ");
        say_number(text, "", 100.0 * finding->value, 0, " of 100 pairs");
        say_interval(text, 100.0 * finding->low, 100.0 * finding->high, 0, "");
        say_count(text, "; ", finding->count, " empty frames");
        say_count(text, " and ", finding->other, " with a subject, ten minutes or more apart, were compared.");
        break;
    default:
        owl_text_words(text, "Empty frames gather in the hours of sun: ");
        say_of(text, finding->count, finding->of, "");
        say_hours(text, finding);
        if (finding->other_of > 0) {
            owl_text_words(text, "; of frames with a subject ");
            say_of(text, finding->other, finding->other_of, "");
        }
        owl_text_char(text, '.');
    }
}

static void tell_silence(const struct owl_health_finding *finding, struct owl_text *text)
{
    owl_text_words(text, "No frame was taken after ");
    say_moment(text, finding->from_s);
    if (finding->kind == OWL_HEALTH_SILENCE_AT_END) {
        owl_text_words(text, ", though the watch went on for ");
    } else {
        owl_text_words(text, " until ");
        say_moment(text, finding->to_s);
        owl_text_words(text, ", for ");
    }
    say_wait(text, finding->value);
    owl_text_words(text, "; the longest wait otherwise was ");
    say_wait(text, finding->second);
    owl_text_char(text, '.');
}

static void tell_clock(const struct owl_health_finding *finding, struct owl_text *text)
{
    switch (finding->kind) {
    case OWL_HEALTH_CLOCK_RESET:
        owl_text_words(text, finding->count ? "The camera's clock was wrong from the beginning"
                                            : "The camera's clock may have started afresh");
        if (tellable(finding->from_s)) {
            owl_text_words(text, ": the first frame says ");
            owl_unit_show(OWL_UNIT_MOMENT, finding->from_s, text);
        }
        break;
    case OWL_HEALTH_CLOCK_BACK:
        say_count(text, "The camera's clock goes back at frame ", finding->count + 1, " of the card");
        if (tellable(finding->from_s) && tellable(finding->to_s)) {
            owl_text_words(text, ", from ");
            owl_unit_show(OWL_UNIT_MOMENT, finding->from_s, text);
            owl_text_words(text, " to ");
            owl_unit_show(OWL_UNIT_MOMENT, finding->to_s, text);
            owl_text_words(text, ": it was reset or set, or the names of the frames ");
            owl_text_words(text, "are not in the order they were taken");
        }
        break;
    default:
        say_of(text, finding->count, finding->of, " frames tell no time");
    }
    owl_text_char(text, '.');
}

static void tell_setting(const struct owl_health_finding *finding, struct owl_text *text)
{
    enum owl_unit unit = finding->kind == OWL_HEALTH_APERTURE   ? OWL_UNIT_FNUMBER
                         : finding->kind == OWL_HEALTH_EXPOSURE ? OWL_UNIT_SHUTTER
                                                                : OWL_UNIT_NUMBER;
    owl_text_words(text, finding->kind == OWL_HEALTH_APERTURE   ? "The aperture changed"
                         : finding->kind == OWL_HEALTH_EXPOSURE ? "The exposure time changed"
                                                                : "The ISO sensitivity changed");
    if (finding->count > 1)
        say_count(text, " ", finding->count, " times; first");
    owl_text_words(text, " from ");
    owl_unit_show(unit, finding->value, text);
    owl_text_words(text, " to ");
    owl_unit_show(unit, finding->second, text);
    say_on(text, finding->from_s);
    if (finding->count > 1) {
        owl_text_words(text, "; all lie between ");
        owl_unit_show(unit, finding->low, text);
        owl_text_words(text, " and ");
        owl_unit_show(unit, finding->high, text);
    }
    owl_text_char(text, '.');
}

static void tell_count(const struct owl_health_finding *finding, struct owl_text *text)
{
    say_of(text, finding->count, finding->of, finding->count == 1 ? " frames is" : " frames are");
    owl_text_words(text, finding->kind == OWL_HEALTH_DAMAGED        ? " damaged or cannot be read"
                         : finding->kind == OWL_HEALTH_OVER_EXPOSED ? " burnt out"
                                                                    : " out of focus");
    say_percent(text, finding);
    owl_text_char(text, '.');
}

static void tell_drift(const struct owl_health_finding *finding, struct owl_text *text)
{
    say_number(text, "Fine detail fell by ", -100.0 * finding->value, 0, " %");
    say_interval(text, 100.0 * finding->low, 100.0 * finding->high, 0, " %");
    say_span(text, finding->from_s, finding->to_s);
    owl_text_words(text, ": the focus drifted or the lens grew dirty.");
}

/* ---- what to do ---- */

struct words_of_kind {
    void (*tell)(const struct owl_health_finding *finding, struct owl_text *text);
    const char *advice;
    const char *method;
};

#define SHARE_METHOD "the share with its 95 % score interval [wilson1927]"
#define TREND_METHOD                                                                                                          \
    "the median of the slopes of all pairs, its 95 % interval [sen1968], and the test of rank correlation [kendall1975]; "    \
    "from six nights on each night counts once, with its median, because its frames share one weather"
#define SETTING_METHOD "values of frames that follow each other, as the camera noted them; a change is more than a tenth"

static const struct words_of_kind words_of[OWL_HEALTH_KINDS] = {
    [OWL_HEALTH_FLASH_WEAKER] = {tell_weaker,
        "Change or charge the flashes' cells before the next watch, and wipe their windows. If the place itself grew darker "
        "(snow gone, leaves wet), the flashes may be well: fire one by hand to see.",
        "light of empty frames of the commonest light and settings, mean level to the power 2.2 (common practice): "
        TREND_METHOD},
    [OWL_HEALTH_FLASH_SIDE_WEAKER] = {tell_weaker,
        "Look first at the cells, the window and the aim of the flash that lights this half.",
        "light of the left half over that of the right against what is usual: " TREND_METHOD},
    [OWL_HEALTH_FLASH_STOPPED] = {tell_misfires,
        "Check the flashes' cells, their wires and plugs, and whether they went to sleep.",
        "if misses fell anywhere by chance, the share of orders that end with so many in a row, exactly"},
    [OWL_HEALTH_MISFIRES] = {tell_misfires,
        "Check wires and plugs, and whether a flash goes to sleep between visits.",
        SHARE_METHOD},
    [OWL_HEALTH_MISFIRES_SOON] = {tell_misfires,
        "The flashes need longer to charge: leave more time between frames, or set them to a lower power.",
        "exact test of a table of four [fisher1922], at the best of fixed times, all times tried counted [bonferroni1936]; "
        SHARE_METHOD},
    [OWL_HEALTH_MISFIRES_SIDE] = {tell_side,
        "Look at the flash that lights this half: its cells, its wire, its sleep timer.",
        "exact test against left and right being as likely, either way (binomial)"},
    [OWL_HEALTH_FOG] = {tell_fog,
        "Shield the front lens with a deep hood, warm it a little, or let a fresh dry bag take up the moisture.",
        "frames with less detail and lifted blacks, as judged; at most three clear ones and six hours between two of a run; "
        SHARE_METHOD},
    [OWL_HEALTH_FOG_HOURS] = {tell_fog,
        "This is dew: a lens under open sky cools below the air. Give it a roof or a deep hood, or a small heater in these "
        "hours.",
        "exact binomial test of the spells against the share of clear frames in these hours"},
    [OWL_HEALTH_SLIP] = {tell_slip,
        "Tighten head and legs, press the feet into firm ground, hang a weight below, and take strain off the wires.",
        "places of the frames against the first one, between two moves: " TREND_METHOD},
    [OWL_HEALTH_MOVED] = {tell_moved,
        "See what the frames around it show: an animal, a person, a branch, or wind. Check framing and focus, and fix the "
        "tripod.",
        "medians of up to seven frames before and after, and their standard errors; the largest way of any point"},
    [OWL_HEALTH_NIGHT_OF_EMPTIES] = {tell_empties,
        "See what moved in that night's frames: wind, rain, insects, or a warm thing in view. Consider a lower sensitivity.",
        "the usual night is the median of the others; the chance of so many more, Poisson counts of a rate known from that "
        "median only [gelman2013]; frames within a minute count once, more where the other nights scatter more; all nights "
        "counted [bonferroni1936]; the count's own 95 % interval [garwood1936]"},
    [OWL_HEALTH_EMPTIES_IN_WIND] = {tell_empties,
        "Cut short or tie back grass and branches in view of the sensor, aim it away from them, or lower its sensitivity.",
        "rank test of how restless moving parts are [mann1947], with ties, and the interval of the share of pairs [hanley1982]"},
    [OWL_HEALTH_EMPTIES_IN_SUN] = {tell_empties,
        "Surfaces warmed by the sun set the sensor off: shade it, aim it at ground that stays in shade, or arm it by night only.",
        "exact tests of the empty frames in these hours: against an even spread over the hours with frames (binomial), and "
        "against frames with a subject [fisher1922]; the larger chance counts"},
    [OWL_HEALTH_SILENCE_AT_END] = {tell_silence,
        "Check the cells of camera and sensor, the card's room, and the wire between sensor and camera, in this order.",
        "if frames came by chance at one rate, the chance of a wait so many times the longest of the others, exactly "
        "[renyi1953]"},
    [OWL_HEALTH_SILENCE] = {tell_silence,
        "It recovered by itself: think of cells that cold brought down, a loose plug, something before the sensor, or no "
        "visitors.",
        "if frames came by chance at one rate, the chance that the longest wait is so many times the next, exactly [renyi1953]"},
    [OWL_HEALTH_CLOCK_RESET] = {tell_clock,
        "Set the clock before the watch and photograph a right one; the camera's small clock cell may be spent. Dates here "
        "follow the wrong clock.",
        "dates before any camera of this trade, in the future, or at the very beginning of a year"},
    [OWL_HEALTH_CLOCK_BACK] = {tell_clock,
        "Dates from there on are wrong until the clock is set. If a cell ran down then, change it, and the clock's own one.",
        "times of frames in the order of their names"},
    [OWL_HEALTH_CLOCK_MISSING] = {tell_clock,
        "Without times, nights, hours and waits cannot be told for these frames.",
        "frames counted"},
    [OWL_HEALTH_APERTURE] = {tell_setting, "If this was not meant, fix it by hand or with tape.", SETTING_METHOD},
    [OWL_HEALTH_EXPOSURE] = {tell_setting, "If this was not meant, set the camera to manual.", SETTING_METHOD},
    [OWL_HEALTH_ISO] = {tell_setting, "If this was not meant, set a fixed sensitivity.", SETTING_METHOD},
    [OWL_HEALTH_DAMAGED] = {tell_count,
        "Read the card again with another reader; if the same frames are damaged, retire the card.", SHARE_METHOD},
    [OWL_HEALTH_OVER_EXPOSED] = {tell_count, "Lower the flashes' power, or close the aperture.", SHARE_METHOD},
    [OWL_HEALTH_OUT_OF_FOCUS] = {tell_count,
        "Focus by hand on the mark and tape the ring; see whether the first of these frames follows a move.", SHARE_METHOD},
    [OWL_HEALTH_FOCUS_DRIFT] = {tell_drift,
        "Clean the front lens, focus anew on the mark, and tape the ring.",
        "gradient over mean level of empty frames of the commonest light and settings: " TREND_METHOD},
};

static const struct words_of_kind *words_for(enum owl_health_kind kind)
{
    static const struct words_of_kind none = {NULL, "", ""};
    return (unsigned)kind < OWL_HEALTH_KINDS ? &words_of[kind] : &none;
}

void owl_health_tell(const struct owl_health_finding *finding, struct owl_text *text)
{
    const struct words_of_kind *words = words_for(finding->kind);
    if (words->tell)
        words->tell(finding, text);
}

const char *owl_health_advice(enum owl_health_kind kind)
{
    return words_for(kind)->advice;
}

void owl_health_advise(const struct owl_health_finding *finding, struct owl_text *text)
{
    if (finding->kind != OWL_HEALTH_MISFIRES_SOON || !(finding->advised > 0.0)) {
        owl_text_words(text, owl_health_advice(finding->kind));
        return;
    }
    say_rounded(text, "The flashes need longer to charge: leave ", finding->advised, 3,
                " s between frames, or set them to a lower power.");
}

void owl_health_working(const struct owl_health_finding *finding, struct owl_text *text)
{
    owl_text_words(text, words_for(finding->kind)->method);
    if (!isnan(finding->p)) {
        say_rounded(text, "; chance of at least this without a cause ", finding->p, 2, "");
        if (finding->tests > 1)
            say_count(text, " in one test of ", finding->tests, "");
        say_rounded(text, ", told below ", OWL_HEALTH_ALPHA, 2, finding->tests > 1 ? " over all of them" : "");
    }
    owl_text_char(text, '.');
}
