#include "probes/simulate/wishes.h"

#include "probes/simulate/faults.h"
#include "probes/simulate/simulate.h"
#include "shared/number.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#define AT(member) offsetof(sw_sim_spec, member)
static const sw_sim_setting SETTINGS[] = {
    {"seconds", "s", 0.01, 3600, AT(spin.seconds), 1},
    {"lead_in", "s", 0, 60, AT(spin.lead_in_s), 1},
    {"speed", "rpm", 0.1, 60000, AT(spin.speed_rpm), 1},
    {"wobble", "1", 0, 0.5, AT(spin.wobble), 1},
    {"wobble_rate", "Hz", 0.01, 20, AT(spin.wobble_hz), 1},
    {"chuck_ripple", "1", 0, 0.3, AT(spin.turn_ripple), 1},
    {"gear_ripple", "1", 0, 0.3, AT(spin.gear_ripple[0]), 1},
    {"rate", "Hz", 100, 2e6, AT(front.rate_hz), 1},
    {"clock_error", "1", -0.05, 0.05, AT(front.clock_error), 1},
    {"volts_per_unit", "V", 1e-6, 1e5, AT(front.volts_per_unit), 1},
    {"level", "1", 1e-4, 100, AT(front.level), 1},
    {"input_resistance", "ohm", 1, 1e9, AT(front.input_ohm), 1},
    {"load_resistance", "ohm", 1e-3, 1e9, AT(front.load_ohm), 1},
    {"low_cut", "Hz", 0, 1000, AT(front.low_cut_hz), 1},
    {"linear_limit", "1", 0, 1, AT(front.linear_limit), 1},
    {"noise", "1", 0, 1, AT(front.noise), 1},
    {"hum", "1", 0, 1, AT(front.hum), 1},
    {"hum_frequency", "Hz", 1, 1000, AT(front.hum_hz), 1},
    {"offset", "1", -1, 1, AT(front.offset), 1},
    {"volts_per_hertz", "V/Hz", 1e-9, 1e4, AT(motor.volts_per_hertz), 1},
    {"magnet_spread", "1", 0, 0.2, AT(motor.strength_sd), 1},
    {"run_out", "1", 0, 0.5, AT(motor.runout), 1},
    {"weak_coil", "1", 0, 0.99, AT(motor.weak_coil), 1},
    {"winding_resistance", "ohm", 0, 1e6, AT(motor.resistance_ohm), 1},
    {"winding_inductance", "mH", 0, 1e6, AT(motor.inductance_h), 1e-3},
    {"drag_constant", "N m", 0, 1000, AT(motor.drag_constant_nm), 1},
    {"drag_linear", "N m s/rad", 0, 1000, AT(motor.drag_linear), 1},
    {"drag_quadratic", "N m s2/rad2", 0, 1000, AT(motor.drag_quadratic), 1},
    {"cogging_torque", "N m", 0, 1000, AT(motor.cogging_nm), 1},
    {"inertia", "kg m2", 1e-9, 1000, AT(motor.inertia_kgm2), 1},
};
static const sw_sim_switch SWITCHES[] = {
    {"backwards", AT(spin.backwards)},
    {"delta", AT(motor.delta)},
    {"isolated", AT(front.isolated)},
    {"swap", AT(front.swapped)},
    {"automatic_level", AT(front.automatic_level)},
    {"scope", AT(front.scope)},
    {"tach_sine", AT(front.tach_sine)},
};
#undef AT
enum {
    SETTING_COUNT = sizeof SETTINGS / sizeof *SETTINGS,
    SWITCH_COUNT = sizeof SWITCHES / sizeof *SWITCHES
};
_Static_assert((int)SETTING_COUNT <= (int)SW_SIM_QUANTITY_LIMIT, "room for every setting");
_Static_assert((int)SWITCH_COUNT <= (int)SW_SIM_FLAG_LIMIT, "room for every switch");

const char *const SW_SIM_COAST_WORDS[] = {"no", "free", "with-drill", NULL};
const char *const SW_SIM_BETWEEN_WORDS[] = {"automatic", "lines", "star-point", "windings", NULL};

enum { MOST_POLES = 400, MOST_MARKS = 100 };
static const double COAST_S = 4; /* how long a record goes on after letting go */
static const double HAND_RPM = 60;
static const double LARGEST_SEED = 4294967295.0;

const sw_sim_setting *sw_sim_setting_at(size_t index) {
    return index < SETTING_COUNT ? &SETTINGS[index] : NULL;
}

