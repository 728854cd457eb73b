/* Words, and the numbers behind them beside their limits. */
#include "card/verdict_words.h"

#include "core/constants.h"

static const char *const CLASSES[] = {[OWL_JUDGE_CANNOT] = "can't judge", [OWL_JUDGE_FLASH_FAILED] = "flash failed",
                                      [OWL_JUDGE_EMPTY] = "empty", [OWL_JUDGE_LOOK] = "look", [OWL_JUDGE_SUBJECT] = "subject"};

const char *owl_verdict_class_words(enum owl_judge_class class)
{
    return CLASSES[class];
}

bool owl_verdict_class_of(const char *words, enum owl_judge_class *class)
{
    for (int i = OWL_JUDGE_CANNOT; i <= OWL_JUDGE_SUBJECT; i++)
        if (owl_text_same_name(words, CLASSES[i])) {
            *class = (enum owl_judge_class)i;
            return true;
        }
    return false;
}

const char *owl_verdict_flash_words(enum owl_flash_state flash)
{
    static const char *const words[] = {[OWL_FLASH_NOT_USED] = "not used", [OWL_FLASH_FULL] = "fired",
                                        [OWL_FLASH_ONE_MISSING] = "one missing", [OWL_FLASH_NONE] = "none"};
    return words[flash];
}

bool owl_verdict_shows(const struct owl_frame_verdict *verdict)
{
    return verdict->class == OWL_JUDGE_SUBJECT || verdict->class == OWL_JUDGE_LOOK;
}

/* ---- remarks ---- */

static void remark(struct owl_text *text, bool holds, const char *words, bool *first)
{
    if (!holds)
        return;
    owl_text_words(text, *first ? "" : ", ");
    owl_text_words(text, words);
    *first = false;
}

void owl_verdict_remarks(const struct owl_frame_verdict *verdict, struct owl_text *text)
{
    bool first = true, cannot = verdict->class == OWL_JUDGE_CANNOT;
    remark(text, cannot && verdict->alike > 0, "too few frames in this light", &first);
    remark(text, cannot && verdict->alike == 0, "damaged, or of another shape than the rest", &first);
    remark(text, verdict->flash == OWL_FLASH_ONE_MISSING, "one flash missing", &first);
    remark(text, verdict->flash == OWL_FLASH_NONE && verdict->class != OWL_JUDGE_FLASH_FAILED, "no flash", &first);
    remark(text, verdict->over_exposed, "over-exposed", &first);
    remark(text, verdict->fogged, "lens fogged", &first);
    remark(text, verdict->out_of_focus, "not sharp", &first);
    remark(text, verdict->cut_off && owl_verdict_shows(verdict), "cut off", &first);
    remark(text, verdict->moved, "the camera was moved before it", &first);
}

/* ---- working ---- */

/* "  label   value words" with so many decimals. */
static void line(struct owl_text *text, const char *label, double value, int decimals, const char *words)
{
    char shown[32];
    struct owl_text number = owl_text_over(shown, sizeof shown);
    owl_text_fixed(&number, value, decimals);
    owl_text_words(text, "    ");
    owl_text_padded(text, label, 16);
    owl_text_repeat(text, ' ', 9 - owl_text_columns(shown));
    owl_text_words(text, shown);
    owl_text_words(text, "  ");
    owl_text_words(text, words);
}

static void limit(struct owl_text *text, const char *words, double value, int decimals)
{
    owl_text_words(text, words);
    owl_text_fixed(text, value, decimals);
}

static void end(struct owl_text *text)
{
    owl_text_char(text, '\n');
}

static void tell_score(const struct owl_judged *judged, const struct owl_frame_verdict *verdict, struct owl_text *text)
{
    owl_text_words(text, "  score = sum over the heaviest change of (deviations from the background - 2.8) * shape * texture\n");
    line(text, "score", verdict->score, 0, "");
    limit(text, "a subject from ", judged->subject_score, 0);
    limit(text, ", empty below ", judged->subject_score * OWL_JUDGE_EMPTY_SHARE, 0);
    owl_text_words(text, ", between them: look");
    end(text);
    line(text, "shape", verdict->thin, 2, "left for what is thinner than a body: 1 a body, 0.15 a blade of grass\n");
    line(text, "texture", verdict->shadow, 2, "left where the ground shows through: 1 none of it, 0.08 a shadow\n");
    line(text, "boxes", verdict->boxes, 0, "changes of at least 12 % of the heaviest one's weight\n");
    line(text, "wind", verdict->wind, 2, "restless parts against their usual, 0.8 to 3: what moves there counts less by it\n");
    line(text, "calm", verdict->calm, 2, "how unlike the background the whole frame is, 1 to 4: all change is divided by it\n");
    line(text, "light", verdict->gain, 2, "times the background's, taken out before comparing");
    limit(text, "; offset ", verdict->offset, 1);
    owl_text_words(text, " levels\n");
}

