/* All frames as a table for spreadsheets and other programs: comma separated values [rfc4180], one line a frame. Pure text.

   Every cell that is not plain is in double quotes, those within doubled; lines end with CR LF. A spreadsheet runs a cell that
   begins with = + - @ tab, CR or LF, or the wide forms of the first four, as a formula; anybody can name a file so. Such a
   file name gets ./ before it, and so names the same file as before; other words get an apostrophe, which spreadsheets take
   for "this is text", common practice. No number of the table is ever negative. */
#ifndef OWL_SHEET_FRAME_TABLE_H
#define OWL_SHEET_FRAME_TABLE_H

#include <stdbool.h>

#include "core/text.h"

/* In pixels of the whole picture as stored; right and bottom one past. */
struct owl_table_box {
    double left, top, right, bottom;
};

struct owl_table_frame {
    const char *file;      /* bytes as the file system has them */
    double taken_s;        /* s since 1970 by the clock at the site; NaN: not known, the cell stays empty */
    const char *verdict;   /* "subject" */
    const char *row;       /* of the ledger; "": none */
    int visit;             /* its number; 0: of none */
    bool best;             /* of its visit */
    double score;          /* NaN: none */
    const char *flash;     /* "fired" */
    const struct owl_table_box *box; /* the heaviest first */
    int boxes;
    bool cut_off;
    double clipped;        /* share of pixels burnt out; NaN: not known */
    int sharpness_rank;    /* within its visit, 1 the sharpest; 0: none */
    const char *remarks;
};

/* The first line, with the names of the columns. */
void owl_frame_table_head(struct owl_text *text);

/* One frame's line. taken is 2027-01-09T17:42:05 [iso8601]; left, top, right, bottom are of the heaviest box, other_boxes has
   the others as left/top/right/bottom with blanks between; visit, best and cut_off are empty where there is nothing to tell. */
void owl_frame_table_line(const struct owl_table_frame *frame, struct owl_text *text);

#endif