const sw_sim_switch *sw_sim_switch_at(size_t index) {
    return index < SWITCH_COUNT ? &SWITCHES[index] : NULL;
}

sw_sim_wishes sw_sim_wishes_none(void) {
    sw_sim_wishes wishes = {.seed = 1,
                            .bits = -1,
                            .coast = -1,
                            .between = -1,
                            .ramp_time = sw_quantity_unknown(),
                            .hold_time = sw_quantity_unknown()};
    for (size_t i = 0; i < SW_SIM_QUANTITY_LIMIT; i++)
        wishes.quantity[i] = sw_quantity_unknown();
    return wishes;
}

bool sw_sim_weak_magnet_parse(const char *text, sw_sim_wishes *wishes) {
    const char *colon = strchr(text, ':');
    double pole = 0;
    double left = 0;
    if (colon == NULL || !sw_number_parse(text, (size_t)(colon - text), '.', &pole) ||
        !sw_number_parse(colon + 1, strlen(colon + 1), '.', &left))
        return false;
    if (pole != floor(pole) || pole < 1 || pole > MOST_POLES || left < 0 || left > 2)
        return false;
    wishes->weak_magnet = (int)pole;
    wishes->weak_strength = left;
    return true;
}

/* ---- reading a document ---- */

static sw_status read_weak_magnet(const sw_node *top, sw_sim_wishes *wishes, sw_error *error) {
    const char *text = NULL;
    sw_status status = sw_node_text(top, "weak_magnet", &text, error);
    if (status == SW_OK && text != NULL && !sw_sim_weak_magnet_parse(text, wishes))
        return sw_node_fail(top, "weak_magnet", error, SW_VALUE,
                            "found \"%.40s\", expected for example \"5:0.6\" (the fifth pole "
                            "keeps 0.6 of its strength)",
                            text);
    return status;
}

static sw_status read_quantities(const sw_node *top, sw_sim_wishes *wishes, sw_error *error) {
    sw_status status = SW_OK;
    for (size_t i = 0; status == SW_OK && i < SETTING_COUNT; i++)
        status = sw_node_quantity_in(top, SETTINGS[i].key, SETTINGS[i].unit, SETTINGS[i].low,
                                     SETTINGS[i].high, &wishes->quantity[i], error);
    if (status == SW_OK)
        status = sw_node_quantity_in(top, "ramp_time", "s", 0, 600, &wishes->ramp_time, error);
    if (status == SW_OK)
        status = sw_node_quantity_in(top, "hold_time", "s", 0, 3600, &wishes->hold_time, error);
    return status;
}

static sw_status read_choices(const sw_node *top, sw_sim_wishes *wishes, sw_error *error) {
    double seed = (double)wishes->seed;
    sw_status status = sw_node_number(top, "seed", 0, LARGEST_SEED, &seed, error);
    if (status == SW_OK && seed != floor(seed))
        return sw_node_fail(top, "seed", error, SW_VALUE, "found %g, expected a whole number",
                            seed);
    wishes->seed = (unsigned long)seed;
    if (status == SW_OK)
        status = sw_node_integer(top, "channels", 1, SW_SIM_PHASE_LIMIT, &wishes->channels, error);
    if (status == SW_OK)
        status = sw_node_integer(top, "tach_marks", 0, MOST_MARKS, &wishes->tach_marks, error);
    if (status == SW_OK)
        status = read_weak_magnet(top, wishes, error);
    if (status == SW_OK)
        status = sw_node_integer(top, "bits", 0, 24, &wishes->bits, error);
    if (status == SW_OK)
        status = sw_node_word(top, "coast", SW_SIM_COAST_WORDS, &wishes->coast, error);
    if (status == SW_OK)
        status = sw_node_word(top, "between", SW_SIM_BETWEEN_WORDS, &wishes->between, error);
    if (status == SW_OK)
        status = sw_node_word(top, "fault", SW_SIM_FAULT_WORDS, &wishes->fault, error);
    for (size_t i = 0; status == SW_OK && i < SWITCH_COUNT; i++)
        status = sw_node_flag(top, SWITCHES[i].key, &wishes->flag[i], error);
    if (status == SW_OK)
        status = sw_node_flag(top, "hand", &wishes->hand, error);
    if (status == SW_OK)
        status = sw_node_flag(top, "clean", &wishes->clean, error);
    return status;
}

