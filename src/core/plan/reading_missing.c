/* What a plan must say and does not, and complaints about a field wherever it stands. */
#include <string.h>

#include "core/plan/reading.h"

static bool section_stands(const struct owl_reading *reading, int index, int nth)
{
    const struct owl_section *section = owl_section_at(index);
    if (section->most == 1)
        return nth == 0 && (reading->section_line[index] != 0 || strcmp(section->name, "bait") != 0);
    return nth < (strcmp(section->name, "flash") == 0 ? reading->plan.flashes : reading->plan.passers);
}

void owl_plan_complain_missing(struct owl_reading *reading)
{
    for (int s = 0; s < owl_section_count(); s++) {
        const struct owl_section *section = owl_section_at(s);
        for (int nth = 0; nth < section->most && section_stands(reading, s, nth); nth++) {
            for (int field = 0; field < section->field_count; field++) {
                const struct owl_field *row = &section->fields[field];
                if (strcmp(row->standard, OWL_REQUIRED) != 0 ||
                    reading->plan.line_of[owl_field_slot(section, nth, field)])
                    continue;
                struct owl_text text = owl_complain_field(reading, section->name, nth, row->name);
                owl_text_char(&text, '[');
                owl_text_words(&text, section->name);
                owl_text_words(&text, "] lacks '");
                owl_text_words(&text, row->name);
                owl_text_words(&text, "' (");
                owl_text_words(&text, row->help);
                owl_text_words(&text, "); ");
                owl_text_words(&text, row->unit == OWL_UNIT_CHOICE ? "'" : owl_unit_example(row->unit));
                if (row->unit == OWL_UNIT_CHOICE) {
                    owl_text_words(&text, row->name);
                    owl_text_words(&text, " = ");
                    owl_text_words(&text, row->choice(3));
                    owl_text_words(&text, "' for one");
                }
                owl_text_words(&text, " would be right");
            }
        }
    }
}

static int line_of_section(const struct owl_reading *reading, const struct owl_section *section, int nth)
{
    if (section->most == 1)
        return reading->section_line[section - owl_section_at(0)];
    return strcmp(section->name, "flash") == 0 ? reading->flash_line[nth] : reading->passer_line[nth];
}

struct owl_text owl_complain_field(struct owl_reading *reading, const char *section_words, int nth,
                                   const char *field_words)
{
    const struct owl_section *section = owl_section_find(section_words);
    int field = field_words ? owl_field_find(section, field_words) : -1;
    int line = field >= 0 ? reading->plan.line_of[owl_field_slot(section, nth, field)] : 0;
    bool value_only = line != 0;
    if (!line)
        line = line_of_section(reading, section, nth);
    if (!line)
        return owl_complain(reading->complaints, 0, 0, 0);
    struct owl_span whole, content;
    owl_text_line(reading->bytes, reading->length, line, &whole.start, &whole.end);
    const char *remark = memchr(whole.start, '#', (size_t)(whole.end - whole.start));
    content = owl_span_trimmed((struct owl_span){whole.start, remark ? remark : whole.end});
    const char *equals = memchr(content.start, '=', (size_t)(content.end - content.start));
    if (value_only && equals)
        content = owl_span_trimmed((struct owl_span){equals + 1, content.end});
    return owl_complain(reading->complaints, line, owl_span_characters(whole.start, content.start) + 1,
                        owl_span_characters(content.start, content.end));
}
