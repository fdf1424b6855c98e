#include "src/report/claim_text.h"

#include "shared/constants.h"
#include "shared/json_write.h"
#include "src/report/say.h"

#include <math.h>

static sw_said watts(double value) {
    return sw_say_value(false, value, "W");
}

static sw_said amps(double value) {
    return sw_say_value(false, value, "A");
}

static void say_title(const sw_claim_finding *it, sw_text *text) {
    sw_text_add(text, "\nThe plate's claim: %s", watts(it->claim.power_w).text);
    if (isfinite(it->claim.speed_rpm))
        sw_text_add(text, " at %.0f rpm", it->claim.speed_rpm);
    sw_text_add(text, "\n");
}

/* Only the upper bound reaches the claim. */
static bool may_hold(const sw_claim_finding *it) {
    return it->delivered_known && it->at_most &&
           sw_claim_power_w(&it->delivered) >= it->claim.power_w;
}

static void say_delivered(const sw_claim_finding *it, sw_text *text) {
    const sw_operating_point *point = &it->delivered;
    double power_w = sw_claim_power_w(point);
    if (!it->delivered_known)
        return;
    sw_text line = {0};
    bool open = may_hold(it);
    sw_text_add(&line, "%s at that speed this winding %s %s (%s)",
                open       ? "It cannot be said:"
                : it->kept ? "It holds:"
                           : "It does not hold here:",
                open       ? "gives at most"
                : it->kept ? "would give"
                           : "gives",
                watts(power_w).text, amps(point->dc_current_a).text);
    if (!it->kept && !open)
        sw_text_add(&line, ", %.0f %% of the claim", 100 * power_w / it->claim.power_w);
    if (power_w > 0)
        sw_text_add(&line, ", with %s of heat in it", watts(point->copper_loss_w).text);
    sw_text_paragraph(text, 4, "  - %s.", sw_text_string(&line));
    sw_text_carry(&line, text);
    if (it->at_most && power_w > 0)
        sw_text_paragraph(text, 4,
                          "  - Its inductance is not measured, so that is the most it can be; the "
                          "real output may be a small part of it.");
}

static void say_needed(const sw_claim_finding *it, sw_text *text) {
    const sw_operating_point *need = &it->needed;
    if (!it->reached) {
        sw_text_paragraph(text, 4,
                          "  - No speed up to %s gives %s into this load: the winding's own "
                          "resistance and inductance hold the current down.",
                          sw_say_value(false, it->tried_rpm, "rpm").text,
                          watts(it->claim.power_w).text);
        return;
    }
    sw_text_paragraph(text, 4,
                      "  - %s really need %s%s and %s at the shaft: %s to the load, %s in the "
                      "winding, which makes %s of heat there.",
                      watts(it->claim.power_w).text, it->at_most ? "at least " : "",
                      sw_say_value(false, need->speed_rpm, "rpm").text,
                      watts(need->shaft_power_w).text, amps(need->dc_current_a).text,
                      amps(need->phase_current_rms_a).text, watts(need->copper_loss_w).text);
}

static void say_heat(const sw_claim_finding *it, sw_text *text) {
    if (!it->heat.known) {
        sw_text_paragraph(
            text, 4,
            "  - How much heat this winding may take is not known: after 20 minutes a "
            "motor too hot to keep a hand on, or a smell of varnish, is too much.");
        return;
    }
    sw_text_paragraph(text, 4,
                      "  - Hot, that is %s of heat; a motor of this size sheds between %s and %s, "
                      "depending on how it stands%s.",
                      watts(it->hot_w).text, watts(it->heat.low_w).text,
                      watts(it->heat.high_w).text,
                      it->winding_bears == SW_NO    ? ": not for long"
                      : it->hot_w <= it->heat.low_w ? "; feel it all the same after 20 minutes"
                                                    : ": feel it after 20 minutes, it may be too "
                                                      "much");
}

static void say_limits(const sw_claim_finding *it, sw_text *text) {
    if (it->winding_bears == SW_YES)
        sw_text_paragraph(text, 4, "  - That current is within the winding's stated limit.");
    else if (it->current_stated)
        sw_text_paragraph(text, 4, "  - The winding does not bear that current for long.");
    else
        say_heat(it, text);
    if (it->speed_borne == SW_NO)
        sw_text_paragraph(text, 4, "  - The motor must not turn that fast.");
}

static void say_driven(const sw_claim_finding *it, bool us, sw_text *text) {
    if (!it->driven)
        return;
    const char *turn = "With the recommended drive the rotor must turn at";
    double rotor_rpm = it->rotor_rad_s * SW_RPM_PER_RAD_S;
    sw_said torque = sw_say_value(us, it->rotor_nm, "N m");
    if (!isfinite(it->wind_m_s))
        sw_text_paragraph(text, 4, "  - %s %.0f rpm with %s, which no wind up to 45 m/s gives.",
                          turn, rotor_rpm, torque.text);
    else if (it->rotor_gets == SW_YES)
        sw_text_paragraph(text, 4,
                          "  - %s %.0f rpm with %s; that takes a wind of %s, which blows some %.0f "
                          "hours a year here.",
                          turn, rotor_rpm, torque.text, sw_say_value(us, it->wind_m_s, "m/s").text,
                          it->hours);
    else
        sw_text_paragraph(text, 4,
                          "  - %s %.0f rpm with %s; that takes a wind of %s, which hardly ever "
                          "blows here.",
                          turn, rotor_rpm, torque.text, sw_say_value(us, it->wind_m_s, "m/s").text);
    if (it->wheel_grips == SW_NO)
        sw_text_paragraph(text, 4, "  - The wheel on the rim slips before that when wet.");
}

