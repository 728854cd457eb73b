/* The frames of a judged card grouped to visits, each with the row of the ledger it ends in. What is found is the caller's, to be
   given back with owl_visits_free; the card is only read.

   A card shows the rows keeper, cut, soft, dim and burnt. What its pixels cannot tell is never booked: smeared and doubled (blur
   by motion and ghosts do not show well enough to judge by) and all that leaves no picture of the animal: away, spent,
   unseen, blanked, late. A late one leaves an empty frame like that of a false trigger. */
#ifndef OWL_CARD_VISITS_H
#define OWL_CARD_VISITS_H

#include "card/judged.h"
#include "core/calendar.h"
#include "core/rehearse/ledger.h"

#define OWL_VISITS_GAP_S 60.0 /* longest between two pictures of one visit, unless told otherwise; common practice */

/* Of a frame that shows something, the failed links as bits of OWL_FAILED; of one that failed its flash, dim. Nothing else is
   judged by links: 0.
     cut    the subject touches the border
     soft   fogged, or out of focus
     dim    a flash missing, or all of them; or what the box holds is nearly black
     burnt  over-exposed; or too much of the box is clipped, and much more than the frames of that light usually are */
unsigned owl_visits_failed(const struct owl_frame_verdict *verdict);

/* Frames order[first] .. order[past - 1] of owl_visits. From the first to the last frame that shows something, whatever lies
   between; and frames at most the gap before or after whose flash failed, if no other visit is nearer. */
struct owl_visit {
    int first, past;
    int frames;             /* past - first */
    int shown;              /* frames that show something: subject, or worth a look */
    int dark;               /* frames too dark to judge because no flash fired */
    int best;               /* frame number of the best one */
    bool sure;              /* some frame shows a subject for sure. Then only such frames count for the best and the ledger */
    double begin_s, end_s;  /* of its frames that have a time: camera's clock put right by the card's shift; NaN: none has one */
    struct owl_verdict verdict; /* of the frames that count, and of the dark ones: these are taken as dim on top of what the
                                   best one fails by, since nobody knows what the dark hides */
    enum owl_ledger_row row;    /* the first failing link of the best frame */
};

/* From noon to noon of the camera's clock put right. */
struct owl_visits_night {
    bool dated;             /* false: frames without a time, always the last of the list */
    struct owl_date date;   /* of the noon it begins with */
    int visits, unsure;     /* begun in it; unsure: those among them that are */
    int keepers;            /* visits, sure ones, that end as keepers */
    int blind;              /* begun in it; see owl_visits */
    int frames;             /* taken in it: the sum of the next four */
    int shown, empties, dark, cannot; /* cannot: the judge could not judge them */
};

struct owl_visits {
    int frames;             /* of the card */
    int *order;             /* their numbers in the order of time; the order of names where the clock was lost or set back */
    bool by_clock;          /* false: that is so, and frames after the step may be dated wrong */
    int count;
    struct owl_visit *visit; /* in that order */
    int nights;
    struct owl_visits_night *night; /* those with a frame, the earliest first */
    struct owl_ledger sure, unsure; /* the visits booked by row */
    int blind;              /* dark frames outside of any visit, grouped by the same gap: visits or false triggers, no telling */
    int shown, empties, dark, cannot; /* frames of the card; empties: false triggers, or too late */
};

/* gap_s: from one picture of a visit to the next, >= 0, finite. Where a time is missing only direct neighbours make one visit;
   none reaches over a place where the clock was set back. OWL_OUTSIDE_DOMAIN, OWL_NO_MEMORY: nothing is held then. */
enum owl_status owl_visits_find(const struct owl_judged *judged, double gap_s, struct owl_visits *visits) OWL_MUST_USE;

void owl_visits_free(struct owl_visits *visits);

#endif
