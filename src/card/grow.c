/* One growing list for all. */
#include "card/grow.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define FIRST_ROOM 64

bool owl_grow(void *list, size_t *room, size_t count, size_t item_bytes)
{
    if (count < *room)
        return true;
    size_t more = *room ? 2 * *room : FIRST_ROOM;
    void *old;
    memcpy(&old, list, sizeof old); /* a pointer to any type, read as the bytes it is */
    void *moved = more <= SIZE_MAX / item_bytes ? realloc(old, more * item_bytes) : NULL;
    if (!moved)
        return false;
    memcpy(list, &moved, sizeof moved);
    *room = more;
    return true;
}
