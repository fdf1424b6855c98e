/* The unit system behind its handle, and conversion with the guards UDUNITS-2 lacks. */
#include "shared/quantity.h"
#include "shared/unit_table.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <udunits2.h>

struct sw_units {
    ut_system *system;
};

sw_status sw_units_new(sw_units **units, sw_error *error) {
    *units = NULL;
    ut_set_error_message_handler(ut_ignore);
    ut_system *system = ut_read_xml(NULL);
    sw_units *made = malloc(sizeof *made);
    if (system == NULL || made == NULL) {
        ut_free_system(system);
        free(made);
        return sw_fail(error, SW_IO, "the unit tables of UDUNITS-2 cannot be read");
    }
    made->system = system;
    *units = made;
    return SW_OK;
}

void sw_units_free(sw_units *units) {
    if (units == NULL)
        return;
    ut_free_system(units->system);
    free(units);
}

/* UDUNITS-2 takes a radian as 1, so that rpm and hertz would convert into each other as
 * rad/s; an electrical frequency is no turning speed, so the two are kept apart. */
static bool mixes_turns_and_hertz(const char *from, const char *to) {
    bool from_hertz = strstr(from, "Hz") != NULL || strstr(from, "hertz") != NULL;
    bool to_hertz = strstr(to, "Hz") != NULL;
    static const char *const TURNS[] = {"rpm", "rad", "rev", "turn"};
    bool turns = false;
    for (size_t i = 0; i < sizeof TURNS / sizeof *TURNS; i++)
        turns = turns || strstr(from_hertz ? to : from, TURNS[i]) != NULL;
    return from_hertz != to_hertz && turns;
}

/* Celsius is an offset scale only by itself; "K/W" or "%/K" are left to UDUNITS-2. */
static sw_status convert_parsed(ut_unit *source, ut_unit *target, double value, double *result,
                                const char *from, const char *to, sw_error *error) {
    if (source == NULL || *from == '\0')
        return sw_fail(error, SW_UNIT, "unit \"%s\" is not known; write for example %s", from,
                       sw_unit_example(to));
    if (target == NULL)
        return sw_fail(error, SW_UNIT, "unit \"%s\" is not known", to);
    if (!ut_are_convertible(source, target) || mixes_turns_and_hertz(from, to))
        return sw_fail(error, SW_UNIT, "unit \"%s\" does not measure %s %s; write for example %s",
                       from, sw_unit_article(to), sw_unit_noun(to), sw_unit_example(to));
    cv_converter *converter = ut_get_converter(source, target);
    if (converter == NULL)
        return sw_fail(error, SW_UNIT, "unit \"%s\" cannot be converted to %s", from, to);
    *result = cv_convert_double(converter, value);
    cv_free(converter);
    if (isfinite(value) && !isfinite(*result))
        return sw_fail(error, SW_VALUE, "%g %s is too large", value, from);
    return SW_OK;
}

sw_status sw_units_convert(const sw_units *units, double value, const char *from, const char *to,
                           double *result, sw_error *error) {
    if (strcmp(from, to) == 0) {
        *result = value;
        return SW_OK;
    }
    char translated[96];
    sw_unit_translate(from, strlen(from), to, translated, sizeof translated);
    const char *target_text = sw_unit_row_of(to)->udunits;
    ut_unit *source = ut_parse(units->system, translated, UT_UTF8);
    ut_unit *target = ut_parse(units->system, target_text != NULL ? target_text : to, UT_UTF8);
    sw_status status = convert_parsed(source, target, value, result,
                                      translated[0] == '\0' ? "" : translated, to, error);
    ut_free(source);
    ut_free(target);
    return status;
}
