/* The words for each status. */
#include "core/status.h"

const char *owl_status_words(enum owl_status status)
{
    switch (status) {
#define OWL_STATUS_WORDS(name, words) \
    case name:                        \
        return words;
        OWL_STATUS_LIST(OWL_STATUS_WORDS)
#undef OWL_STATUS_WORDS
    }
    return "unknown status";
}
