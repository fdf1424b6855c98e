#include "src/report/wheel_text.h"

#include "shared/constants.h"
#include "shared/json_write.h"
#include "src/report/remark_text.h"
#include "src/report/say.h"

#include <math.h>
#include <stdio.h>

#define DOT "   -  "

static void say_size(const sw_match *match, bool inside, bool us, sw_text *text) {
    const sw_stock_wheel *wheel = match->sheet.wheel;
    sw_text line = {0};
    sw_text_add(&line, "Wheel of %s", sw_say_size(us, match->plant.drive.wheel_mm).text);
    if (wheel != NULL)
        sw_text_add(&line, ", sold as %s (a new one may be %s off either way)", wheel->name,
                    sw_say_size(us, wheel->tolerance_mm).text);
    sw_text_add(&line, ", on the rim's %s.", inside ? "inside" : "outside");
    if (wheel != NULL && isfinite(wheel->bore_mm))
        sw_text_add(&line,
                    " Its bore is %s: bush it to the motor's shaft and lock it with a key or two "
                    "grub screws on flats.",
                    sw_say_size(us, wheel->bore_mm).text);
    else if (wheel != NULL)
        sw_text_add(&line, " Bush its bore to the motor's shaft and lock it with a key or two grub "
                           "screws on flats.");
    sw_text_paragraph(text, 6, DOT "%s", sw_text_string(&line));
    sw_text_carry(&line, text);
}

static void say_spring(const sw_press *press, bool us, sw_text *text) {
    sw_said scale = sw_say_scale(us, press->mean_n);
    double rate = us ? press->spring_n_mm * SW_INCH_MM / SW_POUND_FORCE_N : press->spring_n_mm;
    sw_text_paragraph(text, 6,
                      DOT "Spring set so that a luggage scale pulling the wheel off the standing "
                          "rim shows %s as it lifts. Under load it presses with %s to %s as the "
                          "rim goes round.",
                      scale.text, sw_say_value(us, press->least_n, "N").text,
                      sw_say_value(us, press->most_n, "N").text);
    if (press->spring_n_mm > 0)
        sw_text_paragraph(text, 6, DOT "Spring rate about %s %s, or softer: stretched by %s.",
                          sw_say_value(false, rate, "1").text, us ? "lb an inch" : "N a millimetre",
                          sw_say_value(us, press->mean_n / press->spring_n_mm, "mm").text);
}

static void say_arm(const sw_match *match, const sw_carriage *carriage, bool us, sw_text *text) {
    sw_said loaded = sw_say_value(us, match->wheel.loaded_n, "N");
    if (carriage->arm == SW_ARM_STRAIGHT)
        sw_text_paragraph(text, 6,
                          DOT
                          "Hinge the motor's arm so that a line from where the wheel touches to "
                          "the pivot lies along the rim: the pull of the load then neither "
                          "draws the wheel in nor lifts it off.");
    else
        sw_text_paragraph(text, 6,
                          DOT "The arm is %s: under load the wheel presses with %s. With the pivot "
                              "on the other side it would be the other way round.",
                          carriage->arm == SW_ARM_LEADING
                              ? "leading, the pull of the load draws the wheel in"
                              : "trailing, the pull of the load lifts the wheel off",
                          loaded.text);
}

/* Beyond this the grease and the rain decide, not the load. */
static const double DECADES = 30;

static void life_said(const sw_bearing_row *row, char *out, size_t room) {
    if (row->years > DECADES)
        snprintf(out, room, "a %s ball bearing bears that for decades", row->bearing.name);
    else if (row->years < 1)
        snprintf(out, room, "a %s ball bearing lasts less than a year", row->bearing.name);
    else
        snprintf(out, room, "a %s ball bearing lasts about %.0f years", row->bearing.name,
                 row->years);
}

static void say_bearing(const sw_bearing_load *bearing, bool us, sw_text *text) {
    sw_text line = {0};
    char life[100];
    sw_text_add(&line,
                "The motor's nearest bearing carries %s, with the wheel's middle %s outside "
                "of it%s: ",
                sw_say_value(us, bearing->nearest_n, "N").text,
                sw_say_size(us, bearing->overhang_mm).text,
                bearing->overhang_guessed ? " (a guess)" : "");
    for (size_t i = 0; i < bearing->rows; i++) {
        life_said(&bearing->row[i], life, sizeof life);
        sw_text_add(&line, "%s%s", i > 0 ? ", " : "", life);
        if (bearing->row[i].years > DECADES)
            break;
    }
    sw_text_add(&line, " (nine in ten last longer, if they stay dry and greased).");
    sw_text_paragraph(text, 6, DOT "%s", sw_text_string(&line));
    sw_text_carry(&line, text);
}

