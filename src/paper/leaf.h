/* Paper: A4 pages filled from above in columns with headings, words that wrap, boxes to tick, tables and drawings, as PDF.
   The caller owns the leaf between open and close. Lengths on paper are in points, 1/72 inch, as PDF counts them.
   Words are those of paper/words.h. */
#ifndef OWL_PAPER_LEAF_H
#define OWL_PAPER_LEAF_H

#include <cairo.h>
#include <stdbool.h>
#include <stddef.h>

#include "card/error.h"
#include "core/status.h"

#define OWL_LEAF_WIDTH_PT 595.28 /* A4 [iso216] */
#define OWL_LEAF_HEIGHT_PT 841.89

/* Where the bytes of the PDF go, as they come. */
struct owl_leaf_way {
    bool (*put)(void *context, const char *bytes, size_t length); /* false: they cannot be written */
    void *context;
};

struct owl_leaf_head {
    const char *title;  /* of the whole, in the PDF's own description; the foot of every page repeats it */
    double stamp_unix_s; /* when it is made */
    int pages;          /* how many there will be, for the foot; 0: not known */
};

struct owl_leaf {
    cairo_t *ink;
    cairo_surface_t *surface;
    const struct owl_leaf_head *head;
    struct owl_error *error; /* the first trouble met */
    struct owl_leaf_way way;
    int page;             /* from 1 */
    int columns, column;  /* across the page, and the one being filled, from 0 */
    double top_pt, y_pt;  /* of the columns on this page; where the next thing begins */
    bool fresh;           /* nothing stands in this column */
};

/* Begins the first page, one column wide. OWL_CANNOT_WRITE with words when no font is installed or no page can be made;
   OWL_OUTSIDE_DOMAIN when the stamp lies outside years 1 to 9999. After a failure it may be closed. */
enum owl_status owl_leaf_open(struct owl_leaf *leaf, const struct owl_leaf_head *head, const struct owl_leaf_way *way,
                              struct owl_error *error) OWL_MUST_USE;

/* Ends the last page and writes what is left. OWL_CANNOT_WRITE with words after any trouble since open. */
enum owl_status owl_leaf_close(struct owl_leaf *leaf) OWL_MUST_USE;

/* From here on, so many columns side by side, 1 or 2; a page is begun when the one before ends beside filled columns. */
void owl_leaf_columns(struct owl_leaf *leaf, int columns);
void owl_leaf_next_page(struct owl_leaf *leaf);

/* What does not fit under the last thing goes to the next column or page. A heading never stands alone. */
void owl_leaf_title(struct owl_leaf *leaf, const char *words);
void owl_leaf_heading(struct owl_leaf *leaf, const char *words);
void owl_leaf_small_heading(struct owl_leaf *leaf, const char *words);
void owl_leaf_paragraph(struct owl_leaf *leaf, const char *words);
void owl_leaf_note(struct owl_leaf *leaf, const char *words); /* smaller and fainter */
void owl_leaf_tick(struct owl_leaf *leaf, const char *words);
void owl_leaf_setting(struct owl_leaf *leaf, const char *label, const char *words);

/* One line of a table whose columns are equally wide but the first, which is wider. A head is one line or more, the last
   of them ruled off. Before each line, owl_leaf_begins_column makes room for it and tells whether a head is wanted again. */
enum owl_leaf_line { OWL_LEAF_HEAD, OWL_LEAF_HEAD_END, OWL_LEAF_LINE };
bool owl_leaf_begins_column(struct owl_leaf *leaf);
void owl_leaf_cells(struct owl_leaf *leaf, const char *const *words, int count, enum owl_leaf_line line);

/* A drawing as wide as the column or as high as most_height_pt, or somewhat smaller to fit under the last thing; svg is one
   whole <svg> element. */
void owl_leaf_drawing(struct owl_leaf *leaf, const char *svg, size_t length, double most_height_pt);

#endif