static void tell_stand(const struct owl_judged *judged, const struct owl_frame_verdict *verdict, struct owl_text *text)
{
    line(text, "frames alike", verdict->alike, 0, "in the same light, of which up to 64 around it make the background\n");
    if (!verdict->aligned) {
        owl_text_words(text, "    where the camera looked could not be found\n");
        return;
    }
    line(text, "moved right", verdict->pose.right_px, 2, "pixels of ");
    owl_text_integer(text, judged->width);
    owl_text_words(text, " across, taken out before comparing");
    limit(text, "; down ", verdict->pose.down_px, 2);
    limit(text, ", turned ", verdict->pose.turn_rad * 180.0 / OWL_PI, 2);
    owl_text_words(text, " deg\n");
}

static void tell_flash(const struct owl_frame_verdict *verdict, struct owl_text *text)
{
    owl_text_words(text, "  flash: ");
    owl_text_words(text, owl_verdict_flash_words(verdict->flash));
    end(text);
    if (verdict->flash == OWL_FLASH_NOT_USED)
        return;
    line(text, "light", verdict->look.light, 2, "times the usual of the frames around it that the flashes alone lit;");
    limit(text, " none below ", OWL_FAULT_NO_LIGHT, 2);
    limit(text, ", one missing below ", OWL_FAULT_MISSING_LIGHT, 2);
    end(text);
    line(text, "left to right", verdict->look.lopsided, 2, "of the usual;");
    limit(text, " one missing beyond ", OWL_FAULT_LOPSIDED, 1);
    limit(text, " either way with light below ", OWL_FAULT_LOPSIDED_LIGHT, 2);
    end(text);
}

static void tell_sight(const struct owl_frame_verdict *verdict, struct owl_text *text)
{
    const struct owl_frame_look *look = &verdict->look;
    const struct owl_frame_norm *norm = &verdict->norm;
    owl_text_words(text, "  exposure and sight of the whole frame, against the median of its light\n");
    line(text, "burnt out", look->clipped * 100.0, 1, "% of the frame;");
    limit(text, " usual ", norm->clipped * 100.0, 1);
    limit(text, " %; over-exposed above ", OWL_FAULT_OVER_SHARE * 100.0, 0);
    limit(text, " % and ", OWL_FAULT_OVER_RATIO, 1);
    limit(text, " times that, or ", OWL_FAULT_OVER_LIGHT, 0);
    owl_text_words(text, " times the usual light\n");
    line(text, "detail", look->detail, 2, "levels a pixel;");
    limit(text, " usual ", norm->detail, 2);
    limit(text, "; lost below ", OWL_FAULT_DETAIL_LEFT, 2);
    owl_text_words(text, " of it, brightness allowed for\n");
    line(text, "blacks", look->darkest, 0, "levels;");
    limit(text, " usual ", norm->darkest, 0);
    limit(text, "; with detail lost and ", OWL_FAULT_LIFTED_LEVELS, 0);
    owl_text_words(text, " more, brightness allowed for, the lens is fogged, else not sharp\n");
}

static void tell_box(const struct owl_frame_verdict *verdict, struct owl_text *text)
{
    if (!owl_verdict_shows(verdict) || verdict->boxes == 0)
        return;
    owl_text_words(text, "  in the first box\n");
    line(text, "mean", verdict->mean, 0, "levels of 255\n");
    line(text, "burnt out", verdict->clipped * 100.0, 1, "%\n");
    line(text, "black", verdict->dark * 100.0, 1, "%\n");
    line(text, "sharpness", verdict->sharpness, 3, "fine against coarse detail: only to rank the frames of one visit\n");
}

void owl_verdict_working(const struct owl_judged *judged, int frame, struct owl_text *text)
{
    const struct owl_frame_verdict *verdict = &judged->frame[frame].verdict;
    owl_text_words(text, owl_verdict_class_words(verdict->class));
    char remarks[256];
    struct owl_text more = owl_text_over(remarks, sizeof remarks);
    owl_verdict_remarks(verdict, &more);
    if (more.length > 0) {
        owl_text_words(text, "; ");
        owl_text_words(text, remarks);
    }
    end(text);
    bool compared = verdict->class != OWL_JUDGE_CANNOT && verdict->class != OWL_JUDGE_FLASH_FAILED;
    if (verdict->class == OWL_JUDGE_CANNOT && verdict->alike == 0) {
        owl_text_words(text, "  no picture of the usual shape could be read out of the file\n");
        return;
    }
    if (compared)
        tell_score(judged, verdict, text);
    tell_stand(judged, verdict, text);
    tell_flash(verdict, text);
    tell_sight(verdict, text);
    if (compared)
        tell_box(verdict, text);
    owl_text_words(text, "  estimate; method and limits from a study of fixed-camera footage and made-up nights, in docs/manual.md\n");
}
