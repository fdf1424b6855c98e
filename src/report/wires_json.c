#include "shared/json_write.h"
#include "src/report/wires_text.h"

#include <stdio.h>

static void pair_key(int a, int b, char *out, size_t room) {
    snprintf(out, room, "%d-%d", a + 1, b + 1);
}

static void add_contact(cJSON *object, const char *key, const sw_wire_pair *pair) {
    static const char *const WORDS[] = {"open", NULL, "climbs", "?"};
    if (pair->contact == SW_CONTACT_OHMS)
        sw_json_add_quantity(object, key, pair->ohm);
    else if (pair->said)
        cJSON_AddStringToObject(object, key, WORDS[pair->contact]);
}

static void add_pairs(cJSON *root, const sw_wires *wires) {
    cJSON *ohms = cJSON_AddObjectToObject(root, "ohms");
    cJSON *volts = cJSON_AddObjectToObject(root, "volts");
    cJSON *stiffer = cJSON_AddArrayToObject(root, "stiffer");
    cJSON *not_stiffer = cJSON_AddArrayToObject(root, "not_stiffer");
    for (int a = 0; a < wires->count; a++)
        for (int b = a + 1; b < wires->count; b++) {
            const sw_wire_pair *pair = &wires->pair[a][b];
            char key[32];
            pair_key(a, b, key, sizeof key);
            add_contact(ohms, key, pair);
            if (sw_quantity_known(pair->volts))
                sw_json_add_quantity(volts, key, pair->volts);
            if (pair->stiffer != SW_NOT_SAID)
                cJSON_AddItemToArray(pair->stiffer == SW_YES ? stiffer : not_stiffer,
                                     cJSON_CreateString(key));
        }
}

static void add_weights(cJSON *root, const char *key, const sw_wires *wires,
                        sw_wire_weight weight) {
    cJSON *list = cJSON_AddArrayToObject(root, key);
    for (int i = 0; i < wires->count; i++)
        if (wires->weight[i] == weight)
            cJSON_AddItemToArray(list, cJSON_CreateNumber(i + 1));
}

static void add_colours(cJSON *root, const sw_wires *wires) {
    cJSON *list = cJSON_AddArrayToObject(root, "colours");
    for (int i = 0; i < wires->count; i++)
        cJSON_AddItemToArray(list, wires->colour[i][0] != '\0'
                                       ? cJSON_CreateString(wires->colour[i])
                                       : cJSON_CreateNull());
}

static cJSON *group_to_json(const sw_wire_group *group) {
    cJSON *object = cJSON_CreateObject();
    cJSON_AddStringToObject(object, "kind", sw_wire_kind_name(group->kind));
    cJSON *list = cJSON_AddArrayToObject(object, "wires");
    for (int i = 0; i < group->count; i++)
        cJSON_AddItemToArray(list, cJSON_CreateNumber(group->wire[i] + 1));
    cJSON_AddBoolToObject(object, "use", group->use);
    sw_json_add_quantity(object, "resistance", group->ohm);
    sw_json_add_quantity(object, "greatest_power", group->greatest_watts);
    if (group->stiffer == SW_NOT_SAID)
        cJSON_AddNullToObject(object, "stiffer");
    else
        cJSON_AddBoolToObject(object, "stiffer", group->stiffer == SW_YES);
    return object;
}

static void add_roles(cJSON *found, const sw_wires *wires, const sw_wire_finding *finding) {
    cJSON *list = cJSON_AddArrayToObject(found, "roles");
    for (int i = 0; i < wires->count; i++) {
        cJSON *row = cJSON_CreateObject();
        cJSON_AddNumberToObject(row, "wire", i + 1);
        cJSON_AddStringToObject(row, "role", sw_wire_role_name(finding->role[i]));
        cJSON_AddBoolToObject(row, "use", finding->use[i]);
        cJSON_AddItemToArray(list, row);
    }
}

/* Line to line (or one winding's) ohms of what is used, as a motor document wants them. */
static sw_quantity used_ohm(const sw_wire_finding *finding) {
    for (int i = 0; i < finding->groups; i++)
        if (finding->group[i].use)
            return finding->group[i].ohm;
    return sw_quantity_unknown();
}

static void add_found(cJSON *root, const sw_wires *wires, const sw_wire_finding *finding) {
    cJSON *found = cJSON_AddObjectToObject(root, "found");
    cJSON_AddStringToObject(found, "machine", sw_wire_machine_name(finding->machine));
    if (finding->phases > 0)
        cJSON_AddNumberToObject(found, "phases", finding->phases);
    else
        cJSON_AddNullToObject(found, "phases");
    sw_json_add_quantity(found, "winding_resistance", used_ohm(finding));
    cJSON *groups = cJSON_AddArrayToObject(found, "groups");
    for (int i = 0; i < finding->groups; i++)
        cJSON_AddItemToArray(groups, group_to_json(&finding->group[i]));
    add_roles(found, wires, finding);
    cJSON *doubts = cJSON_AddArrayToObject(found, "doubts");
    for (size_t i = 0; i < finding->doubts; i++) {
        cJSON *row = cJSON_CreateObject();
        cJSON_AddStringToObject(row, "code", sw_wire_doubt_name(finding->doubt[i].code));
        cJSON_AddStringToObject(row, "message", finding->doubt[i].message);
        cJSON_AddItemToArray(doubts, row);
    }
    if (finding->phases == 0)
        sw_json_add_unknown(found, "phases", "which windings generate is not clear yet");
    if (!sw_quantity_known(used_ohm(finding)))
        sw_json_add_unknown(found, "winding_resistance", "no wires to use were found");
}

cJSON *sw_wires_to_json(const sw_wires *wires, const sw_wire_finding *finding) {
    cJSON *root = sw_json_document("wires");
    cJSON_AddNumberToObject(root, "wires", wires->count);
    sw_json_add_quantity(root, "test_leads", wires->test_leads);
    add_pairs(root, wires);
    add_weights(root, "thick", wires, SW_THICK);
    add_weights(root, "thin", wires, SW_THIN);
    add_colours(root, wires);
    add_found(root, wires, finding);
    if (!sw_quantity_known(wires->test_leads))
        sw_json_add_unknown(root, "test_leads", "not said: short the meter's leads and read");
    return root;
}
