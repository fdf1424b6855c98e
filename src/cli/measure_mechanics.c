#include "src/cli/measure_mechanics.h"

#include "shared/table.h"
#include "src/cli/measure_brushed.h"
#include "src/cli/measure_request.h"
#include "src/cli/measure_sources.h"
#include "src/cli/source_words.h"
#include "src/measure/constant/temperature.h"
#include "src/measure/marks.h"
#include "src/measure/merge.h"

#include <gsl/gsl_math.h>
#include <math.h>

static const char *const COASTS[] = {"free", "with-drill", NULL};

bool sw_mechanics_given(const sw_arguments *arguments) {
    static const char *const ALONE[] = {"--disc-mass",      "--disc-diameter", "--disc-bore",
                                        "--falling-weight", "--lever",         "--weights",
                                        "--running-at",     "--like",          NULL};
    for (size_t i = 0; ALONE[i] != NULL; i++)
        if (sw_argument_given(arguments, ALONE[i]))
            return true;
    return false;
}

sw_status sw_mechanics_check(const sw_arguments *arguments, sw_error *error) {
    static const char *const PAIRS[][2] = {
        {"--disc-diameter", "--disc-mass"},
        {"--disc-bore", "--disc-mass"},
        {"--added-mass", "--second-run"},
        {"--second-run", "--added-mass"},
        {"--added-diameter", "--added-mass"},
        {"--added-bore", "--added-mass"},
        {"--drop", "--falling-weight"},
        {"--drop-time", "--falling-weight"},
        {"--drum-radius", "--falling-weight"},
        {"--balance-weight", "--falling-weight"},
        {"--loaded", "--load-ohm"},
        {"--load-ohm", "--loaded"},
        {"--load-speed", "--loaded"},
        {"--weights", "--lever"},
        {"--weights-back", "--lever"},
        {"--lever", "--weights"},
        {"--second-run", "--coast"},
    };
    for (size_t i = 0; i < sizeof PAIRS / sizeof *PAIRS; i++)
        if (sw_argument_given(arguments, PAIRS[i][0]) && !sw_argument_given(arguments, PAIRS[i][1]))
            return sw_fail(error, SW_USAGE, "%s goes together with %s", PAIRS[i][0], PAIRS[i][1]);
    bool needs_record =
        sw_argument_given(arguments, "--coast") || sw_argument_given(arguments, "--loaded");
    if (needs_record && arguments->words == 0 && !sw_argument_given(arguments, "--into"))
        return sw_fail(error, SW_USAGE, "%s needs a recording of the motor %s",
                       sw_argument_given(arguments, "--coast") ? "--coast" : "--loaded",
                       sw_argument_given(arguments, "--coast") ? "running down" : "without load");
    return SW_OK;
}

sw_status sw_mechanics_record(const sw_cli *cli, const sw_arguments *arguments, const char *path,
                              sw_recording *recording, sw_error *error) {
    sw_recording_request files;
    sw_status status = sw_recording_request_from(cli, arguments, &files, error);
    files.paths = &path;
    files.count = 1;
    if (status == SW_OK)
        status = sw_recording_load(&files, recording, error);
    if (status != SW_OK || !recording->is_readings)
        return status;
    sw_recording_free(recording);
    return sw_fail(error, SW_UNSUPPORTED, "%s: a table of readings, expected a recording", path);
}

/* Analyse one recording the way the main one was; the caller frees course->cycles. */
static sw_status course_of(const sw_cli *cli, const sw_arguments *arguments, const char *path,
                           const sw_measure_request *request, sw_motor *motor, sw_course *course,
                           sw_error *error) {
    sw_recording recording;
    *course = (sw_course){.line_over_lead = 1};
    sw_status status = sw_mechanics_record(cli, arguments, path, &recording, error);
    if (status != SW_OK)
        return status;
    status =
        sw_measure_course(&recording.waveform, recording.clipped, request, motor, course, error);
    if (status == SW_OK)
        sw_marks_warn(&recording.marks, recording.waveform.rate_hz, motor);
    if (status == SW_OK && motor->kind == SW_BRUSHED)
        status = sw_fail(error, SW_UNSUPPORTED,
                         "%s: a brushed motor, and the first recording is not one", path);
    if (status == SW_OK && course->cycles.count == 0)
        status = sw_fail(error, SW_TOO_SHORT, "%s: no voltage of a turning motor in it", path);
    sw_recording_free(&recording);
    return status;
}

/* ---- inertia and drag ---- */

static sw_status merge_inertia(sw_motor *motor, sw_quantity inertia, sw_error *error) {
    sw_motor more;
    sw_motor_init(&more);
    more.inertia = inertia;
    return sw_motor_merge(motor, &more, error);
}

