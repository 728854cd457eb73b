/* The one field table: every name a plan may hold, with its kind, range, default and meaning.
   The reader, the messages, the manual's table and the page's form are all made from it. */
#ifndef OWL_CORE_PLAN_FIELDS_H
#define OWL_CORE_PLAN_FIELDS_H

#include "core/plan/plan.h"

enum owl_origin { OWL_PUBLISHED, OWL_COMMON_PRACTICE, OWL_ESTIMATE, OWL_MEASURED, OWL_GIVEN };

/* `published`, `common practice`, `estimate`, `measured`, `given`. */
const char *owl_origin_words(enum owl_origin origin);

struct owl_field {
    const char *name;
    enum owl_unit unit;
    size_t offset;        /* of the member in the section's struct */
    const char *standard; /* the default as it would be written; OWL_REQUIRED, OWL_OPTIONAL, or a text
                             starting with '=' that tells where the default comes from */
    double least, most;   /* SI; both included */
    const char *(*choice)(int place); /* for CHOICE: the words, NULL past the last */
    enum owl_origin origin;           /* of the default */
    const char *help;
};

#define OWL_REQUIRED "!"
#define OWL_OPTIONAL ""

struct owl_section {
    const char *name;
    size_t offset; /* of the first struct in owl_plan */
    size_t stride; /* between repeated ones; 0 when the section stands once */
    int most;      /* how often it may stand */
    int first_slot;
    const struct owl_field *fields;
    int field_count;
    const char *help;
};

int owl_section_count(void);
const struct owl_section *owl_section_at(int index);

/* NULL when no section has the name. */
const struct owl_section *owl_section_find(const char *name);

/* The place of a field in its section, -1 when the section has none of the name. */
int owl_field_find(const struct owl_section *section, const char *name);

/* The member a field stands for, in the nth (from 0) section of its kind. */
void *owl_field_member(const struct owl_section *section, int nth, int field, struct owl_plan *plan);
const void *owl_field_value(const struct owl_section *section, int nth, int field,
                            const struct owl_plan *plan);

/* The slot of a field in owl_plan.line_of. */
int owl_field_slot(const struct owl_section *section, int nth, int field);

/* Whether the user wrote the field himself; false for names that do not exist. */
bool owl_plan_gave(const struct owl_plan *plan, const char *section, int nth, const char *field);

/* The value of a field as it would be written in a plan; `not given` when it has none. */
void owl_field_show(const struct owl_section *section, int nth, int field, const struct owl_plan *plan,
                    struct owl_text *text);

#endif
