/* Tables of parts against the standards they come from. */
#include "tests/support.h"

#include "shared/constants.h"
#include "shared/number.h"
#include "src/match/drive/shop.h"
#include "src/match/parts/reference.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static double number(const sw_node *row, const char *key) {
    double value = NAN;
    sw_error error = {0};
    assert_ok(sw_row_number(row, key, &value, &error), &error);
    return value;
}

/* IEC 60063. */
static void preferred_numbers(void **state) {
    (void)state;
    static const double E24[] = {10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30,
                                 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91};
    static const char *const NAMES[] = {"E24", "E12", "E6"};
    for (size_t i = 0; i < 3; i++) {
        sw_table table;
        sw_node row;
        sw_error error = {0};
        double *values = NULL;
        size_t count = 0;
        size_t step = (size_t)1 << i; /* every second of E24 is E12, every fourth E6 */
        assert_ok(sw_table_find(TEST_REFERENCE_DIR, "e_series", NAMES[i], &table, &row, &error),
                  &error);
        assert_ok(sw_node_numbers(&row, "values", &values, &count, &error), &error);
        assert_int_equal(count, 24 / step);
        for (size_t j = 0; j < count; j++)
            assert_close(values[j], E24[j * step], 0);
        free(values);
        sw_table_close(&table);
    }
}

/* IEC 60228:2004 tables 1 to 3: largest resistance at 20 degC. They are maxima: 4 to 8 % above
 * 17.241 ohm mm2/km (annealed copper, IEC 60287 table 1) over the nominal area, flexible
 * conductors 5 to 17 %. */
static void conductors(void **state) {
    (void)state;
    static const double TABLE[][3] = {{0.5, 36, 39},     {0.75, 24.5, 26},  {1, 18.1, 19.5},
                                      {1.5, 12.1, 13.3}, {2.5, 7.41, 7.98}, {4, 4.61, 4.95},
                                      {6, 3.08, 3.3},    {10, 1.83, 1.91},  {16, 1.15, 1.21},
                                      {25, 0.727, 0.78}, {35, 0.524, 0.554}};
    sw_table table;
    sw_error error = {0};
    assert_ok(sw_table_open(TEST_REFERENCE_DIR, "wire_iec60228", &table, &error), &error);
    assert_int_equal(sw_node_count(&table.list), sizeof TABLE / sizeof *TABLE);
    for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++) {
        sw_node row = sw_node_item(&table.list, i);
        double copper = 17.241 / TABLE[i][0];
        double flexible = 0;
        assert_close(number(&row, "area"), TABLE[i][0], 0);
        assert_close(number(&row, "class_1"), TABLE[i][1], 0);
        assert_close(number(&row, "class_1") / copper, 1.06, 0.02);
        assert_ok(sw_cable_resistance(TEST_REFERENCE_DIR, TABLE[i][0], &flexible, &error), &error);
        assert_close(flexible, TABLE[i][2], 1e-9);
        assert_close(flexible / copper, 1.11, 0.06);
    }
    sw_table_close(&table);
}

/* ASTM B258: d = 0.127 mm x 92^((36 - n) / 39); resistance of annealed copper. */
static void wire_gauges(void **state) {
    (void)state;
    sw_table table;
    sw_error error = {0};
    assert_ok(sw_table_open(TEST_REFERENCE_DIR, "wire_awg", &table, &error), &error);
    for (size_t i = 0; i < sw_node_count(&table.list); i++) {
        sw_node row = sw_node_item(&table.list, i);
        double gauge = number(&row, "gauge");
        double diameter_mm = 0.127 * pow(92, (36 - gauge) / 39);
        double area_mm2 = M_PI / 4 * diameter_mm * diameter_mm;
        assert_close(number(&row, "diameter"), diameter_mm, 0.0006 + 0.0002 * diameter_mm);
        double ohm_per_km = number(&row, "resistance") * 3.28084;
        assert_close(ohm_per_km, 17.241 / area_mm2, 0.003 * ohm_per_km);
    }
    sw_table_close(&table);
}

/* Winding factor by the star of slots: coils round single teeth, EMF phasors at the electrical
 * angle of each tooth; each phase takes the third of the coils (or their reverses) that lie nearest
 * its axis: folded on 60 degrees, all coils of a phase add up. A coil on a border may count either
 * way, so the best placing of the sectors is sought. Pyrhonen, Jokinen, Hrabovcova, Design of
 * Rotating Electrical Machines, ch. 2. */
static double winding_factor(int slots, int pole_pairs) {
    double best = 0;
    for (double shift = 0; shift < 60; shift += 0.25) {
        double sum = 0;
        for (int tooth = 0; tooth < slots; tooth++) {
            double angle = fmod(360.0 * pole_pairs * tooth / slots + shift, 360);
            sum += cos((fmod(angle + 1e-9, 60) - 30) * M_PI / 180) / slots;
        }
        best = fmax(best, sum * fabs(sin(M_PI * pole_pairs / slots)));
    }
    return best;
}

/* Cogging periods: least common multiple of slots and poles (Zhu and Howe, IEEE Trans. Energy
 * Conversion 15(4), 2000). Published winding factors: 9 slots with 6, 8, 10 poles 0.866, 0.945,
 * 0.945; 12 with 8 poles 0.866; 27 with 30 0.945 (Libert and Soulard, from memory). */
