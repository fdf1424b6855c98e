#include "src/report/stages_text.h"

#include "shared/constants.h"
#include "shared/json_write.h"
#include "src/report/say.h"

#include <math.h>

void sw_stages_text(const sw_stages *stages, bool us, sw_text *text) {
    static const char *const ORDINAL[SW_MACHINE_LIMIT] = {"first", "second", "third", "fourth"};
    if (!stages->pays)
        return;
    sw_text_add(text, "\nMotors lowered on the rim one after another\n");
    sw_text_paragraph(text, 2,
                      "  With a %s wheel on each, pressed on with %s, this gives about %s a year "
                      "instead of %s: the rotor starts against one motor only.",
                      sw_say_value(us, stages->gear.wheel_mm, "mm").text,
                      sw_say_value(us, stages->contact_n, "N").text,
                      sw_say_value(us, stages->kwh, "kWh").text,
                      sw_say_value(us, stages->against_kwh, "kWh").text);
    sw_text_add(text, "  The first stays on the rim; lift the others off again below the same.\n");
    for (size_t i = 1; i < stages->stages; i++) {
        const sw_stage *it = &stages->stage[i];
        sw_text_paragraph(text, 4,
                          "  - The %s from %s on (%.0f rotor turns a minute); together "
                          "they then take %s of the rotor.",
                          ORDINAL[it->machines - 1], sw_say_value(us, it->from_wind, "m/s").text,
                          it->from_rotor_rad_s * SW_RPM_PER_RAD_S,
                          sw_say_value(us, it->rotor_nm, "N m").text);
    }
}

static void add_value(cJSON *object, const char *key, double value, const char *unit) {
    sw_json_add_quantity(object, key, sw_quantity_of(value, NAN, unit));
}

void sw_stages_add_json(cJSON *recommended, const sw_stages *stages) {
    if (!stages->pays)
        return;
    cJSON *it = cJSON_AddObjectToObject(recommended, "stages");
    add_value(it, "wheel_diameter", stages->gear.wheel_mm, "mm");
    add_value(it, "contact_force", stages->contact_n, "N");
    add_value(it, "annual_energy", stages->kwh, "kWh");
    cJSON *list = cJSON_AddArrayToObject(it, "list");
    for (size_t i = 0; i < stages->stages; i++) {
        cJSON *row = cJSON_CreateObject();
        cJSON_AddNumberToObject(row, "machines", stages->stage[i].machines);
        add_value(row, "from_wind", stages->stage[i].from_wind, "m/s");
        add_value(row, "from_rotor_speed", stages->stage[i].from_rotor_rad_s * SW_RPM_PER_RAD_S,
                  "rpm");
        add_value(row, "rotor_torque", stages->stage[i].rotor_nm, "N m");
        cJSON_AddItemToArray(list, row);
    }
}
