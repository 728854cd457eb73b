/* What the parts of the metadata reader share while one file is read. Private to them. */
#ifndef OWL_CARD_METADATA_READING_H
#define OWL_CARD_METADATA_READING_H

#include "card/metadata.h"
#include "card/tiff.h"

struct owl_metadata_reading {
    const uint8_t *bytes;
    size_t length;
    uint64_t file_bytes;
    struct owl_card_metadata *metadata;
    uint32_t noted_width, noted_height; /* PixelXDimension and PixelYDimension of [exif]; 0 */
    uint32_t iso_base, iso_exact;       /* the word that ends at 65535, and the long ones for more; 0 */
    bool has_sensor;                    /* there is a picture as the sensor gave it */
    bool has_dng_mark;
};

/* Takes one entry about the shot, from the camera's or the shot's own directory; of no effect for tags it does not know. */
void owl_metadata_shot_entry(struct owl_metadata_reading *reading, struct owl_tiff *tiff, const struct owl_tiff_entry *entry);

/* Reads all directories from the first on. origin: of the TIFF structure in the file. */
void owl_metadata_directories(struct owl_metadata_reading *reading, struct owl_tiff *tiff, uint64_t origin);

/* Reads the index of the pictures in a file. */
void owl_metadata_index(struct owl_metadata_reading *reading, struct owl_tiff *tiff, uint64_t origin);

#define OWL_METADATA_SIDE_MOST 1000000u /* pixels; no camera has a tenth; estimate */

/* Takes a size as the picture's if it is larger than what is known, and possible. */
void owl_metadata_note_size(struct owl_card_metadata *metadata, uint32_t width, uint32_t height);

/* Whether a span lies in the file, with a fault where it does not; its size is then set from its own frame header, if that is
   at hand. */
bool owl_metadata_settle(const struct owl_metadata_reading *reading, struct owl_metadata_span *span);

/* Settles a span and adds it to the previews while there is room. */
void owl_metadata_add_preview(const struct owl_metadata_reading *reading, const struct owl_metadata_span *span);

#endif
