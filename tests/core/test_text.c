/* The text builder: numbers as people and machines want them, and never past the buffer's end. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/text.h"

static char buffer[256];

static const char *fixed(double value, int decimals)
{
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_text_fixed(&text, value, decimals);
    return buffer;
}

static const char *rounded(double value, int digits)
{
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_text_rounded(&text, value, digits);
    return buffer;
}

static const char *number(double value)
{
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_text_number(&text, value);
    return buffer;
}

/* cited: the C library's own printing, where both round the same way (no ties). */
static void test_text_fixed_as_printf(void **state)
{
    (void)state;
    const double values[] = {0.0, 1.0, -1.27, 3.14159265, 99.9999, 123456.789, 0.0004, -0.049};
    for (size_t i = 0; i < sizeof values / sizeof *values; i++) {
        for (int decimals = 0; decimals <= 6; decimals++) {
            char want[64];
            snprintf(want, sizeof want, "%.*f", decimals, values[i]);
            if (strtod(want, NULL) == 0.0 && want[0] == '-')
                memmove(want, want + 1, strlen(want)); /* ours never writes -0 */
            assert_string_equal(fixed(values[i], decimals), want);
        }
    }
}

/* identity: half is rounded away from zero, a carry runs through the nines. */
static void test_text_fixed_rounds(void **state)
{
    (void)state;
    assert_string_equal(fixed(0.5, 0), "1");
    assert_string_equal(fixed(-0.5, 0), "-1");
    assert_string_equal(fixed(9.995, 1), "10.0");
    assert_string_equal(fixed(-0.04, 1), "0.0");
    assert_string_equal(fixed(INFINITY, 2), "inf");
    assert_string_equal(fixed(NAN, 2), "nan");
}

/* identity: significant digits, trailing zeros dropped, plain notation in the everyday range. */
static void test_text_rounded_for_people(void **state)
{
    (void)state;
    assert_string_equal(rounded(0.0, 3), "0");
    assert_string_equal(rounded(1.0, 3), "1");
    assert_string_equal(rounded(2.345, 3), "2.35");
    assert_string_equal(rounded(0.0012345, 3), "0.00123");
    assert_string_equal(rounded(0.1, 3), "0.1");
    assert_string_equal(rounded(-17.25, 3), "-17.3");
    assert_string_equal(rounded(999.9, 3), "1000");
    assert_string_equal(rounded(123456.0, 3), "123000");
    assert_string_equal(rounded(1.5e12, 3), "1.5e12");
    assert_string_equal(rounded(6.02e-9, 3), "6.02e-9");
}

/* identity: what is written for machines reads back within half a unit of the twelfth digit. */
static void test_text_number_reads_back(void **state)
{
    (void)state;
    unsigned long long seed = 88172645463325252ULL;
    for (int i = 0; i < 20000; i++) {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        double mantissa = (double)(seed >> 11) / 9007199254740992.0 + 0.1;
        double value = mantissa * pow(10.0, (double)(seed % 61) - 30.0) * (seed & 1024 ? 1.0 : -1.0);
        check_near("read back", strtod(number(value), NULL) / value, 1.0, 6e-12);
    }
    assert_string_equal(number(12345.0), "12345");
    assert_string_equal(number(-0.5), "-5e-1");
    assert_string_equal(number(NAN), "null");
    assert_string_equal(number(INFINITY), "null");
}

/* identity: RFC 8259 section 7: quote, backslash and control characters are escaped. */
static void test_text_json_escapes(void **state)
{
    (void)state;
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_text_json(&text, "a\"b\\c\n\x01\xC3\xA4");
    assert_string_equal(buffer, "\"a\\\"b\\\\c\\u000a\\u0001\xC3\xA4\"");
}

/* identity: the five characters that mean something in HTML. */
static void test_text_markup_escapes(void **state)
{
    (void)state;
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_text_markup(&text, "<b a='1' c=\"2\">&");
    assert_string_equal(buffer, "&lt;b a=&#39;1&#39; c=&quot;2&quot;&gt;&amp;");
}

/* identity: columns count characters, so that tables with umlauts stay straight. */
static void test_text_columns_count_characters(void **state)
{
    (void)state;
    assert_int_equal(owl_text_columns("K\xC3\xA4uzchen"), 8);
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_text_padded(&text, "\xC3\xA4", 3);
    assert_string_equal(buffer, "\xC3\xA4  ");
}

/* fault: a full buffer stays closed, says so, and nothing behind it is touched. */
static void test_text_full_buffer(void **state)
{
    (void)state;
    char small[9] = "xxxxxxxx";
    struct owl_text text = owl_text_over(small, 4);
    owl_text_words(&text, "abcdef");
    owl_text_integer(&text, 42);
    assert_string_equal(small, "abc");
    assert_true(text.cut);
    assert_int_equal(small[4], 'x');
}

/* identity: every whole number prints, the most negative one too. */
static void test_text_integers(void **state)
{
    (void)state;
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_text_integer(&text, INT64_MIN);
    owl_text_char(&text, ' ');
    owl_text_integer(&text, 0);
    assert_string_equal(buffer, "-9223372036854775808 0");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_text_fixed_as_printf),   cmocka_unit_test(test_text_fixed_rounds),
        cmocka_unit_test(test_text_rounded_for_people), cmocka_unit_test(test_text_number_reads_back),
        cmocka_unit_test(test_text_json_escapes),      cmocka_unit_test(test_text_markup_escapes),
        cmocka_unit_test(test_text_columns_count_characters), cmocka_unit_test(test_text_full_buffer),
        cmocka_unit_test(test_text_integers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
