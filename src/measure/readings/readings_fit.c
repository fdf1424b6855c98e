/* Hand readings to a motor record.
 *
 *   rows with both hertz and rpm            -> pole pairs
 *   open rows, meter's law                  -> volts per hertz (or volts per rpm)
 *   open and loaded rows                    -> resistance, and inductance from several speeds
 *
 * Readings in hertz need no tachometer and no gear; where some row has them, rows with rpm only
 * are brought to hertz by the pole pairs. Without any, the constant is volts per rpm.
 */
#include "src/measure/readings/readings_fit.h"

#include "shared/constants.h"
#include "src/measure/poles/recount.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* Uncertainties of what people write down: last digit and range of a hand meter, its frequency,
 * a tachometer or a drill's speed (common practice, no source). */
static const double VOLTS_U = 0.008;
static const double VOLTS_U_LEAST_V = 0.02;
static const double FREQUENCY_U = 0.003;
static const double SPEED_U = 0.01;

static const double METER_LEAST_HZ = 40;   /* AC ranges are specified from here on */
static const double NOTHING_THERE_V = 0.1; /* less than this at speed is residual magnetism */
static const double MISFIT_DOUBTFUL = 3.0;

typedef struct work {
    const sw_readings *readings;
    const sw_measure_request *request;
    sw_motor *motor;
    int phases;
    double gear;
    bool in_hertz; /* points go by frequency */
    sw_reading_points points;
} work;

/* ---- pole pairs ---- */

/* 60 f / n of every row that has both; returns how many. */
static size_t pair_ratios(const work *w, double *ratio, double *fastest_hz) {
    size_t count = 0;
    *fastest_hz = NAN;
    for (size_t i = 0; i < w->readings->count; i++) {
        const sw_reading *reading = &w->readings->reading[i];
        if (reading->frequency_hz > 0)
            *fastest_hz = fmax(isnan(*fastest_hz) ? 0 : *fastest_hz, reading->frequency_hz);
        if (reading->frequency_hz > 0 && reading->speed_rpm > 0)
            ratio[count++] = 60 * reading->frequency_hz / (reading->speed_rpm * w->gear);
    }
    return count;
}

static void check_scatter(work *w, double scatter, double middle) {
    if (scatter > 0.05 * middle)
        sw_motor_warn(w->motor, SW_WARN_SPEED_DOUBTFUL,
                      "hertz over rpm differs by %.0f %% from row to row: the two were not read at "
                      "the same speed, or one of them is wrong",
                      100 * scatter / middle);
}