static sw_status inertia_by_disc(const sw_cli *cli, const sw_arguments *arguments, sw_motor *motor,
                                 sw_error *error) {
    sw_quantity inertia;
    sw_status status = sw_mechanics_disc(cli, arguments, false, &inertia, error);
    return status == SW_OK ? merge_inertia(motor, inertia, error) : status;
}

static sw_status inertia_by_weight(const sw_cli *cli, const sw_arguments *arguments,
                                   const sw_rundown *rundown, sw_motor *motor, sw_error *error) {
    sw_falling_weight weight;
    sw_quantity inertia;
    if (!sw_argument_given(arguments, "--falling-weight"))
        return SW_OK;
    sw_status status = sw_mechanics_weight(cli, arguments, &weight, error);
    int poles = motor->pole_pairs.value;
    if (status == SW_OK && rundown->part.to > rundown->part.from && poles > 0) {
        double hz = sw_falling_weight_speed(&weight) * poles / (2 * M_PI);
        sw_quantity slowing = sw_rundown_slowing(rundown, hz);
        /* below the run-down's speeds the law is carried on, less surely */
        double u = hypot(slowing.u, hz < rundown->part.to_hz ? 0.1 * slowing.value : 0);
        weight.slowing_rad_s2 =
            sw_quantity_of(slowing.value * 2 * M_PI / poles, u * 2 * M_PI / poles, "rad/s2");
    }
    if (status == SW_OK)
        status = sw_falling_weight_inertia(&weight, &inertia, error);
    return status == SW_OK ? merge_inertia(motor, inertia, error) : status;
}

static sw_status inertia_by_second_run(const sw_cli *cli, const sw_arguments *arguments,
                                       const sw_measure_request *request, const sw_rundown *rundown,
                                       sw_motor *motor, sw_error *error) {
    const char *path = sw_argument(arguments, "--second-run");
    sw_quantity disc;
    sw_quantity inertia;
    sw_motor again;
    sw_course course;
    sw_rundown slower = {0};
    bool known = false;
    if (path == NULL)
        return SW_OK;
    sw_status status = sw_mechanics_disc(cli, arguments, true, &disc, error);
    if (status == SW_OK)
        status = sw_source_used(motor, path, SW_USED_SECOND_RUN, &known, error);
    if (status != SW_OK || known)
        return status;
    status = course_of(cli, arguments, path, request, &again, &course, error);
    if (status == SW_OK)
        status = sw_rundown_fit(&course.cycles, motor->pole_pairs.value, &slower, error);
    if (status == SW_OK && slower.part.to == slower.part.from)
        status = sw_fail(error, SW_TOO_SHORT, "%s: no run-down in it", path);
    else if (status == SW_OK && rundown->part.to == rundown->part.from)
        status = sw_fail(error, SW_TOO_SHORT, "%s: no run-down in it", arguments->word[0]);
    if (status == SW_OK)
        status = sw_rundown_inertia(rundown, &slower, disc, &inertia, error);
    sw_cycles_free(&course.cycles);
    if (status == SW_OK)
        status = merge_inertia(motor, inertia, error);
    return status == SW_OK ? sw_source_enter_file(path, SW_USED_SECOND_RUN, motor, error) : status;
}

static sw_status add_rundown(const sw_cli *cli, const sw_arguments *arguments,
                             const sw_measure_request *request, const sw_course *course,
                             sw_motor *motor, sw_bench *bench, sw_error *error) {
    int word = -1;
    sw_rundown *rundown = &bench->rundown;
    sw_status status = sw_argument_word(arguments, "--coast", COASTS, &word, error);
    sw_coast coast = (sw_coast)(word + 1);
    if (status == SW_OK)
        status = sw_rundown_fit(&course->cycles, motor->pole_pairs.value, rundown, error);
    sw_rundown free_one = {0};
    if (coast == SW_COAST_FREE)
        free_one = *rundown;
    if (status == SW_OK)
        status = inertia_by_disc(cli, arguments, motor, error);
    if (status == SW_OK)
        status = inertia_by_second_run(cli, arguments, request, &free_one, motor, error);
    if (status == SW_OK)
        status = inertia_by_weight(cli, arguments, &free_one, motor, error);
    if (status != SW_OK)
        return status;
    if (coast == SW_COAST_FREE && !sw_quantity_known(motor->inertia))
        return sw_fail(error, SW_USAGE,
                       "--coast free needs the inertia: --inertia, or the rotor as a disc "
                       "(--disc-mass, --disc-diameter), a falling weight (--falling-weight), or a "
                       "second run-down with an added disc (--second-run)");
    sw_drag earlier = motor->drag_torque;
    motor->drag_torque.middle_torque = sw_quantity_unknown(); /* known again = told by this one */
    sw_rundown_tell(rundown, coast, motor);
    bool told = sw_quantity_known(motor->drag_torque.middle_torque);
    bench->has_rundown = coast == SW_COAST_FREE && rundown->part.to > rundown->part.from &&
                         !sw_motor_warned(motor, SW_WARN_DRILL_ATTACHED) && told;
    if (!told)
        motor->drag_torque = earlier;
    return SW_OK;
}

