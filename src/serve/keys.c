/* Drawing and comparing secrets. */
#include "serve/keys.h"

#include <string.h>
#include <sys/random.h>

#include "core/text.h"

static enum owl_status draw(char digits[OWL_KEYS_DIGITS + 1], struct owl_error *error)
{
    static const char hexadecimal[] = "0123456789abcdef";
    unsigned char drawn[OWL_KEYS_DIGITS / 2];
    if (getrandom(drawn, sizeof drawn, 0) != (ssize_t)sizeof drawn) {
        struct owl_text text = owl_text_over(error->words, sizeof error->words);
        owl_text_words(&text, "the system gives no random numbers");
        return OWL_CANNOT_READ;
    }
    for (size_t i = 0; i < sizeof drawn; i++) {
        digits[2 * i] = hexadecimal[drawn[i] >> 4];
        digits[2 * i + 1] = hexadecimal[drawn[i] & 15];
    }
    digits[OWL_KEYS_DIGITS] = '\0';
    return OWL_OK;
}

/* Both OWL_KEYS_DIGITS long. */
static bool same_digits(const char *one, const char *other)
{
    volatile unsigned char differing = 0;
    for (size_t i = 0; i < OWL_KEYS_DIGITS; i++)
        differing = (unsigned char)(differing | ((unsigned char)one[i] ^ (unsigned char)other[i]));
    return differing == 0;
}

enum owl_status owl_keys_open(struct owl_keys *keys, struct owl_error *error)
{
    *keys = (struct owl_keys){0};
    enum owl_status status = draw(keys->session, error);
    if (status == OWL_OK)
        pthread_mutex_init(&keys->lock, NULL);
    return status;
}

void owl_keys_close(struct owl_keys *keys)
{
    pthread_mutex_destroy(&keys->lock);
    memset(keys, 0, sizeof *keys);
}

enum owl_status owl_keys_ticket(struct owl_keys *keys, char ticket[OWL_KEYS_DIGITS + 1], struct owl_error *error)
{
    enum owl_status status = draw(ticket, error);
    if (status != OWL_OK)
        return status;
    pthread_mutex_lock(&keys->lock);
    memcpy(keys->tickets[keys->next], ticket, OWL_KEYS_DIGITS + 1);
    keys->next = (keys->next + 1) % OWL_KEYS_TICKETS;
    pthread_mutex_unlock(&keys->lock);
    return OWL_OK;
}

bool owl_keys_spend(struct owl_keys *keys, const char *ticket)
{
    if (strlen(ticket) != OWL_KEYS_DIGITS)
        return false;
    bool alive = false;
    pthread_mutex_lock(&keys->lock);
    for (int i = 0; i < OWL_KEYS_TICKETS; i++) {
        if (same_digits(keys->tickets[i], ticket)) {
            memset(keys->tickets[i], 0, sizeof keys->tickets[i]);
            alive = true;
        }
    }
    pthread_mutex_unlock(&keys->lock);
    return alive;
}

/* One "name=value" of the field, up to ';' or the end. */
static bool pair_fits(const struct owl_keys *keys, const char *pair, size_t length, const char *name)
{
    size_t named = strlen(name);
    return length == named + 1 + OWL_KEYS_DIGITS && strncmp(pair, name, named) == 0 && pair[named] == '=' &&
           same_digits(pair + named + 1, keys->session);
}

/* Every pair is looked at: a neighbour on another port of this host can set a cookie of the same name before ours. */
bool owl_keys_fit(const struct owl_keys *keys, const char *cookie, const char *name)
{
    bool fits = false;
    while (cookie != NULL && *cookie != '\0') {
        cookie += strspn(cookie, " ;");
        size_t length = strcspn(cookie, ";");
        fits = pair_fits(keys, cookie, length, name) || fits;
        cookie += length;
    }
    return fits;
}
