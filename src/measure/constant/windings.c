/* Three phase EMFs e1, e2, e3 of equal size, 120 degrees apart, one of them with a factor g: 1 for
 * a sound winding, less with a bridged coil, 0 when it gives nothing, -1 when its ends are
 * exchanged. Two lines against the third wire read v1 = e1 - e3 and v2 = e2 - e3; of their ratio
 * r = v2 / v1 both size and angle are known, of the factor only one number is wanted:
 *   phase 1:  g = ((e2 - e3) / r + e3) / e1
 *   phase 2:  g = (r (e1 - e3) + e3) / e2
 *   phase 3:  g = (r e1 - e2) / (e3 (r - 1))
 * A factor that comes out real (in the likeness of what windings differ by anyway) explains the
 * two lines; so does a channel whose scale is wrong, for then the angle is 60 degrees all the
 * same. In ln r the three phases point to 30, 150 and 270 degrees and a scale to 0 or 180, so that
 * a lack of some per cent tells them apart. Which way round the field turns is not known; both are
 * tried.
 *
 * A phase that gives nothing and one that is the wrong way round leave the same two lines (of two
 * motors that turn in opposite directions): ohms tell them apart.
 *
 * Measured to the star point, or winding by winding, each phase shows by itself. There a coil that
 * lies in step with the rest of its phase lessens the amplitude alone, as a wrong scale does;
 * where the coils of a phase are out of step (12 slots and 14 poles) the angle moves too.
 */
#include "src/measure/constant/windings.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdio.h>

static const double usual_off = 0.012;  /* how far sound windings are from alike */
static const double out_of_step = 0.42; /* of the distance: 25 degrees off a direction */
static const double lacking = 0.04;     /* less than that is no fault */
static const double nothing = 0.06;     /* a factor this small is none at all */
static const double moved_deg = 1.5;    /* an angle that a scale cannot explain */
static const double least_coil = 0.02;

/* One explanation of two lines. */
typedef struct reason {
    int phase;   /* 1 .. 3; 0 = a channel's scale */
    double part; /* what the phase gives */
    double off;  /* of ln r */
} reason;

static double complex unit(int number) {
    return cexp(-2.0 * M_PI * I * number / 3.0);
}

static double complex factor_of(int phase, double complex r) {
    double complex e1 = unit(0);
    double complex e2 = unit(1);
    double complex e3 = unit(2);
    if (phase == 1)
        return ((e2 - e3) / r + e3) / e1;
    if (phase == 2)
        return (r * (e1 - e3) + e3) / e2;
    return (r * e1 - e2) / (e3 * (r - 1.0));
}

static double complex lines_of(int phase, double part) {
    double complex e1 = unit(0) * (phase == 1 ? part : 1.0);
    double complex e2 = unit(1) * (phase == 2 ? part : 1.0);
    double complex e3 = unit(2) * (phase == 3 ? part : 1.0);
    return (e2 - e3) / (e1 - e3);
}

static void consider(double complex r, int phase, double tolerance, reason *list, size_t *count) {
    double part = creal(factor_of(phase, r));
    double off = cabs(clog(r / lines_of(phase, part)));
    bool possible = fabs(part + 1.0) < 0.15 || (part > -nothing && part < 1.0 - least_coil);
    if (possible && off < tolerance)
        list[(*count)++] = (reason){phase, part, off};
}

/* Explanations of the ratio, either way round. */
static size_t explain_within(double complex ratio, double tolerance, reason list[8]) {
    size_t count = 0;
    for (int way = 0; way < 2; way++) {
        double complex r = way == 0 ? ratio : conj(ratio);
        for (int phase = 1; phase <= 3; phase++)
            consider(r, phase, tolerance, list, &count);
    }
    double turned = fabs(fabs(carg(ratio)) - M_PI / 3.0);
    if (turned < tolerance)
        list[count++] = (reason){0, 1.0, turned};
    return count;
}

/* A coil out of step with the rest of its phase moves the phase's angle too: where nothing fits
 * well, something that fits roughly. */
static size_t explain(double complex ratio, double u, reason list[8]) {
    double tolerance = usual_off + 3.0 * u;
    size_t count = explain_within(ratio, tolerance, list);
    double complex upright = carg(ratio) < 0.0 ? ratio : conj(ratio);
    double far = cabs(clog(upright / lines_of(1, 1.0)));
    return count > 0 ? count : explain_within(ratio, out_of_step * far, list);
}

static void name_phase(const sw_live *v, int phase, char *out, size_t room) {
    if (phase == 3)
        snprintf(out, room, "the common (ground) wire");
    else
        snprintf(out, room, "channel %zu's wire", v->channel[phase - 1] + 1);
}

/* " (one of its 12 coils would be 8 %)", where the slots were told. */
static void name_coils(const sw_motor *motor, double lack, char *out, size_t room) {
    out[0] = '\0';
    if (motor->slots < 2 || motor->phases < 1 || motor->slots % motor->phases != 0)
        return;
    int coils = motor->slots / motor->phases;
    double gone = lack * coils;
    if (gone < 0.5)
        snprintf(out, room, " (less than one of its %d coils)", coils);
    else
        snprintf(out, room, " (as %.0f of its %d coils would)", round(gone), coils);
}

static void warn_lacking(const char *where, double lack, bool scale_too, sw_motor *motor) {
    char coils[64];
    name_coils(motor, lack, coils, sizeof coils);
    sw_motor_warn(motor, SW_WARN_SHORTED_COIL,
                  "the phase on %s gives %.0f %% less than the others%s: %s. %s", where,
                  100.0 * lack, coils,
                  scale_too ? "a shorted coil, or that channel's scale is off"
                            : "shorted turns or a bridged coil",
                  scale_too ? "Exchange two channels' clips and record again: does it move along?"
                            : "Its ohms are lower too. It brakes and heats: leave the motor, or "
                              "cut that coil out");
}

