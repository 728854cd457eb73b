/* Lists that double when they are full. */
#ifndef OWL_CARD_GROW_H
#define OWL_CARD_GROW_H

#include <stdbool.h>
#include <stddef.h>

/* Makes room for one more item behind `count`. `list` is the address of a pointer from malloc or NULL, which may move. False,
   and all as it was, when no memory is left. */
bool owl_grow(void *list, size_t *room, size_t count, size_t item_bytes);

#endif
