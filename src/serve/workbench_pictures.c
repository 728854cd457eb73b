/* Pictures of the open card's frames, made small and upright when they are asked for. */
#include <stdlib.h>
#include <string.h>

#include "card/tree.h"
#include "image/jpeg_small.h"
#include "serve/workbench_room.h"

#define SMALL_PX 480
#define LARGE_PX OWL_JPEG_SMALL_SIDE_MOST
#define QUALITY 85 /* no blocks to be seen at twice the size; estimate */

/* The card's files, opened with the first picture. The judged frames count as they do, unless the folder changed. */
static enum owl_status open_files(struct owl_open_card *card, struct owl_error *error)
{
    return card->files ? OWL_OK : owl_frames_open(card->session.folder, &card->files, error);
}

static bool same_frame(const struct owl_open_card *card, int number)
{
    return number < owl_frames_count(card->files) &&
           strcmp(owl_frames_at(card->files, number)->name, card->session.judged.frame[number].name) == 0;
}

static void give_picture(struct owl_open_card *card, int number, int long_side_px, struct owl_answer *answer)
{
    struct owl_error error = {{0}};
    struct owl_frames_picture file;
    uint8_t *small = NULL;
    size_t length = 0;
    long warnings = 0;
    if (open_files(card, &error) != OWL_OK || !same_frame(card, number)) {
        owl_answer_complaint(answer, 404, "the folder is no longer as it was judged; judge it anew");
        return;
    }
    enum owl_status status = owl_frames_picture(card->files, number, long_side_px, &file);
    if (status == OWL_OK)
        status = owl_jpeg_small(file.bytes, file.length, long_side_px, QUALITY, file.orientation, &small, &length, &warnings);
    if (status == OWL_OK)
        owl_answer_bytes(answer, "image/jpeg", small, length, free, small);
    else
        owl_answer_complaint(answer, status == OWL_NO_MEMORY ? 500 : 404, "this frame has no picture that can be read");
}

/* A raw file is looked at in a child process, which only one thread may begin at a time: while a judging may be doing that,
   a card with raw files waits. */
static void give(struct owl_workbench *workbench, const struct owl_request *request, int long_side_px, struct owl_answer *answer)
{
    pthread_mutex_lock(&workbench->lock);
    struct owl_open_card *card = workbench->card;
    if (!card)
        owl_answer_complaint(answer, 404, "no card is open");
    else if (request->index < 0 || request->index >= card->session.judged.count)
        owl_answer_complaint(answer, 404, "the card has no such frame");
    else if (workbench->judging && card->has_raw)
        owl_answer_complaint(answer, 503, "raw files are looked at when the judging at work has ended");
    else
        give_picture(card, (int)request->index, long_side_px, answer);
    pthread_mutex_unlock(&workbench->lock);
}

void owl_workbench_get_small(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    give(room, request, SMALL_PX, answer);
}

void owl_workbench_get_frame(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    give(room, request, LARGE_PX, answer);
}
