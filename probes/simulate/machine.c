/* From magnets and coils to tables.
 *
 * All in the series over the mechanical turn. A coil that embraces a window of width s around the
 * stator angle a links, from a rotor at angle x with the field sum_k B_k exp(i k (a - x)),
 *   flux(x) = sum_k B_k (2 / k) sin(k s / 2) exp(i k a) exp(-i k x)
 * and a phase is the weighted sum over its coils. The EMF per unit of speed is d flux / dx, each
 * order times -i k. One inverse transform a channel then gives the table. Winding symmetry needs
 * no special care: what cancels between coils cancels in the sum.
 *
 * The whole is scaled so that the mean rms of the line-to-line fundamentals is the specified
 * volts per hertz. The series goes to the 15th harmonic of the pole pairs; the table has at least
 * 24 points for the shortest of its periods, for which interpolation by four points is within
 * 2e-4 of that harmonic and within 1e-8 of the fundamental.
 */
#include "probes/simulate/machine.h"

#include "probes/simulate/faults.h"
#include "probes/simulate/ring.h"
#include "probes/simulate/winding.h"

#include <fftw3.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { HIGHEST_HARMONIC = 15, LEAST_ORDERS = 45, POINTS_A_PERIOD = 24, CYCLE_STEPS = 1440 };

/* slope[phase][k]: coefficient of exp(i k angle) of d flux / d angle; the real part counts. */
typedef struct series {
    int orders;
    double complex *slope[SW_SIM_PHASE_LIMIT];
} series;

static void series_free(series *made) {
    for (int phase = 0; phase < SW_SIM_PHASE_LIMIT; phase++)
        free(made->slope[phase]);
}

static void add_coil(const sw_sim_coil *coil, const double complex *field, series *made) {
    double complex *slope = made->slope[coil->phase];
    for (int k = 1; k <= made->orders; k++) {
        double complex linked = field[k] * (2.0 / k * sin(k * coil->span_rad / 2)) *
                                cexp(I * (k * coil->angle_rad)) * coil->weight;
        slope[k] += 2.0 * k * I * conj(linked);
    }
}

static sw_status series_make(const sw_sim_motor *motor, unsigned long seed,
                             const sw_sim_coils *coils, series *made, sw_error *error) {
    int orders = HIGHEST_HARMONIC * motor->pole_pairs;
    made->orders = orders < LEAST_ORDERS ? LEAST_ORDERS : orders;
    size_t room = (size_t)made->orders + 1;
    double complex *field = calloc(room, sizeof *field);
    bool fine = field != NULL;
    for (int phase = 0; phase < motor->phases; phase++) {
        made->slope[phase] = calloc(room, sizeof **made->slope);
        fine = fine && made->slope[phase] != NULL;
    }
    sw_status status = fine ? sw_ring_field(motor, seed, made->orders, field, error)
                            : sw_fail(error, SW_MEMORY, "not enough memory for the machine");
    for (size_t c = 0; status == SW_OK && c < coils->count; c++)
        add_coil(&coils->coil[c], field, made);
    free(field);
    return status;
}

static double complex combine(const series *made, const double *weights, int k) {
    double complex sum = 0;
    for (int phase = 0; phase < SW_SIM_PHASE_LIMIT; phase++)
        if (made->slope[phase] != NULL)
            sum += weights[phase] * made->slope[phase][k];
    return sum;
}

/* Amplitude of the slope at order p, V s/rad, as rms volts per electrical hertz:
 * V = |slope| w / sqrt 2, f = p w / 2 pi. */
static double volts_per_hertz(double complex slope, int pole_pairs) {
    return cabs(slope) * 2 * M_PI / (pole_pairs * M_SQRT2);
}

/* The line pairs A-B, B-C, C-A, or the windings themselves. */
static void line_weights(const sw_sim_motor *motor, int line, double weights[SW_SIM_PHASE_LIMIT]) {
    memset(weights, 0, SW_SIM_PHASE_LIMIT * sizeof *weights);
    if (motor->phases < 3)
        weights[line] = 1;
    else
        sw_clips_between(motor, line, (line + 1) % 3, weights);
}

static double mean_of_lines(const sw_sim_motor *motor, const series *made, double *each) {
    double sum = 0;
    for (int line = 0; line < motor->phases; line++) {
        double weights[SW_SIM_PHASE_LIMIT];
        line_weights(motor, line, weights);
        each[line] = volts_per_hertz(combine(made, weights, motor->pole_pairs), motor->pole_pairs);
        sum += each[line];
    }
    return sum / motor->phases;
}

