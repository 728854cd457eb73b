/* The Range field of a request (RFC 9110, section 14): one span of bytes, or the whole. Pure. */
#ifndef OWL_SERVE_RANGE_H
#define OWL_SERVE_RANGE_H

#include <stdint.h>

enum owl_range_kind {
    OWL_RANGE_WHOLE, /* no range asked, or one the standard lets a server pass over: answer 200 */
    OWL_RANGE_PART,  /* answer 206 */
    OWL_RANGE_BEYOND /* nothing of it exists: answer 416 */
};

struct owl_range {
    enum owl_range_kind kind;
    uint64_t first;  /* byte, from 0; only for a part */
    uint64_t length; /* bytes, at least 1; only for a part */
};

/* What a Range field (NULL when none was sent) means for `size` bytes. Several ranges, other units and
   anything malformed are passed over; numbers too large to hold count as beyond every size. */
struct owl_range owl_range_read(const char *field, uint64_t size);

#endif
