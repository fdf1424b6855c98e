#include "src/measure/constant/shape.h"

#include <gsl/gsl_math.h>
#include <math.h>

enum { WAVE_POINTS = 1440 };

static const double significant = 3.0; /* standard uncertainties */

sw_spectrum sw_shape_spectrum(const sw_cycles *cycles, double lowest_hz, double reach_hz) {
    sw_spectrum s = {.highest = SW_MOTOR_HARMONIC_LIMIT};
    double shape[SW_CYCLE_POINTS] = {0};
    double weights = 0.0;
    double variance = 0.0;
    double highest_hz = 0.0;
    for (size_t i = 0; i < cycles->count; i++) {
        const sw_cycle *cycle = &cycles->cycle[i];
        double hz = 1.0 / cycle->length_s;
        if (cycle->cut || hz < lowest_hz)
            continue;
        for (int p = 0; p < SW_CYCLE_POINTS; p++)
            shape[p] += hz * cycle->shape[p];
        weights += hz;
        variance += hz * hz * cycle->flux_u * cycle->flux_u;
        highest_hz = fmax(highest_hz, hz);
    }
    if (weights <= 0.0)
        return s;
    for (int k = 0; k <= SW_MOTOR_HARMONIC_LIMIT; k++)
        for (int p = 0; p < SW_CYCLE_POINTS; p++)
            s.order[k] += shape[p] * cexp(-2.0 * M_PI * I * p * k / SW_CYCLE_POINTS) *
                          (k == 0 ? 1.0 : 2.0) / SW_CYCLE_POINTS / weights;
    s.u = sqrt(variance) / weights;
    s.highest = GSL_MIN(SW_MOTOR_HARMONIC_LIMIT, GSL_MAX(1, (int)(reach_hz / highest_hz)));
    return s;
}

sw_spectrum sw_shape_line_of_phase(const sw_spectrum *phase) {
    sw_spectrum line = *phase;
    for (int k = 1; k <= SW_MOTOR_HARMONIC_LIMIT; k++)
        line.order[k] *= k % 3 == 0 ? 0.0 : 1.0 - cexp(-2.0 * M_PI * I * k / 3.0);
    return line;
}

void sw_shape_harmonics(const sw_spectrum *spectrum, sw_motor *motor) {
    double fundamental = cabs(spectrum->order[1]);
    motor->harmonics = 0;
    if (fundamental <= 0.0)
        return;
    for (int k = 1; k <= spectrum->highest; k++) {
        double amplitude = cabs(spectrum->order[k]);
        if (k > 1 && amplitude < significant * spectrum->u)
            continue;
        /* Angle where the fundamental is cos(x). */
        double angle = carg(spectrum->order[k]) - k * carg(spectrum->order[1]);
        motor->harmonic[motor->harmonics++] =
            (sw_harmonic){.order = k,
                          .relative = amplitude / fundamental,
                          .angle_deg = remainder(angle * 180.0 / M_PI, 360.0)};
    }
}

void sw_shape_factors(const sw_spectrum *line, sw_motor *motor) {
    double fundamental = cabs(line->order[1]);
    if (fundamental <= 0.0)
        return;
    double square = 0.0;
    double rectified = 0.0;
    double peak = 0.0;
    double harmonics = 0.0;
    for (int i = 0; i < WAVE_POINTS; i++) {
        double sum = 0.0;
        for (int k = 1; k <= line->highest; k++)
            if (k == 1 || cabs(line->order[k]) >= significant * line->u)
                sum += creal(line->order[k] * cexp(2.0 * M_PI * I * k * i / WAVE_POINTS));
        square += sum * sum / WAVE_POINTS;
        rectified += fabs(sum) / WAVE_POINTS;
        peak = fmax(peak, fabs(sum));
    }
    for (int k = 2; k <= line->highest; k++)
        if (cabs(line->order[k]) >= significant * line->u)
            harmonics += pow(cabs(line->order[k]), 2.0);
    double relative_u = line->u / fundamental;
    double form = sqrt(square) / rectified;
    double crest = peak / sqrt(square);
    motor->form_factor = sw_quantity_of(form, form * relative_u, "1");
    motor->crest_factor = sw_quantity_of(crest, crest * relative_u * sqrt(6.0), "1");
    motor->distortion = sw_quantity_of(sqrt(harmonics) / fundamental, relative_u, "1");
}
