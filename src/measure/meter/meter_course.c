/* The course of a spin by its speed alone: at rest, turning, held long enough, running down,
 * stopped. Held counts while the speed stays within 12 % over one and a half seconds, as a drill's
 * trigger is held by a finger; a hand that never holds that well is let go on after ten seconds
 * more. What is held too loud does not count: its crests are cut off. What is heard counts as the
 * motor only while its amplitude goes with its speed: hum that comes through when it has stopped is
 * told from it by that. */
#include "src/measure/meter/meter_parts.h"

#include <math.h>
#include <string.h>

static const double UPDATE_S = 1.0 / SW_LIVE_UPDATES_PER_S;
static const double STEADY_RANGE = 0.12;
static const double RISING = 0.03; /* over a window */
static const double PATIENCE_S = 10;
static const double LET_GO = 0.9; /* of the held speed */
static const size_t TURNING_READINGS = 3;
static const size_t LOW_READINGS = 3;
static const double GONE_S = 1.0;
static const double GONE_TURNING_S = 1.5;
static const double LEAST_SPIN_S = 1.0;
static const double SAME_MOTOR = 0.2; /* of the amplitude that the speed asks for */
static const double SAME_MAINS = 0.006;
static const double LOUDEST_HUM = 0.03;

sw_spin_course sw_spin_course_start(double wanted_s) {
    return (sw_spin_course){.wanted_s = wanted_s, .wander = NAN, .hold_hz = NAN};
}

static void push(sw_spin_course *course, double frequency_hz) {
    if (course->count == SW_COURSE_WINDOW) {
        memmove(course->window, course->window + 1, (SW_COURSE_WINDOW - 1) * sizeof(double));
        course->count--;
    }
    course->window[course->count++] = frequency_hz;
}

static double mean_of(const double *values, size_t count) {
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += values[i];
    return sum / (double)count;
}

static void judge(sw_spin_course *course) {
    double low = course->window[0];
    double high = low;
    for (size_t i = 1; i < course->count; i++) {
        low = fmin(low, course->window[i]);
        high = fmax(high, course->window[i]);
    }
    bool full = course->count == SW_COURSE_WINDOW;
    double mean = mean_of(course->window, course->count);
    course->wander = full ? (high - low) / 2 / mean : NAN;
    course->steady = full && (high - low) < STEADY_RANGE * mean;
}

static bool is_rising(const sw_spin_course *course) {
    size_t third = course->count / 3;
    if (third == 0)
        return true;
    double first = mean_of(course->window, third);
    double last = mean_of(course->window + course->count - third, third);
    return last > (1 + RISING) * first;
}

static void lose(sw_spin_course *course) {
    course->count = 0;
    course->wander = NAN;
    course->steady = false;
    course->gone_s += UPDATE_S;
    course->low = 0;
    if (course->stage == SW_COURSE_TURNING && course->gone_s >= GONE_TURNING_S) {
        course->again = course->turning_s >= LEAST_SPIN_S;
        course->stage = SW_COURSE_REST;
        course->turning_s = 0;
        course->held_s = 0;
    }
    bool spun = course->stage == SW_COURSE_HELD || course->stage == SW_COURSE_RUNNING_DOWN;
    if (spun && course->gone_s >= GONE_S)
        course->stage = SW_COURSE_STOPPED;
}

/* While steady the held speed and what its amplitude is are learned. */
static void hold(sw_spin_course *course, double frequency_hz, double amplitude, bool loud) {
    if (course->stage != SW_COURSE_TURNING && course->stage != SW_COURSE_HELD)
        return;
    if (!course->steady)
        return;
    course->held_s += loud ? 0 : UPDATE_S;
    course->flux = amplitude / frequency_hz;
    double mean = mean_of(course->window, course->count);
    if (course->stage == SW_COURSE_TURNING || mean > LET_GO * course->hold_hz)
        course->hold_hz = mean;
}

static void turn(sw_spin_course *course, double frequency_hz) {
    bool slower = frequency_hz < LET_GO * course->hold_hz;
    course->low = slower ? course->low + 1 : 0;
    switch (course->stage) {
    case SW_COURSE_REST:
        if (course->count < TURNING_READINGS)
            break;
        course->stage = SW_COURSE_TURNING;
        course->again = false;
        break;
    case SW_COURSE_TURNING:
        course->turning_s += UPDATE_S;
        if (course->held_s >= course->wanted_s ||
            course->turning_s >= course->wanted_s + PATIENCE_S)
            course->stage = SW_COURSE_HELD;
        if (course->stage == SW_COURSE_HELD && !isfinite(course->hold_hz))
            course->hold_hz = mean_of(course->window, course->count);
        break;
    case SW_COURSE_HELD:
        if (course->low >= LOW_READINGS)
            course->stage = SW_COURSE_RUNNING_DOWN;
        break;
    case SW_COURSE_RUNNING_DOWN:
        if (!slower)
            course->stage = SW_COURSE_HELD;
        break;
    case SW_COURSE_STOPPED:
        break;
    }
}

static bool is_hum(const sw_spin_course *course, double frequency_hz, double amplitude) {
    bool at_mains =
        fabs(frequency_hz / 50 - 1) < SAME_MAINS || fabs(frequency_hz / 60 - 1) < SAME_MAINS;
    return at_mains && amplitude < LOUDEST_HUM && course->stage == SW_COURSE_REST;
}

/* Once the motor's volts for each hertz are known, what has far fewer is something else. */
static bool is_motor(const sw_spin_course *course, double frequency_hz, double amplitude) {
    if (!isfinite(frequency_hz) || is_hum(course, frequency_hz, amplitude))
        return false;
    return course->flux <= 0 || amplitude > SAME_MOTOR * course->flux * frequency_hz;
}

bool sw_spin_course_follow(sw_spin_course *course, double frequency_hz, double amplitude,
                           bool loud) {
    if (course->stage == SW_COURSE_STOPPED)
        return false;
    if (!is_motor(course, frequency_hz, amplitude)) {
        lose(course);
        return false;
    }
    course->gone_s = 0;
    push(course, frequency_hz);
    judge(course);
    hold(course, frequency_hz, amplitude, loud);
    turn(course, frequency_hz);
    return true;
}

sw_live_advice sw_spin_course_advice(const sw_spin_course *course, double frequency_hz,
                                     double amplitude) {
    switch (course->stage) {
    case SW_COURSE_REST:
        if (isfinite(frequency_hz) && is_hum(course, frequency_hz, amplitude))
            return SW_LIVE_HUM;
        return course->again ? SW_LIVE_AGAIN : SW_LIVE_WAIT;
    case SW_COURSE_TURNING:
        if (course->steady)
            return SW_LIVE_KEEP_HOLDING;
        return is_rising(course) ? SW_LIVE_SPEED_UP : SW_LIVE_HOLD_STEADY;
    case SW_COURSE_HELD:
        return SW_LIVE_FREE_SHAFT;
    case SW_COURSE_RUNNING_DOWN:
        return SW_LIVE_RUN_DOWN;
    case SW_COURSE_STOPPED:
        return SW_LIVE_DONE;
    }
    return SW_LIVE_WAIT;
}
