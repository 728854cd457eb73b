/* Open addressing with linear probing, at most half full. */
#include "card/lookup.h"

#include <stdlib.h>

#define FIRST_ROOM 256

static void put(struct owl_lookup *lookup, uint64_t key, size_t stored)
{
    size_t mask = lookup->room - 1, at = (size_t)key & mask;
    while (lookup->slots[at].after != 0)
        at = (at + 1) & mask;
    lookup->slots[at] = (struct owl_lookup_slot){key, stored};
    lookup->used++;
}

static enum owl_status grow(struct owl_lookup *lookup)
{
    size_t room = lookup->room ? lookup->room * 2 : FIRST_ROOM;
    struct owl_lookup wider = {calloc(room, sizeof *wider.slots), room, 0};
    if (!wider.slots)
        return OWL_NO_MEMORY;
    for (size_t i = 0; i < lookup->room; i++)
        if (lookup->slots[i].after != 0)
            put(&wider, lookup->slots[i].key, lookup->slots[i].after);
    free(lookup->slots);
    *lookup = wider;
    return OWL_OK;
}

enum owl_status owl_lookup_add(struct owl_lookup *lookup, uint64_t key, size_t position)
{
    if (2 * (lookup->used + 1) > lookup->room && grow(lookup) != OWL_OK)
        return OWL_NO_MEMORY;
    put(lookup, key, position + 1);
    return OWL_OK;
}

struct owl_lookup_slot *owl_lookup_next(const struct owl_lookup *lookup, uint64_t key, struct owl_lookup_slot *slot)
{
    if (lookup->room == 0)
        return NULL;
    size_t mask = lookup->room - 1;
    size_t at = slot ? ((size_t)(slot - lookup->slots) + 1) & mask : (size_t)key & mask;
    while (lookup->slots[at].after != 0 && lookup->slots[at].key != key)
        at = (at + 1) & mask;
    return lookup->slots[at].after != 0 ? &lookup->slots[at] : NULL;
}

void owl_lookup_clear(struct owl_lookup *lookup)
{
    free(lookup->slots);
    *lookup = (struct owl_lookup){0};
}
