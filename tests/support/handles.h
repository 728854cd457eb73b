/* How many handles this program holds open: what a test compares before and after. Header only; nothing is owned. */
#ifndef OWL_TESTS_HANDLES_H
#define OWL_TESTS_HANDLES_H

#include <fcntl.h>

#define HANDLES_LOOKED_AT 4096

static inline int handles_open(void)
{
    int open = 0;
    for (int i = 0; i < HANDLES_LOOKED_AT; i++)
        open += fcntl(i, F_GETFD) != -1;
    return open;
}

#endif
