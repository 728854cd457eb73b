/* Any bytes through the metadata reader, as a whole file and as the head of a longer one. What it tells must be possible:
   spans inside the file, numbers above zero. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "card/metadata.h"

#define BEHIND_THE_HEAD 100000u

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void demand(int holds)
{
    if (!holds)
        abort();
}

static void demand_span(const struct owl_metadata_span *span, uint64_t file_bytes)
{
    demand(span->offset <= file_bytes && span->length <= file_bytes - span->offset && span->width >= 0 && span->height >= 0);
}

static void read_as(const uint8_t *data, size_t size, uint64_t file_bytes)
{
    struct owl_card_metadata metadata;
    owl_metadata_read(data, size, file_bytes, &metadata);
    demand(!(metadata.exposure_s <= 0.0) && !(metadata.f_number <= 0.0) && !(metadata.iso <= 0.0) && !(metadata.focal_m <= 0.0));
    demand(metadata.has_taken == !isnan(metadata.taken_local_s));
    demand(metadata.orientation >= 0 && metadata.orientation <= 8 && metadata.width >= 0 && metadata.height >= 0);
    demand(metadata.previews >= 0 && metadata.previews <= OWL_METADATA_PREVIEWS);
    demand_span(&metadata.thumbnail, file_bytes);
    for (int i = 0; i < metadata.previews; i++)
        demand_span(&metadata.preview[i], file_bytes);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    read_as(data, size, size);
    read_as(data, size, (uint64_t)size + BEHIND_THE_HEAD);
    return 0;
}
