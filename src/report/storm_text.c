#include "src/report/storm_text.h"

#include "shared/constants.h"
#include "shared/json_write.h"
#include "src/report/say.h"

#include <math.h>
#include <stdio.h>

static void say_storm_rows(const sw_match *match, bool us, sw_text *text) {
    sw_text_add(text, "\nWith the load lost%s\n",
                match->load.kind == SW_LOAD_BATTERY ? " (battery full, fuse blown)" : "");
    sw_text_add(text, "  %-10s %10s %12s %10s %8s %8s\n", "wind", "rotor rpm", "motor rpm", "rim",
                "V AC", "V DC");
    for (size_t i = 0; i < SW_STORM_ROWS; i++) {
        const sw_storm_row *it = &match->storm.row[i];
        sw_said wind = sw_say_value(us, it->wind_m_s, "m/s");
        sw_said rim = sw_say_value(us, it->rim_m_s, "m/s");
        sw_text_add(text, "  %-10s %10.0f %12s %10s %8.0f %8.0f\n", wind.text,
                    it->rotor_rad_s * SW_RPM_PER_RAD_S,
                    sw_say_value(us, it->generator_rpm, "1").text, rim.text, it->ac_v, it->dc_v);
    }
}

static void say_vane(const sw_match *match, bool us, sw_text *text) {
    const sw_vane_storm *vane = &match->vane;
    sw_text_paragraph(text, 2,
                      "  At %s the wind pushes on the whole rotor with about %s while it stands "
                      "still; turning, it may be more. Whether mast and guys bear "
                      "that is not worked out here.",
                      sw_say_value(us, vane->wind_m_s, "m/s").text,
                      sw_say_value(us, vane->parked_n, "N").text);
    if (!isfinite(vane->wind_n))
        return;
    sw_text line = {0};
    sw_text_add(&line, "At %s the wind pushes on one vane with %s",
                sw_say_value(us, vane->wind_m_s, "m/s").text,
                sw_say_value(us, vane->wind_n, "N").text);
    if (isfinite(vane->pull_n))
        sw_text_add(&line,
                    ", and its own mass pulls outward at its fixings with %s (%s on a scale)",
                    sw_say_value(us, vane->pull_n, "N").text, sw_say_scale(us, vane->pull_n).text);
    sw_text_paragraph(text, 2, "  %s. Whether the fixings bear that is not worked out here.",
                      sw_text_string(&line));
    sw_text_carry(&line, text);
}

/* What becomes of a rotor that runs away when the wires are shorted. */
static void stop_said(const sw_brake_stop *stop, char *out, size_t room) {
    double rpm = stop->end_rad_s * SW_RPM_PER_RAD_S;
    if (stop->stops)
        snprintf(out, room, "stops in %s", sw_say_value(false, stop->seconds, "s").text);
    else
        snprintf(out, room, "goes on, %.0f rpm", rpm);
}

/* A rise of temperature as the reader's thermometer shows it: "32 \u00b0C", whole degrees, upward.
 */
static sw_said degrees(bool us, double kelvin) {
    sw_said said;
    snprintf(said.text, sizeof said.text, "%.0f \u00b0%s", ceil(us ? 1.8 * kelvin : kelvin),
             us ? "F" : "C");
    return said;
}

/* K, and K a minute: no insulation bears more. */
static const double BURNS_K = 500;

static void heat_said(bool us, const sw_brake_stop *stop, char *out, size_t room) {
    if ((stop->stops ? stop->rise_k : stop->steady_k_min) > BURNS_K)
        snprintf(out, room, "burn at once");
    else if (stop->stops)
        snprintf(out, room, "%s warmer", degrees(us, stop->rise_k).text);
    else
        snprintf(out, room, "%s a minute", degrees(us, stop->steady_k_min).text);
}

