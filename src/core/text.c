/* The text builder: bytes into a caller's buffer, numbers without printf. */
#include "core/text.h"

#include <math.h>
#include <string.h>

#define LARGEST_FIXED 1e15
#define NUMBER_DIGITS 12

struct owl_text owl_text_over(char *buffer, size_t capacity)
{
    struct owl_text text = {buffer, capacity, 0, false};
    buffer[0] = '\0';
    return text;
}

void owl_text_bytes(struct owl_text *text, const char *bytes, size_t count)
{
    size_t room = text->capacity - 1 - text->length;
    if (count > room) {
        count = room;
        text->cut = true;
    }
    memcpy(text->buffer + text->length, bytes, count);
    text->length += count;
    text->buffer[text->length] = '\0';
}

void owl_text_char(struct owl_text *text, char c)
{
    owl_text_bytes(text, &c, 1);
}

void owl_text_words(struct owl_text *text, const char *words)
{
    owl_text_bytes(text, words, strlen(words));
}

void owl_text_repeat(struct owl_text *text, char c, int count)
{
    for (int i = 0; i < count; i++)
        owl_text_char(text, c);
}

static void write_unsigned(struct owl_text *text, uint64_t value, int least_digits)
{
    char digits[24];
    int count = 0;
    do {
        digits[sizeof digits - 1 - (size_t)count++] = (char)('0' + value % 10);
        value /= 10;
    } while (value != 0 || count < least_digits);
    owl_text_bytes(text, digits + sizeof digits - count, (size_t)count);
}

void owl_text_integer(struct owl_text *text, int64_t value)
{
    if (value < 0)
        owl_text_char(text, '-');
    write_unsigned(text, value < 0 ? 0 - (uint64_t)value : (uint64_t)value, 1);
}

static bool write_not_finite(struct owl_text *text, double value)
{
    if (isfinite(value))
        return false;
    owl_text_words(text, isnan(value) ? "nan" : value > 0 ? "inf" : "-inf");
    return true;
}

void owl_text_fixed(struct owl_text *text, double value, int decimals)
{
    if (write_not_finite(text, value))
        return;
    if (fabs(value) >= LARGEST_FIXED) {
        owl_text_number(text, value);
        return;
    }
    double scale = 1.0;
    for (int i = 0; i < decimals; i++)
        scale *= 10.0;
    double whole = floor(fabs(value));
    double part = floor((fabs(value) - whole) * scale + 0.5);
    if (part >= scale) {
        whole += 1.0;
        part -= scale;
    }
    if (value < 0 && (whole > 0 || part > 0))
        owl_text_char(text, '-');
    write_unsigned(text, (uint64_t)whole, 1);
    if (decimals > 0) {
        owl_text_char(text, '.');
        write_unsigned(text, (uint64_t)part, decimals);
    }
}

/* 10^n by repeated multiplication: exact up to 1e22 and the same on every machine. */
static double power_of_ten(int exponent)
{
    double result = 1.0;
    for (int i = 0; i < (exponent < 0 ? -exponent : exponent); i++)
        result *= 10.0;
    return exponent < 0 ? 1.0 / result : result;
}

/* magnitude as `digits` significant decimal digits (an integer) and the exponent of the first. */
static uint64_t decimal_digits(double magnitude, int digits, int *exponent)
{
    *exponent = (int)floor(log10(magnitude));
    int shift = digits - 1 - *exponent;
    double scaled = shift > 300 ? magnitude * power_of_ten(300) * power_of_ten(shift - 300)
                  : shift >= 0  ? magnitude * power_of_ten(shift)
                                : magnitude / power_of_ten(-shift);
    uint64_t number = (uint64_t)floor(scaled + 0.5);
    uint64_t limit = (uint64_t)power_of_ten(digits);
    if (number >= limit) {
        number /= 10;
        *exponent += 1;
    }
    return number;
}

