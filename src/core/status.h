/* Every way a function of owllight can fail, with the words for it. Owns nothing. */
#ifndef OWL_CORE_STATUS_H
#define OWL_CORE_STATUS_H

#define OWL_STATUS_LIST(X)                                                      \
    X(OWL_OK, "all is well")                                                    \
    X(OWL_OUTSIDE_DOMAIN, "a value lies outside the range the formula holds for") \
    X(OWL_NO_ROOM, "the buffer given is too small")                             \
    X(OWL_BAD_PLAN, "the plan has errors")                                      \
    X(OWL_BAD_USE, "the command was called in a way it does not know")          \
    X(OWL_CANNOT_READ, "a file cannot be read")                                 \
    X(OWL_CANNOT_WRITE, "a file cannot be written")                             \
    X(OWL_UNKNOWN_ZONE, "no such time zone is installed")                       \
    X(OWL_NO_MEMORY, "no memory is left")

enum owl_status {
#define OWL_STATUS_NAME(name, words) name,
    OWL_STATUS_LIST(OWL_STATUS_NAME)
#undef OWL_STATUS_NAME
};

#if defined(__GNUC__)
#define OWL_MUST_USE __attribute__((warn_unused_result))
#else
#define OWL_MUST_USE
#endif

/* The words for a status; never NULL, "unknown status" for a number that is none. */
const char *owl_status_words(enum owl_status status);

#endif