static void say_brake_rows(const sw_match *match, bool us, sw_text *text) {
    const sw_braking *braking = &match->braking;
    sw_text_add(text, "\nWith the motor's own wires shorted (on its side of the rectifier)\n");
    sw_text_add(text, "  %-7s %11s %11s %9s  %-18s %s\n", "wind", "rotor pulls", "short holds",
                "standing", "running away", "windings");
    for (size_t i = 0; i < SW_STORM_ROWS; i++) {
        const sw_storm_row *it = &match->storm.row[i];
        char stop[100];
        char heat[100];
        stop_said(&braking->row[i], stop, sizeof stop);
        heat_said(us, &braking->row[i], heat, sizeof heat);
        sw_text_add(text, "  %-7s %11s %11s %9s  %-18s %s\n",
                    sw_say_value(us, it->wind_m_s, "m/s").text,
                    sw_say_value(us, it->rotor_peak_nm, "N m").text,
                    sw_say_value(us, braking->short_nm[i], "N m").text,
                    it->brake_holds ? "held" : "not held", stop, heat);
    }
}

/* Until the copper of a short that does not stop the rotor has gained 70 K, no heat given off. */
static double seconds_to_burn(const sw_brake_stop *turning) {
    return 60 * 70 / turning->steady_k_min;
}

static void say_burning(const sw_match *match, bool us, sw_text *text) {
    const sw_brake_stop *turning = &match->braking.row[SW_STORM_ROWS - 1];
    if (!turning->stops && turning->steady_k_min > 0)
        sw_text_paragraph(text, 2,
                          "  In the strongest of these winds, turning on, it gains that in about "
                          "%s.",
                          sw_say_value(us, seconds_to_burn(turning), "s").text);
}

static void say_brake_basis(const sw_match *match, bool us, sw_text *text) {
    const sw_braking *braking = &match->braking;
    sw_text_paragraph(text, 2,
                      "  Counted with a rotor of %s (inertia, how hard it is to stop%s) and %s of "
                      "copper%s. Copper that gains more than about %s in a warm motor may burn.",
                      sw_say_value(us, braking->inertia_kg_m2, "kg m2").text,
                      braking->inertia_guessed ? "; a guess, it may be half or twice that" : "",
                      sw_say_value(us, braking->copper_kg, "kg").text,
                      braking->copper_guessed ? " (a guess)" : "", degrees(us, 70).text);
    say_burning(match, us, text);
    if (match->plant.drive.kind->pressed)
        sw_text_paragraph(text, 2,
                          "  The wheel on the rim slips before it passes on more than "
                          "%s, wet.",
                          sw_say_value(us, match->storm.grip_rotor_nm, "N m").text);
}

static void say_resistor(const sw_braking *braking, bool us, sw_text *text) {
    if (!braking->resistor_helps)
        return;
    sw_text_paragraph(
        text, 2,
        "  A resistor of about %s in each wire first (%.0f W for all, for some "
        "seconds), then the short, stops it in the storm: in %s, windings %s "
        "warmer.",
        sw_say_value(false, braking->resistor_ohm, "ohm").text, ceil(braking->resistor_w / 10) * 10,
        sw_say_value(false, braking->both_s, "s").text, degrees(us, braking->both_rise_k).text);
}

/* By what the magnets are made of. */
static void say_magnets(const sw_match *match, bool us, sw_text *text) {
    static const char *const WORDS[SW_MAGNET_COUNT] = {
        [SW_MAGNET_UNKNOWN] = "That can weaken ferrite magnets when they are cold, neodymium "
                              "magnets when they are hot and alnico magnets at any time",
        [SW_MAGNET_FERRITE] = "Ferrite magnets bear least of that when they are cold",
        [SW_MAGNET_NEODYMIUM] = "Neodymium magnets bear it when they are cool, and least when they "
                                "are hot",
        [SW_MAGNET_SAMARIUM_COBALT] = "Samarium-cobalt magnets bear more of that than any other",
        [SW_MAGNET_ALNICO] = "Alnico magnets are weakened by a short at almost any speed: do not "
                             "short this motor, brake it otherwise"};
    const sw_magnet_risk *magnets = &match->magnets;
    sw_text line = {0};
    sw_text_add(&line, "%s", WORDS[magnets->kind]);
    if (magnets->kind != SW_MAGNET_UNKNOWN && magnets->kind != SW_MAGNET_ALNICO)
        sw_text_add(&line, " (at %s as little as %.0f %% of what they bear indoors)",
                    sw_say_value(us, magnets->worst_degc, "degC").text,
                    100 * magnets->coercivity_left);
    if (magnets->kind != SW_MAGNET_ALNICO)
        sw_text_add(&line, ": short it before it runs fast");
    sw_text_paragraph(text, 2,
                      "  A short made while it turns fast lets up to %s through for a moment. %s. "
                      "Afterwards it should still give the same volts a turn. The field in the "
                      "magnets is not worked out: that needs their "
                      "thickness and the turns in a slot.",
                      sw_say_value(false, match->storm.brake.transient_a, "A").text,
                      sw_text_string(&line));
    sw_text_carry(&line, text);
}

