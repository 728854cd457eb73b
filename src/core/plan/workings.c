/* Formula, numbers put in, result, source: the result table's rows turned into an explanation. */
#include "core/plan/workings.h"

#include <math.h>
#include <string.h>

static void copy(char *to, size_t room, const char *from, size_t length)
{
    struct owl_text text = owl_text_over(to, room);
    owl_text_bytes(&text, from, length);
}

/* `flash.*.power` and `flash.power` both mean the flash at hand. */
static void name_meaning(const struct owl_plan *plan, const struct owl_figure *figure, const char *words, size_t length,
                         struct owl_working_input *input)
{
    const char *star = memchr(words, '*', length);
    if (!star) {
        copy(input->meaning, sizeof input->meaning, words, length);
        return;
    }
    bool cells = length > 5 && memcmp(words, "cells", 5) == 0;
    struct owl_text text = owl_text_over(input->meaning, sizeof input->meaning);
    owl_text_bytes(&text, words, (size_t)(star - words));
    owl_text_words(&text, cells ? owl_device_name(plan, figure->which) : plan->flash[figure->which].name);
    owl_text_bytes(&text, star + 1, length - (size_t)(star + 1 - words));
}

/* Looks for `section.field`; flash fields are those of the flash at hand. */
static bool find_field(const struct owl_plan *plan, const struct owl_figure *figure, struct owl_working_input *input)
{
    const char *dot = strchr(input->meaning, '.');
    char name[24];
    if (!dot || (size_t)(dot - input->meaning) >= sizeof name)
        return false;
    copy(name, sizeof name, input->meaning, (size_t)(dot - input->meaning));
    const struct owl_section *section = owl_section_find(name);
    int field = section ? owl_field_find(section, dot + 1) : -1;
    if (field < 0)
        return false;
    int nth = section->most > 1 ? figure->which : 0;
    const struct owl_field *row = &section->fields[field];
    input->is_field = true;
    input->unit = row->unit;
    input->line = plan->line_of[owl_field_slot(section, nth, field)];
    input->origin = input->line ? OWL_GIVEN : row->origin;
    input->named_value = *(const double *)owl_field_value(section, nth, field, plan);
    return true;
}

static bool find_result(const struct owl_plan *plan, const struct owl_outcome *outcome, struct owl_working_input *input)
{
    const struct owl_figure *other = owl_outcome_by_key(plan, outcome, input->meaning);
    if (!other)
        return false;
    input->is_result = true;
    input->unit = owl_result_row(other->result)->unit;
    input->result = other->result;
    input->named_value = other->value;
    return true;
}

/* One entry of a row's inputs: `s lens.focal length` or `s:unit words`. */
static void read_input(const struct owl_plan *plan, const struct owl_outcome *outcome, const struct owl_figure *figure,
                       const char *entry, size_t length, struct owl_working_input *input)
{
    const char *blank = memchr(entry, ' ', length), *colon = memchr(entry, ':', length);
    if (!blank)
        return;
    bool unnamed = colon && colon < blank;
    copy(input->symbol, sizeof input->symbol, entry, (size_t)((unnamed ? colon : blank) - entry));
    if (unnamed)
        copy(input->unit_words, sizeof input->unit_words, colon + 1, (size_t)(blank - colon - 1));
    size_t left = length - (size_t)(blank + 1 - entry);
    if (unnamed) {
        copy(input->meaning, sizeof input->meaning, blank + 1, left);
        return;
    }
    name_meaning(plan, figure, blank + 1, left, input);
    if (!find_field(plan, figure, input))
        find_result(plan, outcome, input);
}

int owl_working_inputs(const struct owl_plan *plan, const struct owl_outcome *outcome,
                       const struct owl_figure *figure, struct owl_working_input input[OWL_FIGURE_INPUTS])
{
    const char *here = owl_result_row(figure->result)->inputs;
    int count = 0;
    while (*here && count < figure->inputs) {
        const char *bar = strchr(here, '|');
        size_t length = bar ? (size_t)(bar - here) : strlen(here);
        input[count] = (struct owl_working_input){.value = figure->input[count], .named_value = NAN, .unit = OWL_UNIT_PHYSICAL};
        read_input(plan, outcome, figure, here, length, &input[count]);
        count++;
        here += length + (bar != NULL);
    }
    return count;
}

void owl_figure_show(const struct owl_figure *figure, struct owl_text *text)
{
    enum owl_unit unit = owl_result_row(figure->result)->unit;
    owl_unit_show(unit, figure->value, text);
    if (unit == OWL_UNIT_PHYSICAL) {
        owl_text_char(text, ' ');
        owl_result_si(figure->result, text);
    }
}

static void show_input_value(const struct owl_working_input *input, struct owl_text *text)
{
    if (input->is_field || input->is_result) {
        owl_unit_show(input->unit, input->value, text);
        if (input->unit == OWL_UNIT_PHYSICAL) {
            owl_text_char(text, ' ');
            owl_result_si(input->result, text);
        }
        return;
    }
    owl_text_rounded(text, input->value, 4);
    if (strcmp(input->unit_words, "1") != 0) {
        owl_text_char(text, ' ');
        owl_text_words(text, input->unit_words);
    }
}

static void show_input(const struct owl_working_input *input, struct owl_text *text)
{
    char value[64];
    struct owl_text shown = owl_text_over(value, sizeof value);
    show_input_value(input, &shown);
    owl_text_words(text, "    ");
    owl_text_padded(text, input->symbol, 3);
    owl_text_words(text, "= ");
    owl_text_padded(text, value, 16);
    owl_text_words(text, input->meaning);
    if (input->line) {
        owl_text_words(text, " (given, line ");
        owl_text_integer(text, input->line);
        owl_text_char(text, ')');
    } else if (input->is_field) {
        owl_text_words(text, " (default, ");
        owl_text_words(text, owl_origin_words(input->origin));
        owl_text_char(text, ')');
    }
    owl_text_char(text, '\n');
}

void owl_working_show(const struct owl_plan *plan, const struct owl_outcome *outcome,
                      const struct owl_figure *figure, struct owl_text *text)
{
    const struct owl_result_row *row = owl_result_row(figure->result);
    struct owl_working_input input[OWL_FIGURE_INPUTS];
    owl_figure_key(plan, figure->result, figure->which, text);
    owl_text_words(text, ": ");
    owl_text_words(text, row->label);
    owl_text_words(text, "\n  ");
    owl_text_words(text, row->formula);
    owl_text_char(text, '\n');
    int count = owl_working_inputs(plan, outcome, figure, input);
    for (int i = 0; i < count; i++)
        show_input(&input[i], text);
    owl_text_words(text, "  result: ");
    owl_figure_show(figure, text);
    owl_text_words(text, "\n  ");
    owl_text_words(text, owl_origin_words(row->origin));
    owl_text_words(text, "; source ");
    owl_text_words(text, row->source);
    owl_text_words(text, " in docs/sources.md\n");
}
