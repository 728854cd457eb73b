/* One season: who comes, when and how, and what the rig makes of it. A season follows from setup, seed and its
   number alone, whichever thread runs it and whatever ran before. */
#ifndef OWL_CORE_REHEARSE_SEASON_H
#define OWL_CORE_REHEARSE_SEASON_H

#include "core/rehearse/ledger.h"
#include "core/rehearse/passage.h"

/* What a season came to. */
struct owl_season {
    struct owl_ledger ledger;              /* of the subject's passes */
    uint32_t frames, false_frames;         /* all on the card; those of false triggers among them */
    uint32_t firings;                      /* of the camera */
    uint32_t flashes;                      /* frames in which a flash went off */
    uint32_t unrested;                     /* firings with flash within OWL_EYE_REST_S of the one before */
    int32_t first_keeper;                  /* the night (from 0) of the first keeper; -1: none */
    double shortest_gap_s;                 /* from the last flash of a firing to the next one's first; INFINITY: none */
    double out_nights[OWL_RIG_CARD + 1];   /* nights until it ran out, by device, last the card; INFINITY: it lasts */
};

/* Runs season number `season` (from 0) of a seed. Each source of arrivals has a stream of its own, and takes the same
   draws whatever the rig does: settings, or the other animals of two plans, may differ and the passes stay. */
void owl_season_run(const struct owl_setup *setup, uint64_t seed, int season, struct owl_season *result);

/* One pass of the subject, as it went. */
struct owl_trace {
    int passes;                /* of the subject in the season */
    struct owl_pass pass;
    struct owl_minute minute;
    struct owl_notice notice;
    unsigned failed;           /* links that failed before any frame: away, spent, unseen, blanked */
    double noticed_s, signal_s;
    struct owl_rig rig;        /* as it stood before */
    struct owl_verdict verdict;
    int best;                  /* the frame that counts, from 0 */
    struct owl_frame frame;    /* that frame */
};

/* The same season, with pass number `pass` (from 0) of the subject told. OWL_OUTSIDE_DOMAIN when there is no such pass;
   trace->passes is set all the same. */
enum owl_status owl_season_trace(const struct owl_setup *setup, uint64_t seed, int season, int pass,
                                 struct owl_trace *trace) OWL_MUST_USE;

#endif