static void say_brake(const sw_match *match, bool us, sw_text *text) {
    const sw_brake *brake = &match->storm.brake;
    if (!brake->known || !brake->inductance_known)
        return;
    say_brake_rows(match, us, text);
    say_brake_basis(match, us, text);
    say_resistor(&match->braking, us, text);
    if (isfinite(brake->transient_a))
        say_magnets(match, us, text);
}

void sw_storm_text(const sw_match *match, bool us, sw_text *text) {
    say_storm_rows(match, us, text);
    say_vane(match, us, text);
    say_brake(match, us, text);
}

static void add_value(cJSON *object, const char *key, double value, const char *unit) {
    sw_json_add_quantity(object, key, sw_quantity_of(value, NAN, unit));
}

static void add_braking(cJSON *storm, const sw_match *match) {
    const sw_braking *braking = &match->braking;
    if (!braking->known)
        return;
    cJSON *it = cJSON_AddObjectToObject(storm, "braking");
    cJSON *guessed = cJSON_CreateArray();
    add_value(it, "inertia", braking->inertia_kg_m2, "kg m2");
    add_value(it, "copper_mass", braking->copper_kg, "kg");
    if (braking->inertia_guessed)
        cJSON_AddItemToArray(guessed, cJSON_CreateString("inertia"));
    if (braking->copper_guessed)
        cJSON_AddItemToArray(guessed, cJSON_CreateString("copper_mass"));
    cJSON_AddItemToObject(it, "guessed", guessed);
    sw_json_add_text(it, "magnet_kind", sw_magnet_kind_name(match->magnets.kind));
    if (match->magnets.kind == SW_MAGNET_UNKNOWN)
        sw_json_add_unknown(it, "magnet_kind", "not said; told as for ferrite");
    add_value(it, "magnets_worst_at", match->magnets.worst_degc, "degC");
    sw_json_add_number(it, "magnets_coercivity_left", match->magnets.coercivity_left);
    const sw_brake_stop *turning = &braking->row[SW_STORM_ROWS - 1];
    if (!turning->stops && turning->steady_k_min > 0)
        add_value(it, "seconds_to_70_k", seconds_to_burn(turning), "s");
    add_value(it, "stops_up_to", braking->least_wind_stopped, "m/s");
    cJSON_AddBoolToObject(it, "resistor_helps", braking->resistor_helps);
    if (!braking->resistor_helps)
        return;
    add_value(it, "resistor", braking->resistor_ohm, "ohm");
    add_value(it, "resistor_power", braking->resistor_w, "W");
    add_value(it, "resistor_time", braking->both_s, "s");
    add_value(it, "resistor_winding_rise", braking->both_rise_k, "K");
}

static cJSON *storm_row(const sw_match *match, size_t i) {
    const sw_storm *storm = &match->storm;
    const sw_brake_stop *stop = &match->braking.row[i];
    const sw_storm_row *it = &storm->row[i];
    cJSON *row = cJSON_CreateObject();
    sw_json_add_number(row, "wind", it->wind_m_s);
    sw_json_add_number(row, "rotor_speed", it->rotor_rad_s * SW_RPM_PER_RAD_S);
    sw_json_add_number(row, "generator_speed", it->generator_rpm);
    sw_json_add_number(row, "rim_speed", it->rim_m_s);
    sw_json_add_number(row, "ac_voltage", it->ac_v);
    sw_json_add_number(row, "dc_voltage", it->dc_v);
    sw_json_add_number(row, "rotor_torque", it->rotor_peak_nm);
    if (storm->brake.known) {
        cJSON_AddBoolToObject(row, "short_holds", it->brake_holds);
        cJSON_AddBoolToObject(row, "short_stops", stop->stops);
        sw_json_add_number(row, "short_torque", match->braking.short_nm[i]);
        sw_json_add_number(row, "short_ends_at", stop->end_rad_s * SW_RPM_PER_RAD_S);
        sw_json_add_number(row, "short_time", stop->seconds);
        sw_json_add_number(row, "winding_rise", stop->rise_k);
        sw_json_add_number(row, "winding_rise_rate", stop->steady_k_min);
    }
    return row;
}