static void slots_and_poles(void **state) {
    (void)state;
    sw_table table;
    sw_error error = {0};
    assert_ok(sw_table_open(TEST_REFERENCE_DIR, "slot_pole", &table, &error), &error);
    for (size_t i = 0; i < sw_node_count(&table.list); i++) {
        sw_node row = sw_node_item(&table.list, i);
        int slots = (int)number(&row, "slots");
        int poles = (int)number(&row, "poles");
        assert_int_equal((int)number(&row, "cogging_periods"),
                         slots / sw_common_divisor(slots, poles) * poles);
        assert_close(number(&row, "winding_factor"), winding_factor(slots, poles / 2), 6e-5);
    }
    sw_table_close(&table);
    static const struct {
        const char *name;
        double factor;
    } PUBLISHED[] = {{"9/6", 0.866},  {"9/8", 0.945},   {"9/10", 0.945},  {"9/12", 0.866},
                     {"12/8", 0.866}, {"12/10", 0.933}, {"12/14", 0.933}, {"27/30", 0.945}};
    for (size_t i = 0; i < sizeof PUBLISHED / sizeof *PUBLISHED; i++) {
        sw_node row;
        assert_ok(
            sw_table_find(TEST_REFERENCE_DIR, "slot_pole", PUBLISHED[i].name, &table, &row, &error),
            &error);
        assert_close(number(&row, "winding_factor"), PUBLISHED[i].factor, 0.0006);
        sw_table_close(&table);
    }
}

/* Basic dynamic load rating by ISO 281: C = bm fc Z^(2/3) D^1.8 with bm = 1.3 and fc by D over the
 * pitch diameter (59.9 at its top near 0.16 to 0.2, 58 at 0.28; the standard's table, from memory),
 * with the usual number Z and diameter D of balls (from memory). Catalogues differ by some 10 %
 * from it and from one another, which is the tolerance. */
static void bearings_by_iso_281(void **state) {
    (void)state;
    static const struct {
        const char *name;
        int balls;
        double ball_mm;
        double fc;
    } TABLE[] = {{"608", 7, 3.969, 58.3},  {"6000", 7, 4.762, 58.5}, {"6001", 8, 4.762, 59.5},
                 {"6201", 7, 5.953, 58.0}, {"6202", 8, 5.953, 59.5}, {"6203", 8, 6.747, 59.2},
                 {"6204", 8, 7.938, 59.3}, {"6205", 9, 7.938, 59.9}};
    for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++) {
        sw_bearing bearing;
        sw_error error = {0};
        double by_balls =
            1.3 * TABLE[i].fc * pow(TABLE[i].balls, 2.0 / 3) * pow(TABLE[i].ball_mm, 1.8);
        assert_ok(sw_bearing_find(TEST_REFERENCE_DIR, TABLE[i].name, &bearing, &error), &error);
        assert_close(bearing.dynamic_n, by_balls, 0.12 * by_balls);
    }
}

/* Pitch diameter of a chain wheel, p / sin(pi / z), pitch 12.7 mm: lists of bicycle sprockets. */
static void chain_wheels(void **state) {
    (void)state;
    static const double TABLE[][2] = {{9, 37.13},   {11, 45.08},  {13, 53.07},  {16, 65.1},
                                      {18, 73.14},  {22, 89.24},  {28, 113.43}, {34, 137.64},
                                      {42, 169.94}, {48, 194.18}, {53, 214.38}};
    sw_table table;
    sw_error error = {0};
    assert_ok(sw_table_open(TEST_REFERENCE_DIR, "sprockets", &table, &error), &error);
    assert_int_equal(sw_node_count(&table.list), sizeof TABLE / sizeof *TABLE);
    for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++) {
        sw_node row = sw_node_item(&table.list, i);
        assert_close(number(&row, "teeth"), TABLE[i][0], 0);
        assert_close(number(&row, "pitch_diameter"), TABLE[i][1], 0);
        assert_close(sw_chain_pitch_mm((int)TABLE[i][0]), TABLE[i][1], 0.0051);
    }
    sw_table_close(&table);
}

/* IEC 60364-4-41, 414.4.5: bare parts 25 V AC or 60 V DC in dry places, 12 V AC or 30 V DC
 * elsewhere; IEC 61558-1, 3.7.16: safety extra-low voltage up to 50 V AC and 120 V DC. */
static void touch_limits(void **state) {
    (void)state;
    static const struct {
        const char *name;
        double ac_v;
        double dc_v;
    } TABLE[] = {{"bare-dry", 25, 60}, {"bare-wet", 12, 30}, {"extra-low-voltage", 50, 120}};
    for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++) {
        sw_safety_limit limit;
        sw_error error = {0};
        assert_ok(sw_safety_find(TEST_REFERENCE_DIR, TABLE[i].name, &limit, &error), &error);
        assert_close(limit.ac_v, TABLE[i].ac_v, 0);
        assert_close(limit.dc_v, TABLE[i].dc_v, 0);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(preferred_numbers),   cmocka_unit_test(conductors),
        cmocka_unit_test(wire_gauges),         cmocka_unit_test(slots_and_poles),
        cmocka_unit_test(bearings_by_iso_281), cmocka_unit_test(chain_wheels),
        cmocka_unit_test(touch_limits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