static void warn_reversed_or_dead(const char *where, sw_motor *motor) {
    sw_motor_warn(motor, SW_WARN_REVERSED_PHASE,
                  "the phase on %s is the wrong way round, or bridged, or that clip is on the star "
                  "point. Three equal ohms between the wires mean reversed: exchange that "
                  "phase's two ends before use",
                  where);
}

static const reason *likeliest(const reason *list, size_t count) {
    const reason *best = &list[0];
    for (size_t i = 1; i < count; i++)
        if (list[i].off < best->off)
            best = &list[i];
    return best;
}

static void warn_of_angle(const sw_live *v, sw_motor *motor) {
    double degrees = fabs(carg(v->ratio[1] / v->ratio[0])) * 180.0 / M_PI;
    sw_motor_warn(motor, SW_WARN_SHORTED_COIL,
                  "the two lines are %.1f degrees apart, not 60, which no channel's scale does: "
                  "bridged turns in one of the phases. Compare the ohms of the three pairs of "
                  "wires: the two that are lower share its wire",
                  degrees);
}

/* More than one phase fits: ohms decide. */
static void warn_either(const sw_live *v, const sw_winding_cause *found, sw_motor *motor) {
    char first[48];
    char second[48];
    int other = 0;
    for (int f = 2; f >= 0; f--)
        if (found->phase[f] && f + 1 != found->first)
            other = f + 1;
    name_phase(v, found->first, first, sizeof first);
    name_phase(v, other, second, sizeof second);
    sw_motor_warn(motor, SW_WARN_SHORTED_COIL,
                  "turns are bridged in the phase on %s or on %s%s. Read the ohms of the three "
                  "pairs of wires: the two pairs that are lower share the faulty phase's wire",
                  first, second, found->scale ? ", or a channel's scale is off" : "");
}

void sw_windings_two_lines_again(const sw_live *v, sw_motor *motor) {
    sw_winding_cause found;
    if (sw_motor_warned(motor, SW_WARN_REVERSED_PHASE) ||
        !sw_windings_by_coils(v, motor->slots, motor->pole_pairs.value, &found))
        return;
    sw_motor_unwarn(motor, SW_WARN_SHORTED_COIL);
    if (found.phases == 0 || found.lack < lacking)
        return;
    if (found.phases > 1) {
        warn_either(v, &found, motor);
        return;
    }
    char where[48];
    name_phase(v, found.first, where, sizeof where);
    warn_lacking(where, found.lack, found.scale, motor);
}

bool sw_windings_explained(const sw_live *v) {
    reason list[8];
    return explain(v->ratio[1] / v->ratio[0], v->u, list) > 0;
}

void sw_windings_two_lines(const sw_live *v, sw_motor *motor) {
    reason list[8];
    size_t count = explain(v->ratio[1] / v->ratio[0], v->u, list);
    char where[48];
    const reason *best = count > 0 ? likeliest(list, count) : NULL;
    if (best == NULL)
        warn_of_angle(v, motor);
    /* A scale: the line about the balance names that already. */
    if (best == NULL || best->phase == 0 || best->part > 1.0 - lacking)
        return;
    name_phase(v, best->phase, where, sizeof where);
    bool scale_too = false;
    for (size_t i = 0; i < count; i++)
        scale_too = scale_too || list[i].phase == 0;
    if (best->part < nothing)
        warn_reversed_or_dead(where, motor);
    else
        warn_lacking(where, 1.0 - best->part, scale_too, motor);
}

/* How far a phase is from the middle between the other two, turned by half a turn. */
static double moved(const sw_live *v, size_t i, double complex *middle) {
    double complex j = v->ratio[(i + 1) % 3];
    double complex k = v->ratio[(i + 2) % 3];
    *middle = -(j / cabs(j) + k / cabs(k));
    return fabs(carg(v->ratio[i] / *middle)) * 180.0 / M_PI;
}

void sw_windings_phases(const sw_live *v, sw_motor *motor) {
    for (size_t i = 0; i < 3 && v->count == 3; i++) {
        double complex middle;
        double first = cabs(v->ratio[(i + 1) % 3]);
        double second = cabs(v->ratio[(i + 2) % 3]);
        double others = 0.5 * (first + second);
        double lack = 1.0 - cabs(v->ratio[i]) / others;
        double tolerance = usual_off + 3.0 * v->u;
        if (lack < lacking || fabs(first - second) > tolerance * others)
            continue;
        char where[48];
        bool turned = moved(v, i, &middle) > moved_deg + 3.0 * v->u * 180.0 / M_PI;
        snprintf(where, sizeof where, "channel %zu", v->channel[i] + 1);
        warn_lacking(where, lack, !turned, motor);
        return;
    }
}

void sw_windings_reversed(size_t channel, sw_motor *motor) {
    sw_motor_warn(motor, SW_WARN_REVERSED_PHASE,
                  "channel %zu is the other way round than the others: swap its clips. If they "
                  "were on the right ends, that winding's two ends must change places before "
                  "the windings are joined",
                  channel + 1);
}

void sw_windings_dead(size_t channel, size_t others, sw_motor *motor) {
    sw_motor_warn(motor, SW_WARN_DEAD_PHASE,
                  "channel %zu: its clip is off, %sor that phase is broken. Ohms tell: no reading "
                  "from its wire to any other means broken, and the motor gives less than half",
                  channel + 1, others > 1 ? "" : "it is on the common ground's wire, ");
}