/* ---- loaded runs ---- */

static sw_status add_loaded_run(const sw_cli *cli, const sw_arguments *arguments, size_t n,
                                const sw_measure_request *request, sw_loaded *loaded,
                                sw_error *error) {
    const char *path = sw_argument_nth(arguments, "--loaded", n);
    sw_quantity ohm;
    sw_motor motor;
    sw_course course = {.line_over_lead = 1};
    sw_status status = sw_mechanics_load_ohm(cli, arguments, n, &ohm, error);
    if (status == SW_OK)
        status = course_of(cli, arguments, path, request, &motor, &course, error);
    if (status == SW_OK && sw_loaded_add(loaded, &course, ohm, error) != SW_OK)
        status = sw_fail_within(error, path);
    sw_cycles_free(&course.cycles);
    return status;
}

static size_t loaded_runs_in(const sw_motor *motor) {
    size_t count = 0;
    for (size_t i = 0; i < motor->sources.count; i++)
        count += (motor->sources.source[i].used_as & SW_USED_LOADED) != 0;
    return count;
}

/* What a meter showed, from its own words; unknown when it showed nothing. */
static sw_status meter_alone(const sw_cli *cli, const sw_motor *motor, sw_quantity *ohm,
                             sw_error *error) {
    const sw_source *source = sw_source_find_hand(&motor->sources, "--resistance");
    sw_told told = {.used = 0};
    sw_motor facts;
    bool any = false;
    *ohm = sw_quantity_unknown();
    if (source == NULL)
        return SW_OK;
    sw_told_add_meter(&told, source->told, SW_MEASURE_OPTIONS);
    sw_status status = sw_measure_facts_from(cli, &told.call, &facts, &any, error);
    if (status == SW_OK)
        *ohm = facts.winding_resistance;
    return status;
}

/* A loaded run that is in the motor already must not count twice: the ohms go back to what the
 * meter alone said, and all runs together give them anew. */
static sw_status part_with_earlier(const sw_cli *cli, const sw_arguments *arguments,
                                   sw_motor *motor, sw_error *error) {
    size_t again = 0;
    const char *path = NULL;
    const char *first = NULL;
    sw_status status = SW_OK;
    for (size_t n = 0;
         status == SW_OK && (path = sw_argument_nth(arguments, "--loaded", n)) != NULL; n++) {
        bool known = false;
        status = sw_source_used(motor, path, SW_USED_LOADED, &known, error);
        again += known;
        first = known && first == NULL ? path : first;
    }
    if (status != SW_OK || again == 0)
        return status;
    if (again < loaded_runs_in(motor))
        return sw_fail(error, SW_EXISTS,
                       "--loaded: %s is in the saved motor already, together with others; give all "
                       "of them in one call, then they are worked out anew",
                       first);
    motor->winding_inductance = sw_quantity_unknown(); /* it was these runs' */
    return meter_alone(cli, motor, &motor->winding_resistance, error);
}

static sw_status fit_loaded(const sw_cli *cli, const sw_arguments *arguments,
                            const sw_measure_request *request, const sw_course *course,
                            sw_motor *motor, sw_bench *bench, sw_error *error) {
    if (sw_argument_given(arguments, "--load-speed"))
        return sw_fail(error, SW_USAGE,
                       "--load-speed is for brushed motors: an alternating voltage tells its speed "
                       "by itself");
    sw_loaded loaded = {.low_cut_u_hz = sw_quantity_u_or(request->profile.low_cut_hz, 0.1)};
    sw_status status = sw_loaded_add(&loaded, course, sw_quantity_unknown(), error);
    for (size_t n = 0; status == SW_OK && (sw_argument_nth(arguments, "--loaded", n) != NULL ||
                                           sw_argument_nth(arguments, "--load-ohm", n) != NULL);
         n++)
        status = add_loaded_run(cli, arguments, n, request, &loaded, error);
    if (status == SW_OK)
        status = sw_loaded_fit(&loaded, &bench->loaded, error);
    if (status != SW_OK)
        return status;
    bench->has_loaded = true;
    sw_loaded_tell(&bench->loaded, motor->temperature, motor);
    return SW_OK;
}