static void add_storm_brake(cJSON *storm, const sw_brake *brake) {
    add_value(storm, "brake_torque_peak", brake->peak_nm, "N m");
    add_value(storm, "brake_peak_speed", brake->peak_rpm, "rpm");
    add_value(storm, "short_current", brake->transient_a, "A");
    if (isfinite(brake->peak_nm))
        return;
    sw_json_add_unknown(storm, "brake_torque_peak", "winding inductance not known");
    sw_json_add_unknown(storm, "brake_peak_speed", "winding inductance not known");
    sw_json_add_unknown(storm, "short_current", "winding inductance not known");
}

cJSON *sw_storm_to_json(const sw_match *match) {
    const sw_storm *it = &match->storm;
    const sw_storm_row *worst = &it->row[it->site_row];
    cJSON *storm = cJSON_CreateObject();
    add_value(storm, "wind", worst->wind_m_s, "m/s");
    add_value(storm, "rotor_speed", worst->rotor_rad_s * SW_RPM_PER_RAD_S, "rpm");
    add_value(storm, "generator_speed", worst->generator_rpm, "rpm");
    add_value(storm, "rim_speed", worst->rim_m_s, "m/s");
    add_value(storm, "ac_voltage", worst->ac_v, "V");
    add_value(storm, "dc_voltage", worst->dc_v, "V");
    add_value(storm, "rotor_torque_peak", it->rotor_peak_nm, "N m");
    add_value(storm, "parked_wind_force", match->vane.parked_n, "N");
    add_value(storm, "vane_wind_force", match->vane.wind_n, "N");
    add_value(storm, "vane_pull", match->vane.pull_n, "N");
    if (!isfinite(match->vane.wind_n))
        sw_json_add_unknown(storm, "vane_wind_force", "size and drag of a vane are not known");
    if (!isfinite(match->vane.pull_n))
        sw_json_add_unknown(storm, "vane_pull", "mass or arm of a vane is not known");
    add_value(storm, "grip_at_rotor", it->grip_rotor_nm, "N m");
    if (!isfinite(it->grip_rotor_nm))
        sw_json_add_unknown(storm, "grip_at_rotor", "no pressed wheel");
    add_value(storm, "turning_energy", it->turning_energy_j / 3600, "Wh");
    if (!isfinite(it->turning_energy_j))
        sw_json_add_unknown(storm, "turning_energy", "the rotor's inertia is not known");
    add_storm_brake(storm, &it->brake);
    add_braking(storm, match);
    cJSON_AddBoolToObject(storm, "brake_trusted", match->sheet.brake_trusted);
    cJSON *units = cJSON_AddObjectToObject(storm, "units");
    cJSON_AddStringToObject(units, "wind", "m/s");
    cJSON_AddStringToObject(units, "rotor_speed", "rpm");
    cJSON_AddStringToObject(units, "generator_speed", "rpm");
    cJSON_AddStringToObject(units, "rim_speed", "m/s");
    cJSON_AddStringToObject(units, "ac_voltage", "V");
    cJSON_AddStringToObject(units, "dc_voltage", "V");
    cJSON_AddStringToObject(units, "rotor_torque", "N m");
    cJSON_AddStringToObject(units, "short_torque", "N m");
    cJSON_AddStringToObject(units, "short_ends_at", "rpm");
    cJSON_AddStringToObject(units, "short_time", "s");
    cJSON_AddStringToObject(units, "winding_rise", "K");
    cJSON_AddStringToObject(units, "winding_rise_rate", "K/min");
    cJSON *list = cJSON_AddArrayToObject(storm, "list");
    for (size_t i = 0; i < SW_STORM_ROWS; i++)
        cJSON_AddItemToArray(list, storm_row(match, i));
    return storm;
}
