/* One waypoint in XML. */
#include "sheet/gpx.h"

#include <math.h>

#include "core/constants.h"
#include "sheet/clean.h"

#define PLACE_DECIMALS 6
#define EAST_END_DEG 180.0 /* which GPX wants written as west */

enum owl_status owl_gpx_write(const struct owl_plan *plan, struct owl_text *text)
{
    double latitude_deg = plan->site.latitude_rad * OWL_DEG_PER_RAD, longitude_deg = plan->site.longitude_rad * OWL_DEG_PER_RAD;
    char buffer[4 * OWL_WORDS_BYTES];
    struct owl_text name = owl_text_over(buffer, sizeof buffer);
    if (!(fabs(latitude_deg) <= 90.0 && fabs(longitude_deg) <= EAST_END_DEG))
        return OWL_OUTSIDE_DOMAIN;
    /* What is rounded to the end is at the end. */
    if (longitude_deg > EAST_END_DEG - 0.5 * pow(10.0, -PLACE_DECIMALS))
        longitude_deg = -EAST_END_DEG;
    owl_clean_words(&name, plan->site.name);
    owl_text_words(text, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                         "<!-- Whoever has this file knows the place: where a camera stands alone, and where an animal lives. "
                         "Hand it to nobody who need not go there, put it on no map that others see, and never give away a "
                         "nest or a den. -->\n"
                         "<gpx version=\"1.1\" creator=\"owllight\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n  <wpt "
                         "lat=\"");
    owl_text_fixed(text, latitude_deg, PLACE_DECIMALS);
    owl_text_words(text, "\" lon=\"");
    owl_text_fixed(text, longitude_deg, PLACE_DECIMALS);
    owl_text_words(text, "\">\n");
    if (buffer[0]) {
        owl_text_words(text, "    <name>");
        owl_text_markup(text, buffer);
        owl_text_words(text, "</name>\n");
    }
    owl_text_words(text, "  </wpt>\n</gpx>\n");
    return text->cut ? OWL_NO_ROOM : OWL_OK;
}
