/* What went wrong, in words for the user. The caller owns it; filled once where the trouble is met. */
#ifndef OWL_CARD_ERROR_H
#define OWL_CARD_ERROR_H

struct owl_error {
    char words[512]; /* one line without a line end; empty when all is well */
};

#endif
