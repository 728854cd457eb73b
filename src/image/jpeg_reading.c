/* libjpeg's errors, limits and scales. Its errors jump; each reader catches its own, and they go no further than this room. */
#include "image/jpeg_reading.h"

#include "image/jpeg.h"

#define SCANS_MOST 60
#define EIGHTHS 8

static void jump_out(j_common_ptr common)
{
    struct owl_jpeg_reading *reading = common->client_data;
    longjmp(reading->escape, 1);
}

/* Nothing is printed; warnings are counted by libjpeg's own rule. */
static void note_message(j_common_ptr common, int level)
{
    if (level < 0)
        common->err->num_warnings++;
}

/* A file of a few kilobytes can ask for thousands of passes over a huge picture. */
static void watch_scans(j_common_ptr common)
{
    struct owl_jpeg_reading *reading = common->client_data;
    if (reading->jpeg.input_scan_number > SCANS_MOST)
        longjmp(reading->escape, 1);
}

struct jpeg_error_mgr *owl_jpeg_reading_errors(struct jpeg_error_mgr *errors)
{
    (void)jpeg_std_error(errors);
    errors->error_exit = jump_out;
    errors->emit_message = note_message;
    return errors;
}

/* client_data is set twice: the first serves an error in the making, which may forget it. */
void owl_jpeg_reading_begin(struct owl_jpeg_reading *reading, const uint8_t *bytes, size_t length)
{
    reading->jpeg.err = owl_jpeg_reading_errors(&reading->errors);
    reading->jpeg.client_data = reading;
    jpeg_create_decompress(&reading->jpeg);
    reading->jpeg.client_data = reading;
    reading->jpeg.mem->max_memory_to_use = OWL_JPEG_MEMORY_MOST;
    reading->progress.progress_monitor = watch_scans;
    reading->jpeg.progress = &reading->progress;
    jpeg_mem_src(&reading->jpeg, bytes, length);
    (void)jpeg_read_header(&reading->jpeg, TRUE);
}

bool owl_jpeg_reading_within_limits(const struct owl_jpeg_reading *reading)
{
    const struct jpeg_decompress_struct *jpeg = &reading->jpeg;
    return jpeg->image_width >= 1 && jpeg->image_height >= 1 && jpeg->image_width <= OWL_JPEG_SIDE_MOST &&
           jpeg->image_height <= OWL_JPEG_SIDE_MOST &&
           (double)jpeg->image_width * (double)jpeg->image_height <= OWL_JPEG_PIXELS_MOST;
}

/* At an eighth only the mean of each block is computed. */
void owl_jpeg_reading_start(struct owl_jpeg_reading *reading, J_COLOR_SPACE colours, int width, int height)
{
    struct jpeg_decompress_struct *jpeg = &reading->jpeg;
    unsigned int eighths = 1;
    while (eighths < EIGHTHS && (jpeg->image_width * eighths / EIGHTHS < (unsigned int)width ||
                                 jpeg->image_height * eighths / EIGHTHS < (unsigned int)height))
        eighths *= 2;
    jpeg->scale_num = eighths;
    jpeg->scale_denom = EIGHTHS;
    jpeg->out_color_space = colours;
    jpeg->dct_method = JDCT_ISLOW;
    jpeg->do_fancy_upsampling = FALSE;
    (void)jpeg_start_decompress(jpeg);
}

void owl_jpeg_reading_end(struct owl_jpeg_reading *reading)
{
    jpeg_destroy_decompress(&reading->jpeg);
}
