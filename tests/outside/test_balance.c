/* Running points, starting wind and annual energy against a brute-force reference in SciPy that is
 * given the same torque tables (balance_reference.py). Skipped when Python has no SciPy. */
#include "tests/match/scene.h"

#include "src/match/plant.h"
#include "src/match/year/power_curve.h"

#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdlib.h>

enum { SCENARIOS = 20, TABLE = 6000, SKIPPED = 77 };

static const unsigned long SEED = 61400;

typedef struct scenario {
    sw_rotor rotor;
    sw_motor motor;
    sw_load load;
    sw_site site;
    sw_generator *generator;
    sw_plant plant;
    double top_wind;
    double top_rpm;
} scenario;

static double between(gsl_rng *random, double low, double high) {
    return low + (high - low) * gsl_rng_uniform(random);
}

/* A hump of power between rest and the no-load ratio: from a drum to a lift rotor. */
static sw_rotor random_rotor(const sw_units *units, gsl_rng *random) {
    char body[3000];
    char list[2000] = "";
    double no_load = between(random, 1.0, 4.0);
    double peak = between(random, 0.1, 0.35);
    double shape = between(random, 1.2, 3.5);
    for (int i = 1; i <= 12; i++) {
        double x = i / 12.0;
        double power =
            peak * pow(x, shape) * (1 - x) * pow(shape + 1, shape + 1) / pow(shape, shape);
        size_t used = strlen(list);
        snprintf(list + used, sizeof list - used,
                 "%s{\"tip_speed_ratio\":%.6f,\"power_coefficient\":%.6f}", i > 1 ? "," : "",
                 x * no_load, power);
    }
    snprintf(body, sizeof body,
             "\"document\":\"rotor\",\"version\":1,\"kind\":\"curve\",\"width\":\"%.4f m\","
             "\"height\":\"%.4f m\",\"rim_diameter\":\"1500 mm\",\"bearing_torque\":\"%.4f N m\","
             "\"static_torque_coefficient\":%.4f,\"curve\":{\"units\":{\"tip_speed_ratio\":\"1\","
             "\"power_coefficient\":\"1\"},\"list\":[%s]}",
             between(random, 1, 3), between(random, 0.8, 3), between(random, 0, 0.5),
             between(random, 0.02, 0.3), list);
    return scene_rotor(units, body);
}

static sw_motor random_motor(const sw_units *units, gsl_rng *random) {
    char body[1500];
    int pairs = 2 + (int)between(random, 0, 26);
    double constant = between(random, 0.02, 0.2);
    snprintf(body, sizeof body,
             "\"document\":\"motor\",\"version\":1,\"kind\":\"magnet-ac\",\"phases\":3,"
             "\"connection\":\"star\",\"pole_pairs\":{\"value\":%d,\"probability\":1,"
             "\"candidates\":[]},\"voltage_constant\":{\"value\":%.6f,\"unit\":\"V/rpm\"},"
             "\"winding_resistance\":{\"value\":%.4f,\"unit\":\"ohm\"},"
             "\"winding_inductance\":{\"value\":%.4f,\"unit\":\"mH\"},"
             "\"cogging_torque\":{\"value\":%.4f,\"unit\":\"N m\"},"
             "\"drag_torque\":{\"constant\":{\"value\":%.4f,\"unit\":\"N m\"},"
             "\"linear\":{\"value\":%.6f,\"unit\":\"N m s/rad\"}}",
             pairs, constant, between(random, 100, 1200) * constant * constant,
             between(random, 100, 3000) * constant * constant / pairs * 10,
             between(random, 0, 0.05), between(random, 0, 0.05), between(random, 0, 0.0005));
    return scene_motor(units, body);
}

static sw_site random_site(const sw_units *units, gsl_rng *random) {
    char body[500];
    snprintf(body, sizeof body,
             "\"document\":\"site\",\"version\":1,\"mean_wind\":{\"value\":%.3f,\"unit\":\"m/s\","
             "\"u\":0.2},\"weibull_k\":%.3f",
             between(random, 3.5, 7), between(random, 1.5, 2.5));
    return scene_site(units, body);
}

static void make_scenario(const sw_units *units, gsl_rng *random, scenario *it) {
    static const sw_surface SURFACE = {{0.4, 0.8}, {0.1, 0.3}, {0.4, 2}, {0.005, 0.03}, {0, 0}};
    sw_error error = {0};
    it->rotor = random_rotor(units, random);
    it->motor = random_motor(units, random);
    it->site = random_site(units, random);
    it->load = scene_load(units, SCENE_LOAD);
    sw_wiring wiring = sw_wiring_default(&it->motor);
    sw_deliver_load seen = sw_load_electrical(&it->load);
    sw_drive drive =
        sw_drive_of(sw_drive_kind_of(SW_DRIVE_FRICTION), &SURFACE, 1500, between(random, 60, 300));
    drive.contact_n = between(random, 5, 80);
    it->top_wind = sw_site_top_wind(&it->site);
    it->top_rpm = 1.1 * sw_drive_generator_rpm(&drive, sw_rotor_no_load(&it->rotor, 10) *
                                                           it->top_wind / it->rotor.radius_m);
    assert_ok(sw_generator_new(&it->motor, &wiring, &seen, it->top_rpm, &it->generator, &error),
              &error);
    it->plant = sw_plant_of(&it->rotor, &it->motor, it->generator, drive, it->site.density);
}

