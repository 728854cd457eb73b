/* The page `owllight advise` prints: each change alone, the best together. */
#include "cli/advise_page.h"

#include "cli/plan_page.h"
#include "core/report/advice.h"

static void number(struct owl_text *text, double value)
{
    owl_text_rounded(text, value, 3);
}

static void counted(struct owl_text *text, int count, const char *one, const char *many)
{
    owl_text_integer(text, count);
    owl_text_words(text, count == 1 ? one : many);
}

/* `flash key`, `camera` */
static void section_name(const struct owl_plan *plan, const struct owl_section *section, int nth, struct owl_text *text)
{
    owl_text_words(text, section->name);
    if (section->most == 1 || nth < 0)
        return;
    owl_text_char(text, ' ');
    owl_text_words(text, section->name[0] == 'f' ? plan->flash[nth].name : plan->passer[nth].name);
}

/* `[camera] aperture = f/8 instead of f/5.6` */
static void change(const struct owl_plan *plan, const struct owl_change *change, struct owl_text *text)
{
    owl_text_char(text, '[');
    section_name(plan, change->section, change->nth, text);
    owl_text_words(text, "] ");
    owl_text_words(text, change->section->fields[change->field].name);
    owl_text_words(text, " = ");
    owl_text_words(text, change->words);
    owl_text_words(text, " instead of ");
    owl_field_show(change->section, change->nth, change->field, plan, text);
}

/* `0.92 keepers a watch (0.87 to 0.98)` */
static void gain(const struct owl_gain *gain, struct owl_text *text)
{
    number(text, gain->mean);
    owl_text_words(text, " keepers a watch (");
    number(text, gain->low);
    owl_text_words(text, " to ");
    number(text, gain->high);
    owl_text_char(text, ')');
}

static void write_title(const struct owl_advise_page *page, struct owl_text *text)
{
    const struct owl_plan *plan = &page->session->plan;
    const struct owl_advice *advice = page->advice;
    owl_text_words(text, owl_animal_at((size_t)plan->subject.kind)->name);
    if (*plan->site.name) {
        owl_text_words(text, ", ");
        owl_text_words(text, plan->site.name);
    }
    owl_text_char(text, '\n');
    counted(text, page->session->evaluation.nights, " night from ", " nights from ");
    owl_page_date(page->session, 0, text);
    owl_text_words(text, "; as planned, ");
    number(text, advice->keepers);
    owl_text_words(text, " keepers a watch, of ");
    number(text, advice->passes);
    owl_text_words(text, " passes.\n");
    counted(text, advice->trials, " candidate was rehearsed for ", " candidates were rehearsed for up to ");
    counted(text, advice->seasons, " season", " seasons");
    owl_text_words(text, ", seed ");
    owl_text_integer(text, (int64_t)page->seed);
    owl_text_words(text, ". What is told here was found again in ");
    counted(text, advice->fresh_seasons, " other season", " other seasons");
    owl_text_words(text, ";\nin brackets the 90 % interval of the mean.\n");
}

static void write_kept(const struct owl_advise_page *page, struct owl_text *text)
{
    for (int i = 0; i < page->keeps; i++) {
        const struct owl_keep *keep = &page->keep[i];
        owl_text_words(text, i ? ", " : "Kept as it is: ");
        section_name(&page->session->plan, keep->section, keep->nth, text);
        owl_text_char(text, '.');
        owl_text_words(text, keep->section->fields[keep->field].name);
    }
    owl_text_words(text, page->keeps ? ".\n" : "");
}

static void write_alone(const struct owl_advise_page *page, struct owl_text *text)
{
    const struct owl_advice *advice = page->advice;
    if (advice->singles == 0)
        return;
    owl_text_words(text, advice->singles == 1 ? "\nOne change is worth making\n" : "\nOne change alone, the best first\n");
    for (int i = 0; i < advice->singles; i++) {
        const struct owl_advised *single = &advice->single[i];
        for (int j = 0; j < single->changes; j++) {
            owl_text_words(text, j ? "\n     and " : "  ");
            if (j == 0) {
                owl_text_integer(text, i + 1);
                owl_text_words(text, ". ");
            }
            change(&page->session->plan, &single->change[j], text);
        }
        owl_text_words(text, ":\n     wins ");
        gain(&single->gain, text);
        owl_text_words(text, "\n");
    }
}

static void write_together(const struct owl_advise_page *page, struct owl_text *text)
{
    const struct owl_advice *advice = page->advice;
    if (advice->changes == 0) {
        if (advice->singles > 1)
            owl_text_words(text, "\nNo changes together win more than the first alone.\n");
        return;
    }
    owl_text_words(text, "\nThe best together\n");
    for (int i = 0; i < advice->changes; i++) {
        owl_text_words(text, "  ");
        change(&page->session->plan, &advice->together[i], text);
        owl_text_char(text, '\n');
    }
    owl_text_words(text, "  These win ");
    gain(&advice->gain, text);
    owl_text_words(text, ", which makes ");
    number(text, advice->keepers + advice->gain.mean);
    owl_text_words(text, ".\n");
}

void owl_page_advice(const struct owl_advise_page *page, struct owl_text *text)
{
    const struct owl_advice *advice = page->advice;
    write_title(page, text);
    write_kept(page, text);
    if (advice->singles == 0 && advice->changes == 0)
        owl_text_words(text, "\nNo change worth making: nothing that can be set wins one keeper in a hundred for certain.\n");
    write_alone(page, text);
    write_together(page, text);
    if (page->written) {
        owl_text_words(text, advice->changes ? "\nThe plan with all of these is in " : "\nThe plan with the first change is in ");
        owl_text_words(text, page->written);
        owl_text_char(text, '\n');
    } else if (page->asked_to_write) {
        owl_text_words(text, "Nothing was written.\n");
    }
}

void owl_page_advice_json(const struct owl_advise_page *page, struct owl_text *text)
{
    const struct owl_report_advised report = {.plan = &page->session->plan,
                                              .advice = page->advice,
                                              .keep = page->keep,
                                              .keeps = page->keeps,
                                              .seed = page->seed,
                                              .written = page->written};
    owl_report_advice(&report, text);
}
