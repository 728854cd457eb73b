/* Making answers, and reading a body as JSON. */
#include "serve/request.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

#include "core/text.h"

#define COMPLAINT_BYTES 1200 /* an owl_error, escaped at worst as \u00xx for a few, with its frame */

/* ---- answers ---- */

void owl_answer_clear(struct owl_answer *answer)
{
    if (answer->file >= 0)
        close(answer->file);
    if (answer->release != NULL)
        answer->release(answer->owner);
    *answer = (struct owl_answer){.code = 204, .file = -1};
}

void owl_answer_text(struct owl_answer *answer, int code, const char *type, const char *text, size_t length)
{
    static const char no_memory[] = "{\"error\":\"no memory is left\"}";
    owl_answer_clear(answer);
    char *copy = malloc(length + 1);
    if (copy == NULL) {
        *answer = (struct owl_answer){500, "application/json", no_memory, sizeof no_memory - 1, -1, NULL, NULL};
        return;
    }
    memcpy(copy, text, length);
    *answer = (struct owl_answer){code, type, copy, length, -1, free, copy};
}

void owl_answer_done(struct owl_answer *answer, int code)
{
    owl_answer_clear(answer);
    answer->code = code;
}

void owl_answer_complaint(struct owl_answer *answer, int code, const char *words)
{
    char buffer[COMPLAINT_BYTES];
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_text_words(&text, "{\"error\":");
    owl_text_json(&text, words);
    owl_text_char(&text, '}');
    if (text.cut)
        owl_answer_complaint(answer, code, "what went wrong takes too many words to tell");
    else
        owl_answer_text(answer, code, "application/json", buffer, text.length);
}

void owl_answer_bytes(struct owl_answer *answer, const char *type, const void *bytes, size_t length,
                      void (*release)(void *owner), void *owner)
{
    owl_answer_clear(answer);
    *answer = (struct owl_answer){200, type, bytes, length, -1, release, owner};
}

void owl_answer_file(struct owl_answer *answer, const char *type, int file, size_t length)
{
    owl_answer_clear(answer);
    if (file < 0)
        owl_answer_complaint(answer, 404, "the file cannot be read");
    else
        *answer = (struct owl_answer){200, type, NULL, length, file, NULL, NULL};
}

/* ---- JSON ---- */

static enum owl_status refuse(struct owl_error *error, const char *words)
{
    struct owl_text text = owl_text_over(error->words, sizeof error->words);
    owl_text_words(&text, words);
    return OWL_BAD_USE;
}

static bool says_json(const char *type)
{
    static const char json[] = "application/json";
    if (strncasecmp(type, json, sizeof json - 1) != 0)
        return false;
    char behind = type[sizeof json - 1];
    return behind == '\0' || behind == ';' || behind == ' ';
}

/* Deepest nesting of brackets outside of strings; right for every well-formed text, and no less for others. */
static int depth_of(const char *body, size_t length)
{
    int depth = 0, deepest = 0;
    bool quoted = false;
    for (size_t i = 0; i < length; i++) {
        char c = body[i];
        if (quoted && c == '\\')
            i++;
        else if (c == '"')
            quoted = !quoted;
        else if (!quoted && (c == '[' || c == '{') && ++depth > deepest)
            deepest = depth;
        else if (!quoted && (c == ']' || c == '}'))
            depth--;
    }
    return deepest;
}

static enum owl_status refuse_malformed(struct owl_error *error, const json_error_t *met)
{
    struct owl_text text = owl_text_over(error->words, sizeof error->words);
    owl_text_words(&text, "the request is not sound JSON: line ");
    owl_text_integer(&text, met->line);
    owl_text_words(&text, ", column ");
    owl_text_integer(&text, met->column);
    return OWL_BAD_USE;
}

enum owl_status owl_request_json(const struct owl_request *request, json_t **root, struct owl_error *error)
{
    if (!says_json(request->type))
        return refuse(error, "the request must be of type application/json");
    if (depth_of(request->body, request->length) > OWL_REQUEST_DEPTH_MOST)
        return refuse(error, "the request's JSON is nested too deep");
    json_error_t met;
    json_t *read = json_loadb(request->body, request->length, JSON_REJECT_DUPLICATES, &met);
    if (read == NULL)
        return refuse_malformed(error, &met);
    *root = read;
    return OWL_OK;
}