static void write_digits(struct owl_text *text, uint64_t number, int digits, int point_after)
{
    char figure[24];
    for (int i = digits - 1; i >= 0; i--, number /= 10)
        figure[i] = (char)('0' + number % 10);
    int last = digits;
    while (last > point_after && last > 1 && figure[last - 1] == '0')
        last--;
    owl_text_bytes(text, figure, (size_t)(point_after < last ? point_after : last));
    if (last > point_after) {
        owl_text_char(text, '.');
        owl_text_bytes(text, figure + point_after, (size_t)(last - point_after));
    }
}

void owl_text_rounded(struct owl_text *text, double value, int digits)
{
    if (write_not_finite(text, value))
        return;
    if (value == 0.0) {
        owl_text_char(text, '0');
        return;
    }
    if (value < 0)
        owl_text_char(text, '-');
    int exponent;
    uint64_t number = decimal_digits(fabs(value), digits, &exponent);
    if (exponent < -6 || exponent > 8) {
        write_digits(text, number, digits, 1);
        owl_text_char(text, 'e');
        owl_text_integer(text, exponent);
    } else if (exponent < 0) {
        owl_text_words(text, "0.");
        owl_text_repeat(text, '0', -exponent - 1);
        while (number % 10 == 0)
            number /= 10;
        write_unsigned(text, number, 1);
    } else if (exponent >= digits) {
        write_unsigned(text, number, digits);
        owl_text_repeat(text, '0', exponent - digits + 1);
    } else {
        write_digits(text, number, digits, exponent + 1);
    }
}

void owl_text_number(struct owl_text *text, double value)
{
    if (!isfinite(value)) {
        owl_text_words(text, "null");
        return;
    }
    if (value == floor(value) && fabs(value) < LARGEST_FIXED) {
        owl_text_integer(text, (int64_t)value);
        return;
    }
    if (value < 0)
        owl_text_char(text, '-');
    int exponent;
    uint64_t number = decimal_digits(fabs(value), NUMBER_DIGITS, &exponent);
    write_digits(text, number, NUMBER_DIGITS, 1);
    if (exponent != 0) {
        owl_text_char(text, 'e');
        owl_text_integer(text, exponent);
    }
}

static char small_letter(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

bool owl_text_same_name(const char *one, const char *other)
{
    while (*one && small_letter(*one) == small_letter(*other)) {
        one++;
        other++;
    }
    return small_letter(*one) == small_letter(*other);
}

int owl_text_columns(const char *words)
{
    int columns = 0;
    for (; *words; words++)
        columns += ((unsigned char)*words & 0xC0u) != 0x80u;
    return columns;
}

void owl_text_padded(struct owl_text *text, const char *words, int columns)
{
    owl_text_words(text, words);
    owl_text_repeat(text, ' ', columns - owl_text_columns(words));
}

void owl_text_json(struct owl_text *text, const char *words)
{
    static const char hex[] = "0123456789abcdef";
    owl_text_char(text, '"');
    for (; *words; words++) {
        unsigned char c = (unsigned char)*words;
        if (c == '"' || c == '\\') {
            owl_text_char(text, '\\');
            owl_text_char(text, (char)c);
        } else if (c < 0x20 || c == 0x7F) {
            owl_text_words(text, "\\u00");
            owl_text_char(text, hex[c >> 4]);
            owl_text_char(text, hex[c & 15]);
        } else {
            owl_text_char(text, (char)c);
        }
    }
    owl_text_char(text, '"');
}

void owl_text_markup(struct owl_text *text, const char *words)
{
    for (; *words; words++) {
        switch (*words) {
        case '&': owl_text_words(text, "&amp;"); break;
        case '<': owl_text_words(text, "&lt;"); break;
        case '>': owl_text_words(text, "&gt;"); break;
        case '"': owl_text_words(text, "&quot;"); break;
        case '\'': owl_text_words(text, "&#39;"); break;
        default: owl_text_char(text, *words);
        }
    }
}