/* Phases that are joined the wrong way round. */
static void turn_round(const sw_sim_motor *motor, series *made) {
    for (int phase = 0; phase < SW_SIM_PHASE_LIMIT; phase++)
        for (int k = 0; made->slope[phase] != NULL && k <= made->orders; k++)
            made->slope[phase][k] *= sw_sim_fault_sign(motor, phase);
}

static void scale(series *made, double factor) {
    for (int phase = 0; phase < SW_SIM_PHASE_LIMIT; phase++)
        for (int k = 0; made->slope[phase] != NULL && k <= made->orders; k++)
            made->slope[phase][k] *= factor;
}

static double degrees(double angle_rad) {
    return remainder(angle_rad * 180 / M_PI, 360);
}

/* Harmonics relative to the fundamental: with the fundamental cos x, order h is
 * cos(h x + angle), angle = arg h - h arg 1. */
static void list_harmonics(const series *made, const double *weights, int pole_pairs,
                           sw_sim_harmonic *list) {
    double complex first = combine(made, weights, pole_pairs);
    for (int h = 1; h <= SW_SIM_HARMONICS; h++) {
        double complex here = combine(made, weights, h * pole_pairs);
        list[h - 1] =
            (sw_sim_harmonic){h, cabs(here) / cabs(first), degrees(carg(here) - h * carg(first))};
    }
}

static double pattern_of(const series *made, const double *weights, int pole_pairs) {
    double sum = 0;
    for (int k = 1; k <= made->orders; k++)
        if (k % pole_pairs != 0)
            sum += pow(cabs(combine(made, weights, k)), 2);
    return sqrt(sum) / cabs(combine(made, weights, pole_pairs));
}

/* Highest point of the mean cycle over its rms fundamental. */
static double peak_over_rms(const sw_sim_harmonic *list) {
    double peak = 0;
    for (int step = 0; step < CYCLE_STEPS; step++) {
        double x = 2 * M_PI * step / CYCLE_STEPS;
        double sum = 0;
        for (int h = 1; h <= SW_SIM_HARMONICS; h++)
            sum += list[h - 1].relative * cos(h * x + list[h - 1].angle_deg * M_PI / 180);
        peak = fmax(peak, fabs(sum));
    }
    return peak * M_SQRT2;
}

/* The pair that the truth's harmonics speak of: channel 1's when that is line to line, else
 * the first pair. */
static void told_pair(const sw_sim_spec *spec, double weights[SW_SIM_PHASE_LIMIT]) {
    double sum = 0;
    bool fine = sw_clips_weights(spec, 0, weights, NULL) == SW_OK;
    for (int phase = 0; phase < SW_SIM_PHASE_LIMIT; phase++)
        sum += weights[phase];
    if (!fine || (spec->motor.phases == 3 && fabs(sum) > 0.5))
        line_weights(&spec->motor, 0, weights);
}

static void tell(const sw_sim_spec *spec, const series *made, sw_sim_truth *truth) {
    const sw_sim_motor *motor = &spec->motor;
    int p = motor->pole_pairs;
    double weights[SW_SIM_PHASE_LIMIT];
    double mean = mean_of_lines(motor, made, truth->line_volts_per_hertz);
    told_pair(spec, weights);
    list_harmonics(made, weights, p, truth->line);
    truth->pattern = pattern_of(made, weights, p);
    truth->volts_per_hertz =
        spec->front.channels == 1 ? volts_per_hertz(combine(made, weights, p), p) : mean;
    static const double PHASE_A[SW_SIM_PHASE_LIMIT] = {1, 0, 0};
    list_harmonics(made, PHASE_A, p, truth->phase);
    truth->harmonics = SW_SIM_HARMONICS;
    truth->volts_per_rpm = truth->volts_per_hertz * p / 60;
    /* Peak flux = peak phase volts / (2 pi f); the equivalent star phase has line / sqrt 3. */
    truth->flux_linkage_wb =
        truth->volts_per_hertz * M_SQRT2 / (2 * M_PI) / (motor->phases == 3 ? M_SQRT3 : 1);
    truth->peak_line_v_per_krpm = truth->volts_per_rpm * 1000 * peak_over_rms(truth->line);
}

static size_t points_for(int orders) {
    size_t points = 1024;
    while (points < (size_t)orders * POINTS_A_PERIOD)
        points *= 2;
    return points;
}

