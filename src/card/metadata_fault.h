/* What may be wrong with the metadata of a picture: bits that are noted while the rest is read on. */
#ifndef OWL_CARD_METADATA_FAULT_H
#define OWL_CARD_METADATA_FAULT_H

#define OWL_METADATA_FAULT_LIST(X)                                               \
    X(OWL_METADATA_CUT, 0, "the bytes end before what they promise")             \
    X(OWL_METADATA_OUTSIDE, 1, "a place is given that lies outside the file")    \
    X(OWL_METADATA_LOOP, 2, "a list of entries leads back to itself")            \
    X(OWL_METADATA_BAD_DATE, 3, "a date or time is none")                        \
    X(OWL_METADATA_ZERO, 4, "a number is divided by zero")                       \
    X(OWL_METADATA_MANY, 5, "there is more than is read")                        \
    X(OWL_METADATA_BROKEN, 6, "something is not built as its format says")

enum owl_metadata_fault {
#define OWL_METADATA_FAULT_BIT(name, bit, words) name = 1 << bit,
    OWL_METADATA_FAULT_LIST(OWL_METADATA_FAULT_BIT)
#undef OWL_METADATA_FAULT_BIT
};

#endif
