/* What the parts of the contact sheet share. Private to the contact sheet. */
#ifndef OWL_SHEET_CONTACT_PARTS_H
#define OWL_SHEET_CONTACT_PARTS_H

#include "sheet/contact_sheet.h"
#include "sheet/pieces.h"

/* `count` and the word for one or for several. */
void owl_contact_count(struct owl_pieces *page, int count, const char *one, const char *several);

/* `Sat 9 Jan`, and `2027` where asked for; or that it is not known. */
void owl_contact_date(struct owl_pieces *page, int64_t night_days, bool with_year);

/* The link target of a night. */
void owl_contact_night_id(struct owl_pieces *page, int64_t night_days);

/* `17:42:05`, after its date where asked for; nothing where it is not known. */
void owl_contact_time(struct owl_pieces *page, double local_s, bool with_date);

/* One visit: its strip of frames, the best one large. */
void owl_contact_visit(struct owl_pieces *page, const struct owl_contact_sheet *sheet, const struct owl_contact_visit *visit);

#endif
