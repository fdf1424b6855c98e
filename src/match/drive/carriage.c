#include "src/match/drive/carriage.h"

#include "shared/constants.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

static const char *const KEYS[] = {"surface",          "side",       "arm",           "arm_angle",
                                   "run_out",          "lumps",      "moving_mass",   "spring_rate",
                                   "tyre_stiffness",   "most_force", "motor_bearing", "overhang",
                                   "bearing_distance", NULL};
static const char *const SIDES[] = {"outside", "inside", NULL};
static const char *const ARMS[] = {"straight", "trailing", "leading", NULL};

/* Where only the way is said: common practice, no source. */
static const double USUAL_ARM_DEG = 15;

sw_carriage sw_carriage_unknown(void) {
    return (sw_carriage){.arm_deg = NAN,
                         .run_out_mm = NAN,
                         .moving_kg = NAN,
                         .spring_n_mm = NAN,
                         .tyre_n_mm = NAN,
                         .most_n = NAN,
                         .overhang_mm = NAN,
                         .bearing_distance_mm = NAN};
}

/* One size with its unit and its bounds. */
typedef struct size_row {
    const char *key;
    const char *unit;
    double low;
    double high;
    size_t offset;
} size_row;

#define FIELD(member) offsetof(sw_carriage, member)

static const size_row SIZES[] = {
    {"arm_angle", "deg", 0, 85, FIELD(arm_deg)},
    {"run_out", "mm", 0, 200, FIELD(run_out_mm)},
    {"moving_mass", "kg", 0.01, 500, FIELD(moving_kg)},
    {"spring_rate", "N/mm", 0.001, 1e4, FIELD(spring_n_mm)},
    {"tyre_stiffness", "N/mm", 0.1, 1e6, FIELD(tyre_n_mm)},
    {"most_force", "N", 1, 1e5, FIELD(most_n)},
    {"overhang", "mm", 0, 1000, FIELD(overhang_mm)},
    {"bearing_distance", "mm", 1, 2000, FIELD(bearing_distance_mm)},
};

static sw_status read_sizes(const sw_node *node, sw_carriage *carriage, sw_error *error) {
    sw_status status = SW_OK;
    for (size_t i = 0; status == SW_OK && i < sizeof SIZES / sizeof *SIZES; i++) {
        const size_row *row = &SIZES[i];
        sw_quantity value = sw_quantity_unknown();
        status = sw_node_quantity_in(node, row->key, row->unit, row->low, row->high, &value, error);
        if (status == SW_OK && sw_quantity_known(value))
            *(double *)((char *)carriage + row->offset) = value.value;
    }
    return status;
}

static sw_status read_name(const sw_node *node, const char *key, char out[SW_REFERENCE_NAME_ROOM],
                           sw_error *error) {
    const char *name = NULL;
    sw_status status = sw_node_text(node, key, &name, error);
    if (status != SW_OK || name == NULL)
        return status;
    if (strlen(name) >= SW_REFERENCE_NAME_ROOM)
        return sw_node_fail(node, key, error, SW_VALUE, "\"%.20s...\" is too long for a name",
                            name);
    snprintf(out, SW_REFERENCE_NAME_ROOM, "%s", name);
    return SW_OK;
}

/* An angle says nothing as long as it is not said which way the arm points. */
static sw_status check_arm(const sw_node *node, const sw_carriage *carriage, sw_error *error) {
    if (carriage->arm != SW_ARM_STRAIGHT || isnan(carriage->arm_deg) || carriage->arm_deg == 0)
        return SW_OK;
    return sw_node_fail(node, "arm_angle", error, SW_MISMATCH,
                        "an angle needs \"arm\": \"trailing\" (the rim runs from the pivot to "
                        "the wheel) or \"leading\" (from the wheel to the pivot)");
}

sw_status sw_carriage_read(const sw_node *node, const char *key, sw_carriage *carriage,
                           sw_error *error) {
    sw_node child;
    int side = carriage->inside;
    int arm = (int)carriage->arm;
    sw_status status = sw_node_object(node, key, &child, error);
    if (status != SW_OK || child.json == NULL)
        return status;
    status = sw_node_allow(&child, KEYS, error);
    if (status == SW_OK)
        status = sw_node_word(&child, "side", SIDES, &side, error);
    if (status == SW_OK)
        status = sw_node_word(&child, "arm", ARMS, &arm, error);
    if (status == SW_OK)
        status = sw_node_integer(&child, "lumps", 1, 200, &carriage->lumps, error);
    if (status == SW_OK)
        status = read_name(&child, "surface", carriage->surface, error);
    if (status == SW_OK)
        status = read_name(&child, "motor_bearing", carriage->bearing, error);
    if (status == SW_OK)
        status = read_sizes(&child, carriage, error);
    carriage->inside = side == 1;
    carriage->arm = (sw_arm)arm;
    return status == SW_OK ? check_arm(&child, carriage, error) : status;
}

static sw_status check_name(const sw_node *child, const char *key, const char *reference_dir,
                            const char *table_name, const char *name, sw_error *error) {
    sw_table table;
    sw_node row;
    sw_error inner = {SW_OK, ""};
    if (*name == '\0')
        return SW_OK;
    sw_status status = sw_table_find(reference_dir, table_name, name, &table, &row, &inner);
    if (status != SW_OK)
        return sw_node_fail(child, key, error, status, "%s", inner.message);
    sw_table_close(&table);
    return SW_OK;
}

sw_status sw_carriage_check(const sw_node *node, const char *key, const char *reference_dir,
                            const sw_carriage *carriage, sw_error *error) {
    sw_node child;
    sw_status status = sw_node_object(node, key, &child, error);
    if (status != SW_OK || child.json == NULL)
        return status;
    status = check_name(&child, "surface", reference_dir, "friction", carriage->surface, error);
    if (status == SW_OK)
        status = check_name(&child, "motor_bearing", reference_dir, "bearings", carriage->bearing,
                            error);
    return status;
}

/* Moments about the pivot of the contact's two forces: N and F act at the contact, the pivot lies
 * tan(angle) as far from the tangent as it lies along it, so N = N0 +- F tan(angle), the rule of a
 * drum brake's leading and trailing shoe. The motor's own torque hangs on the arm as well and is
 * in it: the pair (F at the rim) is all that acts from outside. */
double sw_carriage_arm_gain(const sw_carriage *carriage) {
    double angle_deg = isnan(carriage->arm_deg) ? USUAL_ARM_DEG : carriage->arm_deg;
    double gain = tan(angle_deg * M_PI / 180);
    if (carriage->arm == SW_ARM_STRAIGHT)
        return 0;
    return carriage->arm == SW_ARM_LEADING ? gain : -gain;
}
