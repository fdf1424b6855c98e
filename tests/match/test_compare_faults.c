/* Logs made up from the program's own prediction with one fault put in: the cause is named. */
#include "tests/match/scene.h"

#include "src/match/compare/compare.h"

#include <gsl/gsl_math.h>

enum { TEXT_ROOM = 20000 };

typedef struct bench {
    scene scene;
    sw_match match;
    sw_prediction prediction;
} bench;

/* What is wrong with the machine that wrote the log. */
typedef struct fault {
    double slip;         /* share of the generator's speed lost */
    double power_factor; /* of the rotor */
    double drag_nm;      /* at the motor's shaft, besides its own */
    double cable_ohm;
    bool fuse_out;
    bool meter_before; /* the voltmeter sits at the rectifier's end of the cable */
    bool phase_lost;   /* two windings in series between the two wires that are left */
} fault;

static bench *set_up(const sw_units *units) {
    static bench it;
    sw_error error = {0};
    it = (bench){0};
    scene_set_up(units, SCENE_DRUM, SCENE_RING, SCENE_SITE, &it.scene);
    sw_match_request request = scene_request(&it.scene, 200);
    request.brief = true;
    assert_ok(sw_match_run(&request, &it.match, &error), &error);
    const sw_power_curve *curve = &it.match.curve;
    it.prediction =
        (sw_prediction){.u_relative = 0.1,
                        .density = it.scene.site.density,
                        .ratio = it.match.best.drive.ratio * (1 - it.match.best.drive.creep),
                        .pole_pairs = it.scene.motor.pole_pairs.value};
    for (size_t i = 0; i < curve->count; i++) {
        size_t n = it.prediction.points++;
        it.prediction.wind_m_s[n] = curve->point[i].wind_m_s;
        it.prediction.rotor_rpm[n] = curve->point[i].running_rad_s * 30 / M_PI;
        it.prediction.watts[n] = curve->point[i].running_w;
    }
    return &it;
}

static void tear_down(bench *it) {
    sw_match_free(&it->match);
    scene_tear_down(&it->scene);
}

/* Wind (or only rotor speed), volts and amps at the battery, hertz; readings off by 2 % in turn. */
static void write_log(const bench *it, const fault *wrong, const char *columns, char *text) {
    sw_error error = {0};
    sw_motor motor = it->scene.motor;
    sw_generator *generator = NULL;
    sw_wiring wiring = it->match.search.electrical[it->match.best.electrical].wiring;
    sw_deliver_load seen = sw_load_electrical(&it->scene.load);
    if (wrong->phase_lost)
        motor.phases = 1;
    motor.drag_torque.constant.value += wrong->drag_nm;
    seen.cable_dc_ohm += wrong->cable_ohm;
    assert_ok(sw_generator_new(&motor, &wiring, &seen, 6000, &generator, &error), &error);
    sw_plant plant = it->match.plant;
    plant.generator = generator;
    plant.motor = &motor;
    plant.power_factor = wrong->power_factor;
    plant.drive.creep = 1 - (1 - plant.drive.creep) * (1 - wrong->slip);
    size_t used = (size_t)snprintf(text, TEXT_ROOM, "# a log made up\n%s\n", columns);
    bool by_wind = strstr(columns, "wind") != NULL;
    bool speed = strstr(columns, "rotor") != NULL;
    bool hertz = strstr(columns, "Hz") != NULL;
    double unseen_ohm = wrong->meter_before ? seen.cable_dc_ohm : 0;
    int row = 0;
    for (double wind = 3; wind <= 11; wind += 0.25, row++) {
        double rotor_rad_s = sw_plant_settle(&plant, wind, 0).running_rad_s;
        double amps = wrong->fuse_out ? 0 : sw_plant_at(&plant, SW_GENERATOR_DC_AMPS, rotor_rad_s);
        double error_of = 1 + 0.02 * (row % 3 - 1);
        if (by_wind)
            used += (size_t)snprintf(text + used, TEXT_ROOM - used, "%.3f,", wind);
        if (speed)
            used +=
                (size_t)snprintf(text + used, TEXT_ROOM - used, "%.3f,", rotor_rad_s * 30 / M_PI);
        if (hertz)
            used += (size_t)snprintf(text + used, TEXT_ROOM - used, "%.3f,",
                                     sw_plant_generator_rpm(&plant, rotor_rad_s) *
                                         motor.pole_pairs.value / 60);
        used += (size_t)snprintf(text + used, TEXT_ROOM - used, "%.4f,%.4f\n",
                                 seen.battery_v + amps * (seen.battery_ohm + unseen_ohm),
                                 amps * error_of);
    }
    sw_generator_free(generator);
}

static sw_comparison comparison_of(const sw_units *units, const bench *it, const fault *wrong,
                                   const char *columns) {
    static char text[TEXT_ROOM];
    static sw_comparison out;
    sw_log log;
    sw_error error;
    write_log(it, wrong, columns, text);
    assert_ok(sw_log_parse(text, "log.csv", units, &log, &error), &error);
    assert_ok(sw_compare(&log, &it->prediction, NAN, NAN, &out, &error), &error);
    sw_log_free(&log);
    return out;
}