void sw_claim_text(const sw_claim_finding *finding, bool us, sw_text *text) {
    say_title(finding, text);
    say_delivered(finding, text);
    say_needed(finding, text);
    if (!finding->reached && finding->delivered_known && !finding->current_stated)
        say_heat(finding, text);
    if (!finding->reached)
        return;
    say_limits(finding, text);
    say_driven(finding, us, text);
}

static void add_value(cJSON *object, const char *key, double value, const char *unit,
                      const char *why) {
    sw_json_add_quantity(object, key, sw_quantity_of(value, NAN, unit));
    if (!isfinite(value))
        sw_json_add_unknown(object, key, why);
}

static void add_answer(cJSON *object, const char *key, sw_answer answer, const char *why) {
    if (answer != SW_NOT_SAID) {
        cJSON_AddBoolToObject(object, key, answer == SW_YES);
        return;
    }
    cJSON_AddNullToObject(object, key);
    sw_json_add_unknown(object, key, why);
}

static void add_heat(cJSON *it, const sw_winding_heat *heat) {
    static const char SIZE[] =
        "the motor's size or weight is not known, or the watts are not given";
    add_value(it, "heat_shed_least", heat->known ? heat->low_w : NAN, "W", SIZE);
    add_value(it, "heat_shed_most", heat->known ? heat->high_w : NAN, "W", SIZE);
}

static void add_needed(cJSON *it, const sw_claim_finding *finding) {
    static const char WHY[] = "no speed gives the claimed watts into this load";
    const sw_operating_point *need = &finding->needed;
    bool reached = finding->reached;
    add_value(it, "needed_speed", reached ? need->speed_rpm : NAN, "rpm", WHY);
    add_value(it, "needed_current", reached ? need->dc_current_a : NAN, "A", WHY);
    add_value(it, "winding_current", reached ? need->phase_current_rms_a : NAN, "A", WHY);
    add_value(it, "winding_heat", reached ? need->copper_loss_w : NAN, "W", WHY);
    add_value(it, "winding_heat_hot", reached ? finding->hot_w : NAN, "W", WHY);
    add_heat(it, &finding->heat);
    add_value(it, "shaft_power", reached ? need->shaft_power_w : NAN, "W", WHY);
    add_value(it, "shaft_torque", reached ? need->shaft_torque_nm : NAN, "N m", WHY);
}

static void add_driven(cJSON *it, const sw_claim_finding *finding) {
    static const char WHY[] = "no drive is recommended, or no speed gives the claimed watts";
    bool driven = finding->driven;
    add_value(it, "rotor_speed", driven ? finding->rotor_rad_s * SW_RPM_PER_RAD_S : NAN, "rpm",
              WHY);
    add_value(it, "rotor_torque", driven ? finding->rotor_nm : NAN, "N m", WHY);
    add_value(it, "wind", driven ? finding->wind_m_s : NAN, "m/s",
              driven ? "no wind up to 45 m/s gives it" : WHY);
    add_value(it, "hours_a_year", driven ? finding->hours : NAN, "h", WHY);
    add_answer(it, "rotor_gets_there", finding->rotor_gets, WHY);
    add_answer(it, "wheel_grips", finding->wheel_grips,
               driven ? "nothing is pressed on in this drive" : WHY);
}

cJSON *sw_claim_to_json(const sw_claim_finding *finding) {
    bool known = finding->delivered_known;
    double delivered_w = known ? sw_claim_power_w(&finding->delivered) : NAN;
    cJSON *it = cJSON_CreateObject();
    add_value(it, "power", finding->claim.power_w, "W", "");
    add_value(it, "speed", finding->claim.speed_rpm, "rpm", "not said");
    add_value(it, "delivered_power", delivered_w, "W", "the claim has no speed");
    add_value(it, "delivered_current", known ? finding->delivered.dc_current_a : NAN, "A",
              "the claim has no speed");
    add_answer(it, "kept",
               !known || may_hold(finding) ? SW_NOT_SAID
               : finding->kept             ? SW_YES
                                           : SW_NO,
               known ? "the inductance is not known, and without it the watts are an upper bound"
                     : "the claim has no speed");
    cJSON_AddBoolToObject(it, "at_most", finding->at_most);
    add_needed(it, finding);
    add_answer(it, "winding_bears", finding->winding_bears, "the motor's limit is not known");
    add_answer(it, "speed_borne", finding->speed_borne, "the motor's limit is not known");
    add_driven(it, finding);
    return it;
}
