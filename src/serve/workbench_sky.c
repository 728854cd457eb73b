/* The sky of a plan that the page holds, as bytes for its own core. */
#include <stdlib.h>
#include <string.h>

#include "core/model/sky_blob.h"
#include "core/report/figures.h"
#include "serve/workbench_room.h"

#define TROUBLE_BYTES 400

/* The first line is enough: the page's own core tells all that is wrong with a plan. */
static void complain(struct owl_answer *answer, enum owl_status status, const struct owl_trouble *trouble)
{
    char words[TROUBLE_BYTES];
    struct owl_text text = owl_text_over(words, sizeof words);
    owl_trouble_show(trouble, status, &text);
    words[strcspn(words, "\n")] = '\0';
    owl_answer_complaint(answer, status == OWL_NO_MEMORY ? 500 : 422, words);
}

static void give_blob(struct owl_answer *answer, const struct owl_plan *plan, const struct owl_sky *sky)
{
    char key[OWL_SKY_KEY_BYTES];
    struct owl_text text = owl_text_over(key, sizeof key);
    size_t length = 0;
    owl_report_sky_key(plan, &text);
    size_t room = owl_sky_blob_bytes(sky, key);
    uint8_t *bytes = malloc(room);
    enum owl_status status = bytes ? owl_sky_blob_write(sky, key, bytes, room, &length) : OWL_NO_MEMORY;
    if (status == OWL_OK) {
        owl_answer_bytes(answer, "application/octet-stream", bytes, length, free, bytes);
        return;
    }
    free(bytes);
    owl_answer_complaint(answer, 500, owl_status_words(status));
}

static void make_sky(const json_t *text, struct owl_answer *answer)
{
    struct owl_watch_sky sky = {.rows = NULL};
    struct owl_trouble trouble = {0};
    struct owl_plan *plan = malloc(sizeof *plan);
    const char *words = json_string_value(text);
    size_t length = json_string_length(text);
    enum owl_status status = plan ? owl_session_read_sky("the plan", words, length, plan, &sky, &trouble) : OWL_NO_MEMORY;
    if (status == OWL_OK)
        give_blob(answer, plan, &sky.sky);
    else
        complain(answer, status, &trouble);
    owl_watch_sky_close(&sky);
    owl_trouble_clear(&trouble);
    free(plan);
}

void owl_workbench_post_sky(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    json_t *root = NULL;
    (void)room;
    if (!owl_workbench_body(request, answer, &root))
        return;
    const json_t *text = json_object_get(root, "text");
    if (json_is_string(text))
        make_sky(text, answer);
    else
        owl_answer_complaint(answer, 400, "text is needed, the plan's");
    json_decref(root);
}
