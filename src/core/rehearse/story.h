/* One pass of one season, told in plain sentences. */
#ifndef OWL_CORE_REHEARSE_STORY_H
#define OWL_CORE_REHEARSE_STORY_H

#include "core/rehearse/rehearsal.h"
#include "core/text.h"

#define OWL_STORY_BYTES 4096 /* room enough for any story */

/* Tells pass `pass` of season `season` (both from 0) of a seed into *text.
   OWL_OUTSIDE_DOMAIN when the season has no such pass; *passes is the number it has, and nothing is written. */
enum owl_status owl_rehearsal_story(const struct owl_setup *setup, uint64_t seed, int season, int pass, int *passes,
                                    struct owl_text *text) OWL_MUST_USE;

#endif