#define ALL "\"wind [m/s]\",\"rotor rpm\",Hz,volts,amps"
#define WIND_ONLY "wind [m/s],volts,amps"
#define SPEED_ONLY "rotor rpm,volts,amps"

static void each_fault_is_named(void **state) {
    static const struct {
        const char *columns;
        fault wrong;
        sw_compare_cause cause;
    } ROWS[] = {
        {ALL, {.power_factor = 1}, SW_CAUSE_NONE},
        {WIND_ONLY, {.power_factor = 1}, SW_CAUSE_NONE},
        {SPEED_ONLY, {.power_factor = 1}, SW_CAUSE_NONE},
        {ALL, {.power_factor = 1, .slip = 0.15}, SW_CAUSE_SLIP},
        {ALL, {.power_factor = 0.6}, SW_CAUSE_ROTOR},
        {WIND_ONLY, {.power_factor = 0.6}, SW_CAUSE_ROTOR},
        {SPEED_ONLY, {.power_factor = 0.6}, SW_CAUSE_NONE}, /* the rotor plays no part */
        {ALL, {.power_factor = 1, .phase_lost = true}, SW_CAUSE_PHASE},
        {SPEED_ONLY, {.power_factor = 1, .phase_lost = true}, SW_CAUSE_PHASE},
        {ALL, {.power_factor = 1, .cable_ohm = 1.5}, SW_CAUSE_CABLE},
        {SPEED_ONLY, {.power_factor = 1, .cable_ohm = 1.5}, SW_CAUSE_CABLE},
        /* much resistance looks like a lost phase, unless the meter sits before it */
        {SPEED_ONLY, {.power_factor = 1, .cable_ohm = 3, .meter_before = true}, SW_CAUSE_CABLE},
        {WIND_ONLY, {.power_factor = 0}, SW_CAUSE_NOTHING},
        {ALL, {.power_factor = 1, .fuse_out = true}, SW_CAUSE_NOTHING},
    };
    bench *it = set_up(*state);
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        sw_comparison found = comparison_of(*state, it, &ROWS[i].wrong, ROWS[i].columns);
        if (found.cause != ROWS[i].cause)
            print_message("row %zu (%s): %s, share %g at speed %g, speed %g, slip %g\n", i,
                          ROWS[i].columns, sw_compare_cause_name(found.cause), found.share,
                          found.share_at_speed, found.speed_share, found.slip);
        assert_int_equal(found.cause, ROWS[i].cause);
    }
    tear_down(it);
}

/* A bearing that rubs: nothing in light winds, the rest about right. */
static void a_late_cut_in_is_named(void **state) {
    bench *it = set_up(*state);
    fault wrong = {.power_factor = 1, .drag_nm = 0.4};
    static const char *const COLUMNS[] = {ALL, WIND_ONLY};
    for (size_t i = 0; i < 2; i++) {
        sw_comparison found = comparison_of(*state, it, &wrong, COLUMNS[i]);
        assert_int_equal(found.cause, SW_CAUSE_CUT_IN);
    }
    tear_down(it);
}

/* Turned by hand in still air: the wind's column is nought, the rotor's speed counts. */
static void still_air_is_binned_by_speed(void **state) {
    sw_log log;
    sw_error error;
    const char *text = "\xEF\xBB\xBF# by hand\n\"wind (m/s)\";\"rotor rpm\";\"V\";\"A\"\n"
                       "0;40;12,6;0\n0;60;\"12,7\";1,5\n";
    assert_ok(sw_log_parse(text, "log.csv", *state, &log, &error), &error);
    assert_false(log.wind);
    assert_int_equal(log.rows, 2);
    assert_close(log.row[1].rotor_rpm, 60, 0);
    assert_close(log.row[1].watts, 12.7 * 1.5, 1e-9);
    sw_log_free(&log);
}

/* What was judged by eye counts as rough. */
static void beaufort_widens_the_yardstick(void **state) {
    bench *it = set_up(*state);
    static sw_comparison by_eye;
    sw_log log;
    sw_error error;
    const char *text = "wind [Beaufort],watts\n3,1\n4,20\n5,80\n";
    assert_ok(sw_log_parse(text, "log.csv", *state, &log, &error), &error);
    assert_true(log.beaufort);
    assert_ok(sw_compare(&log, &it->prediction, NAN, NAN, &by_eye, &error), &error);
    assert_true(by_eye.u_share > 0.25);
    sw_log_free(&log);
    tear_down(it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_fault_is_named),
        cmocka_unit_test(a_late_cut_in_is_named),
        cmocka_unit_test(still_air_is_binned_by_speed),
        cmocka_unit_test(beaufort_widens_the_yardstick),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