static void free_scenario(scenario *it) {
    sw_generator_free(it->generator);
    sw_rotor_free(&it->rotor);
    sw_site_free(&it->site);
}

static void write_list(FILE *file, const char *key, const double *value) {
    fprintf(file, "\"%s\":[", key);
    for (int i = 0; i < TABLE; i++)
        fprintf(file, "%s%.9g", i > 0 ? "," : "", value[i]);
    fprintf(file, "],\n");
}

static void write_tables(FILE *file, const scenario *it) {
    static double x[TABLE];
    static double y[TABLE];
    static double z[TABLE];
    double no_load = 1.002 * sw_rotor_no_load(&it->rotor, 10);
    for (int i = 0; i < TABLE; i++) {
        x[i] = no_load * i / (TABLE - 1);
        y[i] = sw_rotor_torque_coefficient(&it->rotor, x[i], 10);
    }
    write_list(file, "lambda", x);
    write_list(file, "ct", y);
    for (int i = 0; i < TABLE; i++) {
        x[i] = it->top_rpm * i / (TABLE - 1);
        y[i] = sw_generator_at(it->generator, SW_GENERATOR_TORQUE, x[i]) +
               sw_motor_drag_nm(&it->motor, x[i]);
        z[i] = sw_generator_at(it->generator, SW_GENERATOR_DC_POWER, x[i]);
    }
    write_list(file, "rpm", x);
    write_list(file, "torque", y);
    write_list(file, "power", z);
}

static void write_scenario(const char *path, const scenario *it) {
    const sw_plant *plant = &it->plant;
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fprintf(file, "{");
    write_tables(file, it);
    fprintf(file, "\"radius\":%.9g,\"area\":%.9g,\"density\":%.9g,", it->rotor.radius_m,
            it->rotor.swept_area_m2, plant->density);
    fprintf(file, "\"ratio\":%.9g,\"creep\":%.9g,\"rolling\":%.9g,\"bearing\":%.9g,",
            plant->drive.ratio, plant->drive.creep, sw_drive_rolling_nm(&plant->drive, 0),
            it->rotor.bearing_torque.value);
    fprintf(file, "\"start_per_v2\":%.9g,\"held\":%.9g,",
            sw_rotor_start_torque_nm(&it->rotor, plant->density, 1), sw_plant_static_nm(plant));
    fprintf(file, "\"weibull_k\":%.9g,\"weibull_c\":%.9g,\"top_wind\":%.9g,\"cut_in_rpm\":%.9g}\n",
            it->site.weibull_k, sw_weibull_scale(it->site.mean_wind.value, it->site.weibull_k),
            it->top_wind, sw_generator_cut_in_rpm(it->generator));
    fclose(file);
}

static void compare(const scenario *it, int number, char *line) {
    sw_power_curve curve;
    double expected[6];
    sw_power_curve_make(&it->plant, it->top_wind, 0.2, 0, &curve);
    char *at = line;
    for (int i = 0; i < 6; i++)
        expected[i] = strtod(at, &at);
    double found[6] = {curve.start_wind,
                       curve.cut_in_wind,
                       sw_year_started_kwh(&curve, &it->site, 1),
                       sw_year_running_kwh(&curve, &it->site, 1),
                       sw_plant_settle(&it->plant, 8, 0).running_rad_s,
                       sw_plant_settle(&it->plant, 12, 0).running_rad_s};
    for (int i = 0; i < 6; i++) {
        if (isinf(expected[i]) && isinf(found[i]))
            continue;
        if (!(fabs(found[i] - expected[i]) <= 0.005 * fabs(expected[i]) + 1e-3))
            print_message("seed %lu, scenario %d, value %d\n", SEED, number, i);
        /* half a percent is the aim; a thousandth of a kWh or rad/s near zero */
        assert_close(found[i], expected[i], 0.005 * fabs(expected[i]) + 1e-3);
    }
}

static void agrees_with_brute_force(void **state) {
    static scenario all[SCENARIOS];
    static char out[20000];
    char directory[200];
    char command[4000];
    char err[4000];
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, SEED);
    support_temporary_directory(directory, sizeof directory);
    snprintf(command, sizeof command,
             "cd '%s' && /usr/bin/python3 '%s/outside/balance_reference.py'", directory,
             TEST_SOURCE_DIR);
    for (int i = 0; i < SCENARIOS; i++) {
        char path[300];
        make_scenario(*state, random, &all[i]);
        snprintf(path, sizeof path, "%s/%d.json", directory, i);
        write_scenario(path, &all[i]);
        size_t used = strlen(command);
        snprintf(command + used, sizeof command - used, " %d.json", i);
    }
    if (support_run(command, out, sizeof out, err, sizeof err) != 0)
        fail_msg("the reference failed: %s", err);
    char *line = out;
    for (int i = 0; i < SCENARIOS; i++) {
        compare(&all[i], i, line);
        line = strchr(line, '\n') + 1;
        free_scenario(&all[i]);
    }
    support_remove_tree(directory);
    gsl_rng_free(random);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(agrees_with_brute_force)};
    if (support_run("/usr/bin/python3 -c 'import scipy'", NULL, 0, NULL, 0) != 0)
        return SKIPPED;
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