static sw_status read_family(const sw_node *top, sw_sim_wishes *wishes, sw_error *error) {
    const char *family = "";
    sw_status status = sw_node_text(top, "family", &family, error);
    if (status != SW_OK)
        return status;
    bool known = *family == '\0';
    for (size_t i = 0; !known && sw_sim_family_name(i) != NULL; i++)
        known = strcmp(sw_sim_family_name(i), family) == 0;
    if (!known)
        return sw_node_fail(top, "family", error, SW_VALUE,
                            "found \"%.40s\", expected a motor family such as drum-48; spinworth "
                            "simulate --list shows them",
                            family);
    snprintf(wishes->family, sizeof wishes->family, "%s", family);
    return SW_OK;
}

/* Every key that a document may have. */
static sw_status allow_keys(const sw_node *top, sw_error *error) {
    static const char *const OTHERS[] = {"document",  "version",    "note",        "family",
                                         "seed",      "channels",   "bits",        "coast",
                                         "between",   "clean",      "hand",        "ramp_time",
                                         "hold_time", "tach_marks", "weak_magnet", "fault"};
    enum { OTHER_COUNT = sizeof OTHERS / sizeof *OTHERS };
    const char *keys[OTHER_COUNT + SETTING_COUNT + SWITCH_COUNT + 1] = {NULL};
    size_t count = 0;
    for (size_t i = 0; i < OTHER_COUNT; i++)
        keys[count++] = OTHERS[i];
    for (size_t i = 0; i < SETTING_COUNT; i++)
        keys[count++] = SETTINGS[i].key;
    for (size_t i = 0; i < SWITCH_COUNT; i++)
        keys[count++] = SWITCHES[i].key;
    return sw_node_allow(top, keys, error);
}

sw_status sw_sim_wishes_read(const sw_node *top, sw_sim_wishes *wishes, sw_error *error) {
    const char *note = NULL;
    *wishes = sw_sim_wishes_none();
    sw_status status = sw_node_expect_document(top, "simulation", error);
    if (status == SW_OK)
        status = allow_keys(top, error);
    if (status == SW_OK)
        status = read_family(top, wishes, error);
    if (status == SW_OK)
        status = read_choices(top, wishes, error);
    if (status == SW_OK)
        status = read_quantities(top, wishes, error);
    if (status == SW_OK)
        status = sw_node_text(top, "note", &note, error);
    return status;
}

/* ---- putting wishes into a specification ---- */

static bool wished(const sw_sim_wishes *wishes, const char *key) {
    for (size_t i = 0; i < SETTING_COUNT; i++)
        if (strcmp(SETTINGS[i].key, key) == 0)
            return sw_quantity_known(wishes->quantity[i]);
    return false;
}

static void put_values(const sw_sim_wishes *wishes, sw_sim_spec *spec) {
    for (size_t i = 0; i < SETTING_COUNT; i++)
        if (sw_quantity_known(wishes->quantity[i]))
            *(double *)(void *)((char *)spec + SETTINGS[i].offset) =
                wishes->quantity[i].value * SETTINGS[i].factor;
    for (size_t i = 0; i < SWITCH_COUNT; i++)
        if (wishes->flag[i])
            *(bool *)(void *)((char *)spec + SWITCHES[i].offset) = true;
    spec->front.tach_marks = wishes->tach_marks;
    spec->motor.weak_magnet = wishes->weak_magnet;
    spec->motor.weak_strength = wishes->weak_strength;
    spec->motor.fault = (sw_sim_fault)wishes->fault;
    if (wishes->channels > 0)
        spec->front.channels = wishes->channels;
    if (wishes->bits >= 0)
        spec->front.bits = wishes->bits;
    if (wishes->coast >= 0)
        spec->spin.coast = (sw_sim_coast)wishes->coast;
    if (wishes->between >= 0)
        spec->front.between = (sw_sim_between)wishes->between;
    /* A scope passes steady volts, unless a low cut was asked for. */
    if (spec->front.scope && !wished(wishes, "low_cut"))
        spec->front.low_cut_hz = 0;
    /* A level asked for sets the scale, unless the scale was asked for too. */
    if (wished(wishes, "level") && !wished(wishes, "volts_per_unit"))
        spec->front.volts_per_unit = 0;
}

static double ramp_seconds(const sw_sim_spin *spin) {
    return spin->ramp_rpm_per_s > 0 ? spin->speed_rpm / spin->ramp_rpm_per_s : 0;
}

