/* Reading the Range field. */
#include "serve/range.h"

#include <stdbool.h>
#include <string.h>
#include <strings.h>

/* Reads digits at *at and moves it behind them; UINT64_MAX for a number that does not fit. False without digits. */
static bool read_number(const char **at, uint64_t *number)
{
    const char *digit = *at;
    uint64_t sum = 0;
    for (; *digit >= '0' && *digit <= '9'; digit++) {
        uint64_t value = (uint64_t)(*digit - '0');
        sum = sum > (UINT64_MAX - value) / 10 ? UINT64_MAX : sum * 10 + value;
    }
    bool any = digit != *at;
    *at = digit;
    *number = sum;
    return any;
}

static struct owl_range last_bytes(uint64_t count, uint64_t size)
{
    if (count == 0 || size == 0)
        return (struct owl_range){OWL_RANGE_BEYOND, 0, 0};
    uint64_t length = count < size ? count : size;
    return (struct owl_range){OWL_RANGE_PART, size - length, length};
}

static struct owl_range span(uint64_t first, uint64_t last, uint64_t size)
{
    if (first > last)
        return (struct owl_range){OWL_RANGE_WHOLE, 0, 0};
    if (first >= size)
        return (struct owl_range){OWL_RANGE_BEYOND, 0, 0};
    if (last >= size)
        last = size - 1;
    return (struct owl_range){OWL_RANGE_PART, first, last - first + 1};
}

struct owl_range owl_range_read(const char *field, uint64_t size)
{
    static const struct owl_range whole = {OWL_RANGE_WHOLE, 0, 0};
    static const char unit[] = "bytes=";
    if (field == NULL || strncasecmp(field, unit, sizeof unit - 1) != 0)
        return whole;
    const char *at = field + sizeof unit - 1;
    uint64_t first, last = UINT64_MAX;
    bool starts = read_number(&at, &first);
    if (*at++ != '-')
        return whole;
    bool ends = read_number(&at, &last);
    if (*at != '\0' || (!starts && !ends))
        return whole;
    if (!starts)
        return last_bytes(last, size);
    return span(first, ends ? last : UINT64_MAX, size);
}
