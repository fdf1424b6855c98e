#include "probes/simulate/tach.h"

#include <gsl/gsl_math.h>
#include <math.h>

static const double PULSE_WIDTH = 0.012; /* of a turn, standard width: a strip of tape */

size_t sw_sim_channels(const sw_sim_front *front) {
    return (size_t)front->channels + (front->tach_marks > 0 ? 1 : 0);
}

double sw_sim_tach_at(const sw_sim_front *front, double angle_rad) {
    double marks = front->tach_marks * angle_rad / (2 * M_PI);
    if (front->tach_sine)
        return sin(2 * M_PI * marks);
    double turns_off = (marks - round(marks)) / front->tach_marks;
    return exp(-0.5 * pow(turns_off / PULSE_WIDTH, 2));
}
