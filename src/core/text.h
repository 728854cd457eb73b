/* A bounded text builder: the core's only way to make words and numbers.
   The caller owns the buffer; the text is always closed with NUL; nothing is allocated and no
   locale is asked. What does not fit is dropped and `cut` is set. */
#ifndef OWL_CORE_TEXT_H
#define OWL_CORE_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct owl_text {
    char *buffer;
    size_t capacity; /* bytes in buffer, NUL included */
    size_t length;   /* bytes written, NUL not counted */
    bool cut;        /* something did not fit */
};

/* An empty text over buffer; capacity must be at least 1. */
struct owl_text owl_text_over(char *buffer, size_t capacity);

void owl_text_char(struct owl_text *text, char c);
void owl_text_words(struct owl_text *text, const char *words);
void owl_text_bytes(struct owl_text *text, const char *bytes, size_t count);
/* c repeated: nothing for count <= 0. */
void owl_text_repeat(struct owl_text *text, char c, int count);
void owl_text_integer(struct owl_text *text, int64_t value);

/* value with exactly `decimals` (0..9) digits after the point, rounded half away from zero;
   "inf", "-inf" and "nan" for those; magnitudes from 1e15 up go to owl_text_number. */
void owl_text_fixed(struct owl_text *text, double value, int decimals);

/* value with `digits` (1..9) significant digits, trailing zeros dropped, plain notation between
   1e-6 and 1e9 and as d.ddde-NN outside: for people. */
void owl_text_rounded(struct owl_text *text, double value, int digits);

/* For machines (JSON): whole numbers below 1e15 exactly, others to 12 significant digits, far finer
   than anything the models know. Infinity and NaN give "null". */
void owl_text_number(struct owl_text *text, double value);

/* words, then blanks up to `columns` counted in characters (UTF-8), not bytes. */
void owl_text_padded(struct owl_text *text, const char *words, int columns);

/* words inside double quotes, escaped as JSON wants it (RFC 8259); bytes pass as UTF-8. */
void owl_text_json(struct owl_text *text, const char *words);

/* words with & < > " ' written as entities, for HTML and SVG. */
void owl_text_markup(struct owl_text *text, const char *words);

/* Whether two names are the same but for capitals (ASCII). */
bool owl_text_same_name(const char *one, const char *other);

/* Characters (code points) of a UTF-8 string. */
int owl_text_columns(const char *words);

#endif
