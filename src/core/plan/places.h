/* Where headings and fields stand in a plan's text, sound or not, so that a form can show and change a text that still has
   faults. Owns nothing. */
#ifndef OWL_CORE_PLAN_PLACES_H
#define OWL_CORE_PLAN_PLACES_H

#include "core/plan/fields.h"

#define OWL_HEADINGS_MOST 16 /* kinds of sections: more than there are */

struct owl_places {
    struct owl_plan plan;           /* of it only line_of, flashes, passers and the names of both */
    int heading[OWL_HEADINGS_MOST]; /* the line of the first heading of each kind, 0: none */
};

/* Finds them by the reader's rules; what it would not take for a heading or field is passed over. */
void owl_places_find(const char *bytes, size_t length, struct owl_places *places);

/* How many sections of a kind stand in the text or, of those that stand once, are taken to. */
int owl_places_count(const struct owl_places *places, const struct owl_section *section);

/* The name given to a flash or passer, "" for other sections. */
const char *owl_places_name(const struct owl_places *places, const struct owl_section *section, int nth);

/* Writes the value as it stands on a line, without blanks around and remark; nothing when no value stands there. */
void owl_places_words(const char *bytes, size_t length, int line, struct owl_text *text);

#endif
