/* What runs in the child, and the look at what it answers: a head of fixed size, then the picture. */
#include "card/raw_preview.h"

#if defined(OWL_HAVE_LIBRAW)

#include <libraw/libraw.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <time.h>
#include <unistd.h>

#include "card/calls.h"
#include "card/fenced.h"

#define FILE_BYTES_MOST ((uint64_t)512 << 20)   /* it is mapped within the memory below; estimate */
#define MEMORY_BYTES ((uint64_t)1 << 30)        /* the reader itself takes some 40 MB on known files; estimate */
#define CPU_S 5u                                /* known files take under 0.05 s; estimate */
#define WALL_S 20.0                             /* a preview of a few MB from a slow card; estimate */
#define PREVIEW_BYTES_MOST ((size_t)64 << 20)   /* a whole picture of the largest sensors, finest JPEG; estimate */

struct head {
    uint64_t length;
    double taken_local_s, exposure_s, f_number, iso, focal_m;
    int64_t orientation; /* as wide as the others: no gap between them */
};

/* ---- in the child ---- */

static double told(double value)
{
    return value > 0.0 && isfinite(value) ? value : NAN;
}

/* The reader's turning: 3 upside down, 5 a quarter to the left, 6 a quarter to the right. */
static int orientation_of(int flip)
{
    return flip == 3 || flip == 6 ? flip : flip == 5 ? 8 : 0;
}

static struct head head_of(const libraw_data_t *raw)
{
    const libraw_imgother_t *shot = &raw->other;
    return (struct head){.length = raw->thumbnail.tlength,
                         .taken_local_s = shot->timestamp > 0 ? (double)shot->timestamp : NAN,
                         .exposure_s = told((double)shot->shutter),
                         .f_number = told((double)shot->aperture),
                         .iso = told((double)shot->iso_speed),
                         .focal_m = told(0.001 * (double)shot->focal_len),
                         .orientation = orientation_of(raw->sizes.flip)};
}

static bool answer_with(libraw_data_t *raw, int answer)
{
    const libraw_thumbnail_t *picture = &raw->thumbnail;
    if (libraw_unpack_thumb(raw) != LIBRAW_SUCCESS || picture->tformat != LIBRAW_THUMBNAIL_JPEG || !picture->thumb ||
        picture->tlength == 0 || picture->tlength > PREVIEW_BYTES_MOST)
        return false;
    struct head head = head_of(raw);
    return owl_calls_write_full(&owl_calls_system, answer, &head, sizeof head) == 0 &&
           owl_calls_write_full(&owl_calls_system, answer, picture->thumb, picture->tlength) == 0;
}

/* Mapped, not read: of a file of 30 MB only the part with the preview is fetched. Where the file is shorter than it was, or its
   card is gone, the touch of it ends this child and nothing else. */
static bool read_preview(void *context, int file, int answer)
{
    uint64_t size = *(const uint64_t *)context;
    void *bytes = mmap(NULL, (size_t)size, PROT_READ, MAP_PRIVATE, file, 0);
    /* The reader takes the camera's clock for the local one; with a zone of 0 its count of seconds is the clock's own. */
    if (bytes == MAP_FAILED || setenv("TZ", "UTC0", 1) != 0)
        return false;
    tzset();
    libraw_data_t *raw = libraw_init(0);
    return raw && libraw_open_buffer(raw, bytes, (size_t)size) == LIBRAW_SUCCESS && answer_with(raw, answer);
}

/* ---- in the parent ---- */

static bool take_head(const uint8_t *answer, size_t length, struct head *head)
{
    if (length <= sizeof *head)
        return false;
    memcpy(head, answer, sizeof *head);
    bool turned = head->orientation == 3 || head->orientation == 6 || head->orientation == 8;
    return head->length == length - sizeof *head && (head->orientation == 0 || turned);
}

/* A child gone wrong is not believed a number either. */
static struct owl_raw_preview preview_of(const struct head *head, uint8_t *bytes)
{
    return (struct owl_raw_preview){.bytes = bytes,
                                    .length = (size_t)head->length,
                                    .taken_local_s = told(head->taken_local_s),
                                    .exposure_s = told(head->exposure_s),
                                    .f_number = told(head->f_number),
                                    .iso = told(head->iso),
                                    .focal_m = told(head->focal_m),
                                    .orientation = (int)head->orientation};
}

enum owl_status owl_raw_preview(int file, uint64_t size, struct owl_raw_preview *preview)
{
    if (file < 0 || size == 0 || size > FILE_BYTES_MOST)
        return OWL_CANNOT_READ;
    struct owl_fence fence = {.work = read_preview,
                              .context = &size,
                              .file = file,
                              .memory_bytes = MEMORY_BYTES,
                              .cpu_s = CPU_S,
                              .wall_s = WALL_S,
                              .answer_bytes_most = sizeof(struct head) + PREVIEW_BYTES_MOST};
    uint8_t *answer = NULL;
    size_t length = 0;
    struct head head;
    enum owl_status status = owl_fenced(&fence, &answer, &length);
    if (status == OWL_OK && take_head(answer, length, &head)) {
        memmove(answer, answer + sizeof head, (size_t)head.length);
        *preview = preview_of(&head, answer);
        return OWL_OK;
    }
    free(answer);
    return status == OWL_OK ? OWL_CANNOT_READ : status;
}

#else

enum owl_status owl_raw_preview(int file, uint64_t size, struct owl_raw_preview *preview)
{
    (void)file;
    (void)size;
    (void)preview;
    return OWL_CANNOT_READ;
}

#endif
