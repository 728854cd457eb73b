/* Finding an embedded file. */
#include "serve/assets.h"

#include <stdlib.h>
#include <string.h>

static int compare_path(const void *path, const void *asset)
{
    return strcmp(path, ((const struct owl_asset *)asset)->path);
}

const struct owl_asset *owl_assets_find(const struct owl_asset_table *table, const char *path)
{
    if (table == NULL || table->count == 0)
        return NULL;
    return bsearch(path, table->assets, table->count, sizeof table->assets[0], compare_path);
}
