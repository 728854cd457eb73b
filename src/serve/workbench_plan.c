/* The plan file: read, and saved while nobody else has changed it. */
#include <stdlib.h>
#include <string.h>

#include "card/tree.h"
#include "core/plan/reader.h"
#include "serve/workbench_room.h"
#include "session/plan_file.h"

#define NAME_BYTES 1024

/* {"text", "stamp"} and more; false where the text is no UTF-8, which JSON cannot carry without harm. */
static bool give(struct owl_answer *answer, int code, json_t *root, const struct owl_plan_file *file)
{
    json_t *text = json_stringn(file->bytes ? file->bytes : "", file->length);
    bool whole = text && json_object_set_new(root, "text", text) == 0 &&
                 json_object_set_new(root, "stamp", json_string(file->stamp)) == 0;
    char *words = whole ? json_dumps(root, JSON_COMPACT) : NULL;
    if (words)
        owl_answer_text(answer, code, "application/json", words, strlen(words));
    free(words);
    return words != NULL;
}

static void set_name(json_t *root, const char *name, const char *words)
{
    char shown[NAME_BYTES];
    struct owl_text text = owl_text_over(shown, sizeof shown);
    owl_tree_show(&text, words);
    json_object_set_new(root, name, json_string(shown));
}

void owl_workbench_get_plan(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    struct owl_workbench *workbench = room;
    struct owl_plan_file file = {0};
    struct owl_error error = {{0}};
    json_t *root = json_object();
    (void)request;
    if (workbench->plan) {
        const char *slash = strrchr(workbench->plan, '/');
        set_name(root, "path", workbench->plan);
        set_name(root, "name", slash ? slash + 1 : workbench->plan);
    }
    enum owl_status status = workbench->plan ? owl_plan_file_read(workbench->plan, &file, &error) : OWL_OK;
    if (status != OWL_OK)
        owl_workbench_fail(answer, status, &error);
    else if (!give(answer, 200, root, &file))
        owl_answer_complaint(answer, 422, "the plan file is no text in UTF-8");
    json_decref(root);
    owl_plan_file_clear(&file);
}

static void save(const struct owl_workbench *workbench, const json_t *text, const char *stamp, struct owl_answer *answer)
{
    struct owl_plan_file there = {0};
    struct owl_error error = {{0}};
    bool conflict = false;
    enum owl_status status = owl_plan_file_save(workbench->plan, json_string_value(text), json_string_length(text), stamp,
                                                &conflict, &there, &error);
    json_t *root = json_object();
    if (status != OWL_OK)
        owl_workbench_fail(answer, status, &error);
    else if (!conflict)
        owl_workbench_tell(answer, "stamp", there.stamp);
    else if (!give(answer, 409, root, &there))
        owl_answer_complaint(answer, 422, "the plan file was changed meanwhile, and is no text in UTF-8 now");
    json_decref(root);
    owl_plan_file_clear(&there);
}

void owl_workbench_post_plan(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    const struct owl_workbench *workbench = room;
    json_t *root = NULL;
    if (!owl_workbench_body(request, answer, &root))
        return;
    const json_t *text = json_object_get(root, "text");
    const char *stamp = json_string_value(json_object_get(root, "stamp"));
    if (!json_is_string(text) || !stamp)
        owl_answer_complaint(answer, 400, "text and stamp are needed, both as text");
    else if (json_string_length(text) > OWL_PLAN_BYTES)
        owl_answer_complaint(answer, 413, "this is too long for a plan");
    else if (!workbench->plan)
        owl_answer_complaint(answer, 404, "no plan file was opened: start with owllight open and the file's name");
    else
        save(workbench, text, stamp, answer);
    json_decref(root);
}
