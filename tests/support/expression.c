/* A small recursive-descent reader of formulas. */
#include "support/expression.h"

#include "support/check.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

struct reading {
    const char *formula, *here;
    const struct expression_symbols *symbols;
};

static double read_sum(struct reading *reading);

static char next(struct reading *reading)
{
    while (*reading->here == ' ')
        reading->here++;
    return *reading->here;
}

static void expect(struct reading *reading, char c)
{
    if (next(reading) != c)
        fail_msg("'%s': wanted '%c' at '%s'", reading->formula, c, reading->here);
    reading->here++;
}

static double call(struct reading *reading, const char *name)
{
    double a = read_sum(reading), b = NAN, c = NAN, d = NAN;
    if (strcmp(name, "if") == 0) {
        expect(reading, '<');
        b = read_sum(reading);
        expect(reading, ',');
        c = read_sum(reading);
        expect(reading, ',');
        d = read_sum(reading);
    } else if (strcmp(name, "min") == 0 || strcmp(name, "max") == 0) {
        expect(reading, ',');
        b = read_sum(reading);
    }
    expect(reading, ')');
    if (strcmp(name, "if") == 0)
        return a < b ? c : d;
    if (strcmp(name, "min") == 0)
        return fmin(a, b);
    if (strcmp(name, "max") == 0)
        return fmax(a, b);
    static const struct {
        const char *name;
        double (*function)(double);
    } functions[] = {{"sqrt", sqrt}, {"abs", fabs}, {"sin", sin}, {"cos", cos}, {"tan", tan}, {"atan", atan}, {"lg2", log2}, {"floor", floor}};
    for (size_t i = 0; i < sizeof functions / sizeof *functions; i++)
        if (strcmp(functions[i].name, name) == 0)
            return functions[i].function(a);
    fail_msg("'%s': no function %s", reading->formula, name);
    return NAN;
}

static double read_name(struct reading *reading)
{
    char name[16];
    size_t length = 0;
    while (isalnum((unsigned char)*reading->here) && length + 1 < sizeof name)
        name[length++] = *reading->here++;
    name[length] = '\0';
    if (next(reading) == '(') {
        reading->here++;
        return call(reading, name);
    }
    for (int i = 0; i < reading->symbols->count; i++)
        if (strcmp(reading->symbols->name[i], name) == 0)
            return reading->symbols->value[i];
    if (strcmp(name, "inf") == 0)
        return INFINITY;
    fail_msg("'%s': no symbol %s among the inputs", reading->formula, name);
    return NAN;
}

static double read_atom(struct reading *reading)
{
    char c = next(reading);
    if (c == '(') {
        reading->here++;
        double value = read_sum(reading);
        expect(reading, ')');
        return value;
    }
    if (isdigit((unsigned char)c)) {
        char *end;
        double value = strtod(reading->here, &end);
        reading->here = end;
        return value;
    }
    return read_name(reading);
}

static double read_power(struct reading *reading)
{
    if (next(reading) == '-') {
        reading->here++;
        return -read_power(reading);
    }
    double base = read_atom(reading);
    if (next(reading) != '^')
        return base;
    reading->here++;
    return pow(base, read_power(reading));
}

static double read_product(struct reading *reading)
{
    double value = read_power(reading);
    for (char c = next(reading); c == '*' || c == '/'; c = next(reading)) {
        reading->here++;
        double factor = read_power(reading);
        value = c == '*' ? value * factor : value / factor;
    }
    return value;
}

static double read_sum(struct reading *reading)
{
    double value = read_product(reading);
    for (char c = next(reading); c == '+' || c == '-'; c = next(reading)) {
        reading->here++;
        double term = read_product(reading);
        value = c == '+' ? value + term : value - term;
    }
    return value;
}

double expression_value(const char *formula, const struct expression_symbols *symbols)
{
    const char *equals = strchr(formula, '=');
    struct reading reading = {formula, equals ? equals + 1 : formula, symbols};
    double value = read_sum(&reading);
    if (next(&reading) != '\0')
        fail_msg("'%s': '%s' is left over", formula, reading.here);
    return value;
}
