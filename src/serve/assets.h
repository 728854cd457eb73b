/* Files that were built into the program, found by the path they are served at.
   scripts/embed-assets writes the table; it is constant and owned by nobody. No path given here ever
   reaches a file system. */
#ifndef OWL_SERVE_ASSETS_H
#define OWL_SERVE_ASSETS_H

#include <stddef.h>

struct owl_asset {
    const char *path; /* as in the address, from '/' */
    const char *type; /* media type */
    const char *etag; /* strong, with its quotes */
    const unsigned char *bytes;
    size_t length;
    const char *packed_etag; /* of the gzip copy */
    const unsigned char *packed; /* gzip copy; NULL when it would save too little */
    size_t packed_length;
};

struct owl_asset_table {
    const struct owl_asset *assets; /* sorted by path, byte by byte */
    size_t count;
};

/* The asset served at exactly this path; NULL when there is none. A NULL table holds nothing. */
const struct owl_asset *owl_assets_find(const struct owl_asset_table *table, const char *path);

#endif
