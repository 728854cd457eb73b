/* Read once, write, read back. */
#include "card/copy.h"

#include <errno.h>

static enum owl_copy_end ended(struct owl_copy *copy, enum owl_copy_end end)
{
    copy->trouble = errno;
    return end;
}

static bool is_unchanged(const struct owl_copy *copy, uint64_t bytes_read)
{
    struct stat now;
    return fstat(copy->original, &now) == 0 && (uint64_t)now.st_size == bytes_read && now.st_size == copy->facts.st_size &&
           now.st_mtim.tv_sec == copy->facts.st_mtim.tv_sec && now.st_mtim.tv_nsec == copy->facts.st_mtim.tv_nsec;
}

enum owl_copy_end owl_copy_write(struct owl_copy *copy)
{
    struct owl_digester *digester = copy->digester;
    uint64_t done = 0;
    if (fstat(copy->original, &copy->facts) != 0)
        return ended(copy, OWL_COPY_UNREADABLE);
    owl_digester_start(digester);
    for (;;) {
        ssize_t got = owl_calls_read_full(copy->calls, copy->original, digester->chunk, digester->chunk_bytes);
        if (got < 0)
            return ended(copy, OWL_COPY_UNREADABLE);
        if (got == 0)
            break;
        owl_digester_feed(digester, digester->chunk, (size_t)got);
        if (owl_calls_write_full(copy->calls, copy->copy, digester->chunk, (size_t)got) != 0)
            return ended(copy, OWL_COPY_UNWRITABLE);
        owl_calls_begin_writing(copy->copy, done, (size_t)got);
        done += (uint64_t)got;
        if (!copy->going_on(copy->context, (size_t)got))
            return OWL_COPY_STOPPED;
    }
    copy->digest = owl_digester_end(digester);
    return is_unchanged(copy, done) ? OWL_COPY_DONE : OWL_COPY_CHANGED;
}

enum owl_copy_end owl_copy_prove(struct owl_copy *copy)
{
    struct timespec times[2] = {{.tv_nsec = UTIME_OMIT}, copy->facts.st_mtim};
    struct owl_digest back;
    /* A disk that cannot keep the time still keeps the picture. */
    (void)futimens(copy->copy, times);
    if (copy->calls->sync_data(copy->copy) != 0)
        return ended(copy, OWL_COPY_UNWRITABLE);
    owl_calls_forget(copy->copy);
    if (owl_digester_file(copy->digester, copy->calls, copy->copy, &back) != 0)
        return ended(copy, OWL_COPY_UNWRITABLE);
    return owl_digest_same(&back, &copy->digest) ? OWL_COPY_DONE : OWL_COPY_DIFFERS;
}