static sw_status add_loaded(const sw_cli *cli, const sw_arguments *arguments,
                            const sw_measure_request *request, const sw_course *course,
                            sw_motor *motor, sw_bench *bench, sw_error *error) {
    if (!sw_argument_given(arguments, "--loaded"))
        return SW_OK;
    sw_status status = part_with_earlier(cli, arguments, motor, error);
    if (status != SW_OK)
        return status;
    bench->meter_ohm = motor->winding_resistance;
    if (motor->kind == SW_BRUSHED)
        status = sw_mechanics_brushed(cli, arguments, request, motor, bench, error);
    else
        status = fit_loaded(cli, arguments, request, course, motor, bench, error);
    const char *path = NULL;
    for (size_t n = 0;
         status == SW_OK && (path = sw_argument_nth(arguments, "--loaded", n)) != NULL; n++)
        status = sw_source_enter_file(path, SW_USED_LOADED, motor, error);
    return status;
}

/* ---- lever and heat ---- */

static sw_status add_lever(const sw_cli *cli, const sw_arguments *arguments, sw_motor *motor,
                           sw_bench *bench, sw_error *error) {
    sw_lever lever;
    if (motor->kind != SW_BRUSHED)
        bench->cogging_periods = sw_cogging_periods(motor->slots, motor->pole_pairs.value);
    if (!sw_argument_given(arguments, "--lever"))
        return SW_OK;
    sw_status status = sw_mechanics_lever(cli, arguments, &lever, error);
    if (status == SW_OK)
        status = sw_lever_torques(&lever, &bench->lever, error);
    if (status != SW_OK)
        return status;
    bench->has_lever = true;
    sw_motor more;
    sw_motor_init(&more);
    more.cogging_torque = bench->lever.cogging;
    /* Friction from rest stands for the constant drag until a run-down tells it better. */
    if (!sw_quantity_known(motor->drag_torque.constant))
        more.drag_torque.constant = bench->lever.friction;
    return sw_motor_merge(motor, &more, error);
}

static sw_status weaken(const sw_cli *cli, const char *kind, const sw_motor *motor, sw_bench *bench,
                        sw_error *error) {
    sw_table table;
    sw_node row;
    double coefficient = 0;
    double range[2] = {0, 0};
    sw_status status = sw_table_find(cli->reference_dir, "magnets", kind, &table, &row, error);
    if (status != SW_OK)
        return status;
    status = sw_row_number(&row, "coefficient", &coefficient, error);
    if (status == SW_OK)
        status = sw_row_range(&row, "range", range, error);
    sw_quantity from = motor->temperature;
    if (!sw_quantity_known(from))
        from = sw_quantity_of(20, 2.5, "degC");
    if (status == SW_OK && sw_quantity_known(motor->voltage_constant))
        bench->warm_constant =
            sw_constant_at(motor->voltage_constant, from, bench->warm_degc, coefficient, range);
    bench->warm_share = 1 + coefficient / 100 * (bench->warm_degc.value - from.value);
    sw_table_close(&table);
    return status;
}

static sw_status add_heat(const sw_cli *cli, const sw_arguments *arguments, const sw_motor *motor,
                          sw_bench *bench, sw_error *error) {
    const char *kind = sw_magnet_kind_name(motor->magnet_kind);
    sw_status status = sw_argument_quantity_in(arguments, "--running-at", "degC", -50, 250,
                                               cli->units, &bench->warm_degc, error);
    if (status != SW_OK || !sw_quantity_known(bench->warm_degc))
        return status;
    if (sw_quantity_known(motor->winding_resistance))
        bench->warm_ohm = sw_resistance_at(motor->winding_resistance, bench->warm_degc);
    return kind != NULL ? weaken(cli, kind, motor, bench, error) : SW_OK;
}

static sw_status add_twin(const sw_cli *cli, const sw_arguments *arguments, sw_motor *motor,
                          sw_bench *bench, sw_error *error) {
    const char *path = sw_argument(arguments, "--like");
    sw_motor good;
    if (path == NULL)
        return SW_OK;
    sw_status status = sw_motor_read(path, cli->units, &good, error);
    if (status == SW_OK && sw_twin_compare(motor, &good, &bench->twin, error) != SW_OK)
        return sw_fail_within(error, path);
    return status;
}

sw_status sw_mechanics_add(const sw_cli *cli, const sw_arguments *arguments,
                           const sw_measure_request *request, const sw_course *course,
                           sw_motor *motor, sw_bench *bench, sw_error *error) {
    *bench = sw_bench_empty();
    sw_status status = add_rundown(cli, arguments, request, course, motor, bench, error);
    if (status == SW_OK)
        status = add_loaded(cli, arguments, request, course, motor, bench, error);
    if (status == SW_OK)
        status = add_lever(cli, arguments, motor, bench, error);
    if (status == SW_OK)
        status = add_twin(cli, arguments, motor, bench, error);
    return status == SW_OK ? add_heat(cli, arguments, motor, bench, error) : status;
}
