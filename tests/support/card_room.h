/* Room for the tests of the card: a folder of its own under the temporary one, with made files in it, and the look through it
   afterwards. One at a time. What fails here stops the program. */
#ifndef OWL_TESTS_CARD_ROOM_H
#define OWL_TESTS_CARD_ROOM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "card/calls.h"
#include "card/pull.h"

#define CARD_ROOM_TIME_S 1767225600 /* the made files' time of change: 2026-01-01, then a minute more a seed */

void card_room_open(void);
void card_room_close(void); /* removes everything */
void card_room_empty(void);

/* The first two as cmocka wants them for a group of tests. */
int card_room_setup(void **state);
int card_room_teardown(void **state);

/* The path of a name in the room; the text lives for eight calls. */
const char *card_room_path(const char *name);

/* Makes a file, and the folders before it, of bytes that follow from the seed; time of change from the seed too. */
void card_room_make(const char *name, size_t bytes, uint64_t seed);

/* Whether two files of the room are regular and hold the same bytes. */
bool card_room_same(const char *one, const char *other);

bool card_room_has(const char *name);

/* The bytes of a file as text, up to 64 kB, until the next call; "" where there is none. */
const char *card_room_text(const char *name);

/* Regular files below a folder of the room. */
size_t card_room_count(const char *folder);

/* Whether each file below `card` is in `target` whole, under its own name, its name with digits, or the name OTHER-NAMES.tsv
   tells; prints the first that is not. */
bool card_room_all_home(const char *card, const char *target);

/* Whether each file below `target` that has a final name is the whole of a file of the card, or of `before`, which is
   what was there before the pull (NULL: nothing). Prints the first that is not. */
bool card_room_none_torn(const char *card, const char *target, const char *before);

/* Whether xxh128sum finds every line of the manifest right; true where that tool is not installed. `strict`: no line may be
   of a form it does not know. */
bool card_room_tool_agrees(const char *target, bool strict);

/* The system's calls without bringing anything to the device: ten times faster. */
struct owl_calls card_room_quick_calls(void);

/* Pulls card into target with these calls (NULL: quick ones); the report is to be cleared by the caller. */
enum owl_status card_room_pull(const char *card, const char *target, const struct owl_calls *calls,
                               struct owl_pull_report *report, struct owl_error *error);

#endif