static sw_status find_pole_pairs(work *w, sw_error *error) {
    double *ratio = malloc((w->readings->count + 1) * sizeof *ratio);
    double fastest_hz = NAN;
    if (ratio == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the readings");
    size_t count = pair_ratios(w, ratio, &fastest_hz);
    sw_speed_evidence evidence = w->request->evidence;
    evidence.phases = w->phases;
    evidence.frequency_hz = fastest_hz;
    if (count > 0) {
        gsl_sort(ratio, 1, count);
        double middle = gsl_stats_median_from_sorted_data(ratio, 1, count);
        double scatter = count > 1 ? gsl_stats_sd(ratio, 1, count) : 0;
        double speed = 60 * fastest_hz / middle;
        double u = speed * hypot(SPEED_U, scatter / middle / sqrt((double)count));
        evidence.speed = sw_quantity_of(speed, u, "rpm");
        check_scatter(w, scatter, middle);
        w->motor->electrical_frequency = sw_quantity_of(fastest_hz, FREQUENCY_U * fastest_hz, "Hz");
        w->motor->speed = evidence.speed;
    } else if (w->readings->count > 1) {
        /* Of which row would a speed beside the table be? */
        evidence.speed = sw_quantity_unknown();
        evidence.about_rpm = NAN;
    }
    free(ratio);
    bool told = count > 0 || evidence.magnets > 0 || evidence.detents > 0 ||
                sw_quantity_known(evidence.speed) || evidence.about_rpm > 0;
    return told ? sw_poles_estimate(NULL, &evidence, &w->motor->pole_pairs, error) : SW_OK;
}

/* ---- rows to points ---- */

static double hertz_of(const work *w, const sw_reading *reading) {
    if (reading->frequency_hz > 0)
        return reading->frequency_hz;
    int pairs = w->motor->pole_pairs.value;
    return pairs > 0 ? reading->speed_rpm * w->gear * pairs / 60 : NAN;
}

static sw_reading_point point_of(const work *w, const sw_reading *reading) {
    bool timed = reading->frequency_hz > 0;
    double hertz = hertz_of(w, reading);
    double rpm = reading->speed_rpm * w->gear;
    sw_reading_point point = {.pace = w->in_hertz ? hertz : rpm, .omega = 2 * M_PI * hertz};
    point.pace_u = point.pace * (timed && w->in_hertz ? FREQUENCY_U : SPEED_U);
    point.volts = fabs(reading->volts);
    point.volts_u = hypot(VOLTS_U * point.volts, VOLTS_U_LEAST_V);
    point.amps = isnan(reading->amps) ? 0 : fabs(reading->amps);
    point.load_ohm = reading->load_ohm > 0 ? reading->load_ohm : 0;
    if (point.load_ohm == 0 && point.amps > 0)
        point.load_ohm = point.volts / point.amps;
    if (point.amps == 0 && point.load_ohm > 0)
        point.amps = point.volts / point.load_ohm;
    return point;
}

static bool is_usable(const sw_reading_point *point) {
    return point->pace > 0 && isfinite(point->volts) && (point->load_ohm == 0 || point->volts > 0);
}

/* By frequency where no row is lost by it, or no more than by speed. */
static bool better_in_hertz(const work *w) {
    size_t hertz = 0;
    size_t rpm = 0;
    if (w->readings->meter == SW_METER_DC)
        return false;
    for (size_t i = 0; i < w->readings->count; i++) {
        const sw_reading *reading = &w->readings->reading[i];
        hertz += reading->frequency_hz > 0 && isfinite(reading->volts);
        rpm += reading->speed_rpm > 0 && isfinite(reading->volts);
    }
    return hertz > 0 && (w->motor->pole_pairs.value > 0 || hertz >= rpm);
}

static sw_status make_points(work *w, sw_error *error) {
    w->points.point = malloc((w->readings->count + 1) * sizeof *w->points.point);
    if (w->points.point == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the readings");
    w->in_hertz = better_in_hertz(w);
    for (size_t i = 0; i < w->readings->count; i++) {
        sw_reading_point point = point_of(w, &w->readings->reading[i]);
        if (is_usable(&point))
            w->points.point[w->points.count++] = point;
    }
    if (w->points.count > 0)
        return SW_OK;
    return sw_fail(error, SW_TOO_SHORT,
                   "no row has volts together with a speed or frequency above zero");
}

/* ---- cautions ---- */

static double slowest_hz(const work *w) {
    double slowest = HUGE_VAL;
    for (size_t i = 0; i < w->points.count; i++)
        if (w->points.point[i].omega > 0)
            slowest = fmin(slowest, w->points.point[i].omega / (2 * M_PI));
    return slowest;
}

static void warn_of_meter(work *w) {
    sw_meter meter = w->readings->meter;
    bool ac = meter == SW_METER_AC_AVERAGE || meter == SW_METER_AC_TRUE_RMS;
    double slowest = slowest_hz(w);
    if (ac && slowest < METER_LEAST_HZ)
        sw_motor_warn(w->motor, SW_WARN_METER_DOUBTFUL,
                      "the AC range of a meter is made for 40 Hz and more, and the slowest reading "
                      "is at %.1f Hz; a bridge, a capacitor and the DC range are better there",
                      slowest);
    else if (meter == SW_METER_AC_AVERAGE)
        sw_motor_warn(w->motor, SW_WARN_METER_DOUBTFUL,
                      "an ordinary AC range is right for a pure sine only%s; the constant is "
                      "taken to 3 %%",
                      isfinite(slowest) ? "" : ", and from 40 Hz on");
    if (!w->readings->meter_said)
        sw_motor_warn(w->motor, SW_WARN_METER_DOUBTFUL,
                      "the kind of meter was not said; an ordinary meter on its AC range was taken "
                      "(write for example \"# meter: true-rms\" into the table)");
}

static void warn_of_misfit(work *w, const sw_readings_result *result) {
    if (result->misfit > MISFIT_DOUBTFUL)
        sw_motor_warn(w->motor, SW_WARN_NOISY,
                      "the readings scatter %.0f times as far from the line as meters do: look for "
                      "one that was written down wrong",
                      result->misfit);
}

/* ---- the fits ---- */

static double largest_volts(const work *w) {
    double largest = 0;
    for (size_t i = 0; i < w->points.count; i++)
        largest = fmax(largest, w->points.point[i].volts);
    return largest;
}

static sw_readings_result nothing_found(void) {
    return (sw_readings_result){NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, false, 0};
}

static void store(work *w, const sw_readings_result *result) {
    sw_motor *motor = w->motor;
    if (w->in_hertz && motor->kind != SW_BRUSHED)
        motor->volts_per_hertz = sw_quantity_of(result->constant, result->constant_u, "V/Hz");
    else
        motor->voltage_constant = sw_quantity_of(result->constant, result->constant_u, "V/rpm");
    if (result->resistance_ohm > 0)
        motor->winding_resistance =
            sw_quantity_of(result->resistance_ohm, result->resistance_u, "ohm");
    if (result->resistance_ohm > 0 && result->bound)
        snprintf(motor->note, sizeof motor->note,
                 "The resistance is an upper bound: readings under load at one speed cannot tell "
                 "it from the inductance.");
    if (isfinite(result->brush_drop_v))
        motor->brush_drop = sw_quantity_of(result->brush_drop_v, result->brush_drop_u_v, "V");
    if (result->inductance_h > 0)
        motor->winding_inductance =
            sw_quantity_of(1000 * result->inductance_h, 1000 * result->inductance_u, "mH");
}

static sw_status fit_ac(work *w, sw_readings_result *result, sw_error *error) {
    sw_meter_law law;
    sw_status status = sw_meter_law_of(w->readings->meter, w->phases, &law, error);
    if (status == SW_OK)
        status = sw_readings_fit_open(&w->points, &law, result, error);
    /* Behind a bridge a load changes how long the diodes conduct: no simple law. */
    if (status == SW_OK && !law.bridge)
        status = sw_readings_fit_loaded(&w->points, &law, result, error);
    return status;
}

static sw_status fit(work *w, sw_error *error) {
    sw_readings_result result = nothing_found();
    bool brushed = w->readings->meter == SW_METER_DC;
    if (largest_volts(w) < NOTHING_THERE_V) {
        w->motor->kind = SW_NO_GENERATOR;
        sw_motor_warn(w->motor, SW_WARN_RESIDUAL_ONLY,
                      "never more than %.2f V: no magnets to speak of, or the shaft that turned is "
                      "not theirs (a freewheel); try the other direction",
                      largest_volts(w));
        return SW_OK;
    }
    w->motor->kind = brushed ? SW_BRUSHED : SW_MAGNET_AC;
    sw_status status =
        brushed ? sw_readings_fit_brushed(&w->points, &result, error) : fit_ac(w, &result, error);
    if (status != SW_OK)
        return status;
    store(w, &result);
    warn_of_misfit(w, &result);
    if (!brushed)
        warn_of_meter(w);
    sw_recount_warn(w->motor);
    sw_motor_derive(w->motor);
    return SW_OK;
}

static sw_status check_meter(const sw_readings *readings, sw_error *error) {
    bool ac = readings->meter == SW_METER_AC_AVERAGE || readings->meter == SW_METER_AC_TRUE_RMS;
    if (!readings->volts_dc || readings->meter_said || !ac)
        return SW_OK;
    return sw_fail(error, SW_MISSING_KEY,
                   "the volts are DC: say how they came about, --meter dc (a brushed motor), "
                   "dc-bridge or dc-bridge-capacitor");
}

sw_status sw_measure_readings(const sw_readings *readings, const sw_measure_request *request,
                              sw_motor *motor, sw_error *error) {
    work w = {.readings = readings, .request = request, .motor = motor};
    w.gear = request->gear > 0 ? request->gear : 1;
    w.phases = readings->phases > 0 ? readings->phases : request->evidence.phases;
    sw_motor_init(motor);
    sw_status status = check_meter(readings, error);
    if (status != SW_OK)
        return status;
    bool brushed = readings->meter == SW_METER_DC;
    motor->phases = brushed ? 0 : w.phases;
    if (!brushed)
        status = find_pole_pairs(&w, error);
    if (status == SW_OK)
        status = make_points(&w, error);
    if (status == SW_OK)
        status = fit(&w, error);
    free(w.points.point);
    return status;
}
