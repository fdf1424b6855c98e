/* Sentences about pole pairs. */
#include "src/measure/poles/poles_parts.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const double TOLD_LEAST = 2.0;  /* log likelihood ratio worth a sentence */
static const double IN_PLACE = 3.0;    /* standard uncertainties */
static const double STILL_OPEN = 0.03; /* probability of a candidate worth telling apart */
static const double ABOUT_RATIO = 1.5; /* candidates that a speed known to 20 % tells apart */
static const double TURNS_U = 0.25;
static const double TURNS_DOUBT = 0.3; /* pole pairs */

/* How advice begins. */
static const char ROUGH_WOULD[] = "A rough speed would decide";
static const char TO_DECIDE[] = "To decide, count";

void sw_poles_say(sw_pole_pairs *result, const char *format, ...) {
    if (result->evidences >= SW_MOTOR_EVIDENCE_LIMIT)
        return;
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(result->evidence[result->evidences++], SW_MOTOR_TEXT_ROOM, format, arguments);
    va_end(arguments);
}

/* Is there a line at m/period for an m in 1 .. orders? */
static bool has_line(const sw_stray_lines *lines, int period, int orders) {
    for (size_t i = 0; i < lines->count; i++) {
        double order = lines->frequency[i] * period;
        double deviation = fabs(order - round(order)) / period / lines->frequency_u[i];
        if (round(order) >= 1.0 && round(order) <= orders && deviation < IN_PLACE)
            return true;
    }
    return false;
}

void sw_poles_say_pattern(const sw_stray_lines *lines, int p, int t, double gain, double repeat,
                          sw_pole_pairs *result) {
    int period = p / t;
    bool told = false;
    if (repeat >= TOLD_LEAST && t == 1 && p > 1) {
        sw_poles_say(result,
                     "The wave repeats every %d cycles: magnets that differ show once a turn.", p);
        told = true;
    } else if (repeat >= TOLD_LEAST && period > 1) {
        sw_poles_say(result,
                     "The wave repeats every %d cycles, as it does where the winding sees a turn "
                     "of %d pole pairs as %d like parts.",
                     period, p, t);
        told = true;
    }
    if (gain >= TOLD_LEAST && p > 1 && has_line(lines, p, 2)) {
        sw_poles_say(result, "The speed ripples with the turn of %d cycles.", p);
        told = true;
    }
    if (!told)
        sw_poles_say(result, "No pattern of a shaft turn stands out of the noise.");
}

void sw_poles_say_short(size_t cycles, sw_pole_pairs *result) {
    if (cycles == 0)
        return;
    sw_poles_say(result, "%zu cycles are too few to see a turn of the shaft repeat in them.",
                 cycles);
}

/* Ratio of the two neighbouring candidates that are closest. */
static double closest_ratio(const sw_pole_pairs *result) {
    double closest = INFINITY;
    for (size_t i = 0; i < result->candidates; i++) {
        for (size_t j = 0; j < i; j++) {
            double a = result->candidate[i].pole_pairs;
            double b = result->candidate[j].pole_pairs;
            if (result->candidate[i].probability >= STILL_OPEN)
                closest = fmin(closest, fmax(a, b) / fmin(a, b));
        }
    }
    return closest;
}

void sw_poles_say_next(const sw_speed_evidence *evidence, sw_pole_pairs *result) {
    if (result->value != 0)
        return;
    if (result->evidences >= SW_MOTOR_EVIDENCE_LIMIT)
        result->evidences = SW_MOTOR_EVIDENCE_LIMIT - 1; /* this one matters most */
    bool rough = evidence->about_rpm > 0.0 || evidence->speed.value > 0.0;
    if (!rough && closest_ratio(result) >= ABOUT_RATIO) {
        sw_poles_say(result, "%s, right within a fifth (--about).", ROUGH_WOULD);
        return;
    }
    double highest = 1.0;
    for (size_t i = 0; i < result->candidates; i++) {
        if (result->candidate[i].probability >= STILL_OPEN)
            highest = fmax(highest, result->candidate[i].pole_pairs);
    }
    /* p u / turns <= doubt */
    sw_poles_say(result,
                 "%s the turns while recording (--turns), at least %.0f of them; or "
                 "the magnets, where they can be seen (--magnets).",
                 TO_DECIDE, ceil(highest * TURNS_U / TURNS_DOUBT));
}

static bool begins(const char *sentence, const char *with) {
    return strncmp(sentence, with, strlen(with)) == 0;
}

void sw_poles_unsay_next(sw_pole_pairs *result) {
    size_t kept = 0;
    for (size_t i = 0; i < result->evidences; i++) {
        const char *sentence = result->evidence[i];
        if (begins(sentence, ROUGH_WOULD) || begins(sentence, TO_DECIDE))
            continue;
        memmove(result->evidence[kept++], sentence, sizeof result->evidence[i]);
    }
    result->evidences = kept;
}