/* A short record: the spin gets going within its first half. */
static void hurry(const sw_sim_wishes *wishes, sw_sim_spin *spin) {
    double half_s = spin->seconds / 2;
    if (spin->lead_in_s + ramp_seconds(spin) <= half_s)
        return;
    if (!wished(wishes, "lead_in"))
        spin->lead_in_s = fmin(spin->lead_in_s, half_s / 4);
    double left_s = half_s - spin->lead_in_s;
    if (left_s > 0 && spin->ramp_rpm_per_s > 0)
        spin->ramp_rpm_per_s = fmax(spin->ramp_rpm_per_s, spin->speed_rpm / left_s);
}

/* A resistor across two wires leaves one pair to record, and a shaft that is let go would stop at
 * once: where nothing else was wished, that is meant. */
static sw_status fit_load(const sw_sim_wishes *wishes, sw_sim_spec *spec, sw_error *error) {
    if (!wished(wishes, "load_resistance"))
        return SW_OK;
    bool star = wishes->between == SW_SIM_BETWEEN_STAR_POINT;
    if (wishes->channels > 1 || wishes->coast > (int)SW_SIM_COAST_NO || star)
        return sw_fail(error, SW_VALUE,
                       "a load resistance lies across the one pair of lines that is recorded, on "
                       "a shaft that is held; found%s%s%s expected --channels 1 --coast no "
                       "(meant by itself when not said)",
                       wishes->channels > 1 ? " more channels," : "",
                       wishes->coast > (int)SW_SIM_COAST_NO ? " a coast," : "",
                       star ? " the star point," : "");
    spec->front.channels = 1;
    spec->spin.coast = SW_SIM_COAST_NO;
    if (spec->front.between == SW_SIM_BETWEEN_STAR_POINT)
        spec->front.between = SW_SIM_BETWEEN_AUTOMATIC;
    return SW_OK;
}

/* Lead-in, ramp, hold, coast: what was asked for stands, the rest follows. */
static sw_status fit_times(const sw_sim_wishes *wishes, double drawn_hold_s, sw_sim_spec *spec,
                           sw_error *error) {
    sw_sim_spin *spin = &spec->spin;
    bool coasts = spin->coast != SW_SIM_COAST_NO;
    if (sw_quantity_known(wishes->ramp_time))
        spin->ramp_rpm_per_s =
            wishes->ramp_time.value > 0 ? spin->speed_rpm / wishes->ramp_time.value : 0;
    if (spin->ramp_rpm_per_s <= 0 && !wished(wishes, "lead_in"))
        spin->lead_in_s = 0;
    if (wished(wishes, "seconds") && !sw_quantity_known(wishes->ramp_time))
        hurry(wishes, spin);
    double steady_s = spin->lead_in_s + ramp_seconds(spin);
    double hold_s = sw_quantity_known(wishes->hold_time) ? wishes->hold_time.value : drawn_hold_s;
    if (!wished(wishes, "seconds"))
        spin->seconds = steady_s + hold_s + (coasts ? COAST_S : 0);
    else if (!sw_quantity_known(wishes->hold_time) && coasts)
        hold_s = fmin(hold_s, (spin->seconds - steady_s) / 2);
    spin->release_s = steady_s + hold_s;
    if (spin->seconds < steady_s || (coasts && spin->release_s >= spin->seconds))
        return sw_fail(error, SW_VALUE,
                       "the record of %.3g s ends before %s; more seconds, or a shorter lead-in, "
                       "ramp or hold, are needed",
                       spin->seconds, coasts ? "the shaft is let go" : "the speed is reached");
    return SW_OK;
}

sw_status sw_sim_wishes_apply(const sw_sim_wishes *wishes, sw_sim_spec *spec, sw_error *error) {
    const char *family = *wishes->family != '\0' ? wishes->family : NULL;
    sw_status status = sw_sim_family(family, wishes->seed, spec, error);
    if (status != SW_OK)
        return status;
    double hold_s = spec->spin.release_s - spec->spin.lead_in_s - ramp_seconds(&spec->spin);
    if (wishes->clean) {
        sw_sim_idealise(spec);
        spec->front.volts_per_unit = 0; /* chosen to suit the level */
        spec->front.level = 0.5;
        spec->front.bits = 24;
    }
    if (wishes->hand)
        sw_sim_turn_by_hand(spec, HAND_RPM);
    put_values(wishes, spec);
    status = fit_load(wishes, spec, error);
    return status == SW_OK ? fit_times(wishes, hold_s, spec, error) : status;
}
