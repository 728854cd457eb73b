/* The end of a judged card. */
#include "card/judged.h"

#include <stdlib.h>

void owl_judged_clear(struct owl_judged *judged)
{
    for (int i = 0; i < judged->count; i++)
        free(judged->frame[i].name);
    free(judged->frame);
    *judged = (struct owl_judged){0};
}
