/* A table from 64-bit keys to positions in a list of the caller's, for lists too long to search through. */
#ifndef OWL_CARD_LOOKUP_H
#define OWL_CARD_LOOKUP_H

#include <stddef.h>
#include <stdint.h>

#include "core/status.h"

struct owl_lookup_slot {
    uint64_t key;
    size_t after; /* the position plus one; 0: the slot is free */
};

struct owl_lookup {
    struct owl_lookup_slot *slots;
    size_t room, used; /* room is a power of two, or 0 */
};

/* Adds a position. A key may hold several, but lookups of it take time with their number. OWL_NO_MEMORY: as it was. */
enum owl_status owl_lookup_add(struct owl_lookup *lookup, uint64_t key, size_t position) OWL_MUST_USE;

/* The next slot of a key after `slot`, NULL for the first: keys meet by chance, so the caller looks at the item itself.
   NULL when there is no further one. Valid until the next owl_lookup_add. */
struct owl_lookup_slot *owl_lookup_next(const struct owl_lookup *lookup, uint64_t key, struct owl_lookup_slot *slot);

void owl_lookup_clear(struct owl_lookup *lookup);

#endif
