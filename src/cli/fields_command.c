/* Every field and every key, from the two tables: the manual's tables are this output. */
#include <stdio.h>
#include <string.h>

#include "cli/command.h"
#include "cli/session.h"

#define TABLE_BYTES ((size_t)1 << 16)

static void write_standard(const struct owl_field *field, struct owl_text *text)
{
    const char *standard = field->standard;
    if (strcmp(standard, OWL_REQUIRED) == 0) {
        owl_text_words(text, "must be given");
    } else if (strcmp(standard, OWL_OPTIONAL) == 0) {
        owl_text_words(text, "none");
    } else {
        owl_text_words(text, *standard == '=' ? standard + 1 : standard);
        owl_text_words(text, " (");
        owl_text_words(text, owl_origin_words(field->origin));
        owl_text_char(text, ')');
    }
}

/* What may be written: the words of a choice, else kind and range. */
static void write_allowed(const struct owl_field *field, struct owl_text *text)
{
    if (field->unit == OWL_UNIT_CHOICE) {
        for (int i = 0; field->choice(i); i++) {
            owl_text_words(text, i ? ", " : "");
            owl_text_words(text, field->choice(i));
        }
        return;
    }
    owl_text_words(text, owl_unit_example(field->unit));
    if (field->unit == OWL_UNIT_TEXT || field->unit == OWL_UNIT_POINT)
        return;
    owl_text_words(text, "; ");
    owl_unit_show(field->unit, field->least, text);
    owl_text_words(text, " to ");
    owl_unit_show(field->unit, field->most, text);
}

static void write_section(const struct owl_section *section, struct owl_text *text)
{
    owl_text_words(text, "\n### [");
    owl_text_words(text, section->name);
    owl_text_words(text, section->most > 1 ? " NAME]: " : "]: ");
    owl_text_words(text, section->help);
    owl_text_words(text, "\n\n| name | meaning | written as | if left out |\n| --- | --- | --- | --- |\n");
    for (int i = 0; i < section->field_count; i++) {
        const struct owl_field *field = &section->fields[i];
        owl_text_words(text, "| ");
        owl_text_words(text, field->name);
        owl_text_words(text, " | ");
        owl_text_words(text, field->help);
        owl_text_words(text, " | ");
        write_allowed(field, text);
        owl_text_words(text, " | ");
        write_standard(field, text);
        owl_text_words(text, " |\n");
    }
}

static void write_results(struct owl_text *text)
{
    owl_text_words(text, "| key | meaning | unit | origin | source |\n| --- | --- | --- | --- | --- |\n");
    for (int i = 0; i < OWL_RESULTS; i++) {
        const struct owl_result_row *row = owl_result_row((enum owl_result)i);
        owl_text_words(text, "| ");
        owl_text_words(text, row->key);
        owl_text_words(text, " | ");
        owl_text_words(text, row->label);
        owl_text_words(text, " | ");
        owl_result_si((enum owl_result)i, text);
        owl_text_words(text, " | ");
        owl_text_words(text, owl_origin_words(row->origin));
        owl_text_words(text, " | ");
        owl_text_words(text, row->source);
        owl_text_words(text, " |\n");
    }
}

int owl_command_fields(int count, char **words)
{
    static char buffer[TABLE_BYTES];
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    if (count > 1 || (count == 1 && strcmp(words[0], "--results") != 0))
        return owl_complain_usage("fields takes nothing, or --results", NULL);
    if (count == 1)
        write_results(&text);
    else
        for (int i = 0; i < owl_section_count(); i++)
            write_section(owl_section_at(i), &text);
    return owl_print(&text) ? OWL_EXIT_WELL : OWL_EXIT_FAILED;
}