static void say_weather(const sw_wheel_check *wheel, bool us, sw_text *text) {
    double worn_mm = us ? SW_INCH_MM / 8 : 1;
    sw_text_paragraph(text, 6,
                      DOT "It is set for a wet rim. Frost or ice leaves about %.0f %% of the grip "
                          "that the strongest working wind asks for: it slips until it thaws.",
                      fmin(100, 100 * wheel->frost_share));
    sw_text_paragraph(text, 6,
                      DOT "It wears: %s off its diameter takes %s off the spring and turns the "
                          "motor %.1f %% faster. How fast is not "
                          "computed: rubber's wear on metal differs a hundredfold with grit and "
                          "slip. Measure it across each month, set the spring again.",
                      us ? "an eighth of an inch" : "a millimetre",
                      sw_say_value(us, worn_mm * wheel->wear_n_mm, "N").text,
                      100 * worn_mm * wheel->wear_speed_per_mm);
    sw_text_paragraph(text, 6,
                      DOT "Lift the wheel off when the rotor is parked for long: it gets a flat "
                          "spot.");
}

static void say_bounce(const sw_remarks *cautions, bool us, sw_text *text) {
    char sentence[SW_REMARK_ROOM];
    for (size_t i = 0; i < cautions->count; i++) {
        if (cautions->item[i].code != SW_CAUTION_BOUNCE)
            continue;
        sw_remark_say(us, &cautions->item[i], sentence, sizeof sentence);
        sw_text_paragraph(text, 6, DOT "%s", sentence);
    }
}

static void say_fixed_drive(const sw_match *match, bool us, sw_text *text) {
    const sw_gear *gear = &match->best.gear;
    if (gear->drive != SW_DRIVE_DIRECT)
        sw_text_add(text, gear->drive == SW_DRIVE_BELT ? "\nPulleys\n" : "\nChain\n");
    if (gear->drive == SW_DRIVE_BELT)
        sw_text_paragraph(text, 6,
                          DOT
                          "%s on the rotor and %s on the motor, measured where "
                          "the belt's cords run (pitch diameter). New ones may be off: the motor "
                          "then turns up to %.1f %% faster or slower.",
                          sw_say_size(us, gear->driver_mm).text,
                          sw_say_size(us, gear->wheel_mm).text, 100 * match->sheet.ratio_off);
    else if (gear->drive == SW_DRIVE_CHAIN)
        sw_text_paragraph(text, 6,
                          DOT "%d teeth on the rotor and %d on the motor: teeth are "
                              "counted, so the ratio is exact.",
                          gear->driver_teeth, gear->wheel_teeth);
}

void sw_wheel_text(const sw_match *match, const sw_rotor *rotor, bool us, sw_text *text) {
    if (!match->wheel.pressed) {
        say_fixed_drive(match, us, text);
        return;
    }
    sw_text_add(text, "\nWheel and spring\n");
    say_size(match, rotor->carriage.inside, us, text);
    say_spring(&match->best.press, us, text);
    say_arm(match, &rotor->carriage, us, text);
    say_bearing(&match->bearing, us, text);
    say_bounce(&match->cautions, us, text);
    say_weather(&match->wheel, us, text);
}

static void add_value(cJSON *object, const char *key, double value, const char *unit,
                      const char *why_not) {
    sw_json_add_quantity(object, key, sw_quantity_of(value, NAN, unit));
    if (!isfinite(value))
        sw_json_add_unknown(object, key, why_not);
}

static cJSON *bearings(const sw_bearing_load *bearing) {
    cJSON *list = cJSON_CreateArray();
    for (size_t i = 0; i < bearing->rows; i++) {
        cJSON *row = cJSON_CreateObject();
        cJSON_AddStringToObject(row, "name", bearing->row[i].bearing.name);
        add_value(row, "life", bearing->row[i].years, "years", "no load");
        cJSON_AddItemToArray(list, row);
    }
    return list;
}

cJSON *sw_wheel_to_json(const sw_match *match) {
    const sw_wheel_check *wheel = &match->wheel;
    cJSON *it = cJSON_CreateObject();
    const char *never = "not at any speed up to the storm's";
    add_value(it, "loaded_force", wheel->loaded_n, "N", "");
    add_value(it, "least_force_in_storm", wheel->storm_least_n, "N", "");
    add_value(it, "hop_rotor_speed", wheel->hop_rotor_rad_s * SW_RPM_PER_RAD_S, "rpm", never);
    add_value(it, "resonance_rotor_speed", wheel->resonance_rotor_rad_s * SW_RPM_PER_RAD_S, "rpm",
              never);
    add_value(it, "jammed_force", wheel->jammed_n, "N", "the arm locks itself");
    cJSON_AddBoolToObject(it, "arm_locks", wheel->locks);
    add_value(it, "wear_preload", 1000 * wheel->wear_n_mm, "N/m", "");
    sw_json_add_number(it, "frost_share", wheel->frost_share);
    add_value(it, "bearing_load", match->bearing.nearest_n, "N", "");
    add_value(it, "overhang", match->bearing.overhang_mm, "mm", "");
    cJSON_AddItemToObject(it, "bearings", bearings(&match->bearing));
    return it;
}