static sw_status transform(const series *made, const double *weights, size_t points, double *table,
                           sw_error *error) {
    fftw_complex *bins = fftw_alloc_complex(points / 2 + 1);
    fftw_plan plan =
        bins == NULL ? NULL : fftw_plan_dft_c2r_1d((int)points, bins, table, FFTW_ESTIMATE);
    if (plan == NULL) {
        fftw_free(bins);
        return sw_fail(error, SW_MEMORY, "not enough memory for the machine's table");
    }
    memset(bins, 0, (points / 2 + 1) * sizeof *bins);
    for (int k = 1; k <= made->orders; k++)
        bins[k] = combine(made, weights, k) / 2;
    fftw_execute(plan);
    fftw_destroy_plan(plan);
    fftw_free(bins);
    return SW_OK;
}

static sw_status fill_tables(const sw_sim_spec *spec, const series *made, sw_sim_machine *machine,
                             sw_sim_truth *truth, sw_error *error) {
    machine->points = points_for(made->orders);
    for (size_t c = 0; c < (size_t)spec->front.channels; c++) {
        double weights[SW_SIM_PHASE_LIMIT];
        sw_status status = sw_clips_weights(spec, (int)c, weights, error);
        if (status != SW_OK)
            return status;
        machine->table[c] = malloc(machine->points * sizeof(double));
        if (machine->table[c] == NULL)
            return sw_fail(error, SW_MEMORY, "not enough memory for the machine's table");
        machine->channels = c + 1;
        status = transform(made, weights, machine->points, machine->table[c], error);
        if (status != SW_OK)
            return status;
        truth->channel_volts_per_hertz[c] =
            volts_per_hertz(combine(made, weights, spec->motor.pole_pairs), spec->motor.pole_pairs);
    }
    return SW_OK;
}

static void find_peak(sw_sim_machine *machine) {
    machine->peak = 0;
    for (size_t c = 0; c < machine->channels; c++)
        for (size_t i = 0; i < machine->points; i++)
            machine->peak = fmax(machine->peak, fabs(machine->table[c][i]));
}

static sw_status build_ring(const sw_sim_spec *spec, sw_sim_machine *machine, sw_sim_truth *truth,
                            sw_error *error) {
    sw_sim_motor faulty = spec->motor;
    const sw_sim_motor *motor = &faulty;
    sw_sim_fault_magnets(&faulty);
    sw_sim_coils *coils = malloc(sizeof *coils);
    if (coils == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the winding");
    series made = {0};
    sw_status status = sw_winding_lay(motor, coils, error);
    if (status == SW_OK) {
        truth->winding_factor = sw_winding_factor(coils, 0, motor->pole_pairs);
        truth->symmetry = sw_winding_symmetry(motor);
        status = sw_winding_tolerances(motor, spec->seed, coils, error);
    }
    if (status == SW_OK)
        status = series_make(motor, spec->seed, coils, &made, error);
    if (status == SW_OK) {
        double each[SW_SIM_PHASE_LIMIT];
        sw_sim_motor whole = *motor;
        whole.fault = SW_SIM_FAULT_NONE;
        scale(&made, motor->volts_per_hertz / mean_of_lines(&whole, &made, each));
        turn_round(motor, &made);
        tell(spec, &made, truth);
        status = fill_tables(spec, &made, machine, truth, error);
    }
    series_free(&made);
    free(coils);
    return status;
}

sw_status sw_machine_build(const sw_sim_spec *spec, sw_sim_machine *machine, sw_sim_truth *truth,
                           sw_error *error) {
    *machine = (sw_sim_machine){0};
    sw_status status = spec->motor.kind == SW_SIM_BRUSHED
                           ? sw_commutator_table(spec, machine, truth, error)
                           : build_ring(spec, machine, truth, error);
    if (status != SW_OK)
        sw_machine_free(machine);
    else
        find_peak(machine);
    return status;
}

void sw_machine_free(sw_sim_machine *machine) {
    for (size_t c = 0; c < machine->channels; c++)
        free(machine->table[c]);
    *machine = (sw_sim_machine){0};
}

/* Lagrange's polynomial through the four points around. */
double sw_machine_value(const sw_sim_machine *machine, size_t channel, double angle_rad) {
    double turn = angle_rad / (2 * M_PI);
    double place = (turn - floor(turn)) * (double)machine->points;
    size_t mask = machine->points - 1;
    size_t at = (size_t)place;
    double x = place - (double)at;
    const double *table = machine->table[channel];
    double before = table[(at + mask) & mask];
    double here = table[at & mask];
    double next = table[(at + 1) & mask];
    double after = table[(at + 2) & mask];
    return -before * x * (x - 1) * (x - 2) / 6 + here * (x + 1) * (x - 1) * (x - 2) / 2 -
           next * (x + 1) * x * (x - 2) / 2 + after * (x + 1) * x * (x - 1) / 6;
}
