/* The frame of the rotor kinds: keys that all share, what follows from the curve, torque. */
#include "src/match/rotor/rotor.h"

#include "shared/constants.h"

#include "src/match/rotor/rotor_set.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const sw_rotor_reader *const READERS[SW_ROTOR_KIND_COUNT] = {
    [SW_ROTOR_CURVE] = &SW_ROTOR_READER_CURVE,
    [SW_ROTOR_CUPS] = &SW_ROTOR_READER_CUPS,
    [SW_ROTOR_MEASURED] = &SW_ROTOR_READER_MEASURED,
    [SW_ROTOR_PUBLISHED] = &SW_ROTOR_READER_PUBLISHED,
};

static const char *const COMMON_KEYS[] = {"document",     "version",
                                          "name",         "note",
                                          "kind",         "swept_area",
                                          "width",        "height",
                                          "radius",       "axis",
                                          "surface",      "vanes",
                                          "rim_diameter", "bearing_torque",
                                          "inertia",      "power_coefficient_u",
                                          "guessed",      "drag_area",
                                          "vane_mass",    "friction_drive",
                                          "bearing_test", NULL};

/* Unless better known: relative standard uncertainty of Cp of a rotor nobody measured. */
static const double POWER_U = 0.2;

/* Two sealed ball bearings with a rotor's weight on them: common practice, no source. */
static const double BEARING_NM = 0.05;
static const double BEARING_U_NM = 0.03;

/* Drag of a parked rotor over its swept area where nothing better is known: a solid plate of
 * aspect ratio 5 (Hoerner 1965, from memory), so rather too much than too little. */
static const double PARKED_DRAG = 1.2;

enum { GRID = 600, KEY_LIMIT = 64 };

static void rotor_init(sw_rotor *rotor) {
    *rotor = (sw_rotor){
        .radius_m = NAN,
        .rim_diameter_mm = NAN,
        .carriage = sw_carriage_unknown(),
        .bearing_torque = sw_quantity_of(BEARING_NM, BEARING_U_NM, "N m"),
        .bearing_guessed = true,
        .inertia = sw_quantity_unknown(),
        .power_guessed = true,
        .power_u_relative = POWER_U,
        .force_area_m2 = NAN,
        .vane_force_area_m2 = NAN,
        .vane_mass_kg = NAN,
        .vane_arm_m = NAN,
    };
}

static sw_status read_kind(const sw_node *node, sw_rotor *rotor, sw_error *error) {
    const char *words[SW_ROTOR_KIND_COUNT + 1] = {NULL};
    for (int i = 0; i < SW_ROTOR_KIND_COUNT; i++)
        words[i] = READERS[i]->name;
    sw_status status = sw_node_need(node, "kind", "\"cups\"", error);
    int kind = 0;
    if (status == SW_OK)
        status = sw_node_word(node, "kind", words, &kind, error);
    rotor->kind = (sw_rotor_kind)kind;
    return status;
}

static sw_status allow_keys(const sw_node *node, const sw_rotor_reader *reader, sw_error *error) {
    const char *keys[KEY_LIMIT] = {NULL};
    size_t count = 0;
    for (const char *const *key = COMMON_KEYS; *key != NULL; key++)
        keys[count++] = *key;
    for (const char *const *key = reader->keys; *key != NULL && count < KEY_LIMIT - 1; key++)
        keys[count++] = *key;
    return sw_node_allow(node, keys, error);
}

static sw_status read_plain(const sw_node *node, const char *key, const char *unit, double low,
                            double high, double *out, sw_error *error) {
    sw_quantity quantity = sw_quantity_unknown();
    sw_status status = sw_node_quantity_in(node, key, unit, low, high, &quantity, error);
    if (status == SW_OK && sw_quantity_known(quantity))
        *out = quantity.value;
    return status;
}

/* A weight on a string round the rim (or the shaft) that just keeps the rotor creeping: T = m g r.
 * Sticking and creeping differ by about 20 %, which is its uncertainty. */
static sw_status read_bearing_test(const sw_node *node, sw_rotor *rotor, sw_error *error) {
    static const char *const TEST_KEYS[] = {"weight", "radius", NULL};
    static const double TEST_U = 0.2;
    sw_node test;
    sw_quantity weight = sw_quantity_unknown();
    sw_quantity radius = sw_quantity_unknown();
    sw_status status = sw_node_object(node, "bearing_test", &test, error);
    if (status != SW_OK || test.json == NULL)
        return status;
    if (sw_node_has(node, "bearing_torque"))
        return sw_node_fail(node, "bearing_test", error, SW_MISMATCH,
                            "stands beside bearing_torque: keep one of them");
    status = sw_node_allow(&test, TEST_KEYS, error);
    if (status == SW_OK)
        status = sw_node_need(&test, "weight", "\"120 g\"", error);
    if (status == SW_OK)
        status = sw_node_need(&test, "radius", "\"950 mm\"", error);
    if (status == SW_OK)
        status = sw_node_quantity_in(&test, "weight", "kg", 0, 100, &weight, error);
    if (status == SW_OK)
        status = sw_node_quantity_in(&test, "radius", "m", 0.001, 100, &radius, error);
    if (status != SW_OK)
        return status;
    double torque_nm = weight.value * SW_GRAVITY_M_S2 * radius.value;
    rotor->bearing_torque = sw_quantity_of(torque_nm, TEST_U * torque_nm, "N m");
    rotor->bearing_guessed = false;
    return SW_OK;
}

static sw_status read_bearing(const sw_node *node, sw_rotor *rotor, sw_error *error) {
    if (!sw_node_has(node, "bearing_torque"))
        return SW_OK;
    sw_status status =
        sw_node_quantity_in(node, "bearing_torque", "N m", 0, 1000, &rotor->bearing_torque, error);
    rotor->bearing_guessed = false;
    /* A stated torque without uncertainty: a weight on a string is good to about 20 %. */
    rotor->bearing_torque.u = sw_quantity_u_or(rotor->bearing_torque, 0.2);
    return status;
}

static sw_status read_common(const sw_node *node, sw_rotor *rotor, sw_error *error) {
    const char *name = NULL;
    sw_status status = sw_node_text(node, "name", &name, error);
    if (status == SW_OK && name != NULL)
        snprintf(rotor->name, sizeof rotor->name, "%s", name);
    if (status == SW_OK)
        status = read_plain(node, "rim_diameter", "mm", 10, 100000, &rotor->rim_diameter_mm, error);
    if (status == SW_OK)
        status = read_bearing(node, rotor, error);
    if (status == SW_OK)
        status = read_bearing_test(node, rotor, error);
    if (status == SW_OK)
        status = sw_carriage_read(node, "friction_drive", &rotor->carriage, error);
    if (status == SW_OK)
        status = sw_node_quantity_in(node, "inertia", "kg m2", 1e-6, 1e6, &rotor->inertia, error);
    if (status == SW_OK)
        status = sw_node_integer(node, "vanes", 1, 60, &rotor->vanes, error);
    if (status == SW_OK)
        status = read_plain(node, "vane_mass", "kg", 0.001, 10000, &rotor->vane_mass_kg, error);
    if (status == SW_OK)
        status = read_plain(node, "drag_area", "m2", 0.0001, 10000, &rotor->force_area_m2, error);
    return status;
}

/* "power_coefficient_u" is the relative standard uncertainty of Cp, when the builder knows better;
 * a list "guessed" that names power_coefficient says that nobody measured it. */
static sw_status read_trust(const sw_node *node, sw_rotor *rotor, sw_error *error) {
    sw_node list;
    sw_status status =
        sw_node_number(node, "power_coefficient_u", 0, 2, &rotor->power_u_relative, error);
    if (status == SW_OK)
        status = sw_node_array(node, "guessed", &list, error);
    for (size_t i = 0; status == SW_OK && i < sw_node_count(&list); i++) {
        sw_node item = sw_node_item(&list, i);
        if (cJSON_IsString(item.json) && strcmp(item.json->valuestring, "power_coefficient") == 0)
            rotor->power_guessed = true;
    }
    return status;
}

/* Between two curves torque is blended linearly: beyond both no-load ratios it is negative. */
static double no_load_most(const sw_rotor *rotor) {
    double most = 0;
    for (size_t i = 0; i < rotor->curve->sets; i++)
        most = fmax(most, sw_rotor_no_load(rotor, sw_rotor_set_wind(rotor, i)));
    return most;
}

static void derive(sw_rotor *rotor) {
    rotor->static_torque_min = sw_rotor_set_static_min(rotor, SW_ROTOR_REFERENCE_WIND);
    rotor->static_torque_mean = sw_rotor_set_static_mean(rotor, SW_ROTOR_REFERENCE_WIND);
    rotor->peak_power = sw_rotor_peak(rotor, SW_ROTOR_REFERENCE_WIND, &rotor->peak_tip_speed_ratio);
    rotor->no_load_tip_speed_ratio = sw_rotor_no_load(rotor, SW_ROTOR_REFERENCE_WIND);
    rotor->no_load_most = no_load_most(rotor);
    if (isnan(rotor->force_area_m2))
        rotor->force_area_m2 = PARKED_DRAG * rotor->swept_area_m2;
}

static sw_status parse(const sw_node *node, const char *reference_dir, sw_rotor *rotor,
                       sw_error *error) {
    sw_status status = sw_node_expect_document(node, "rotor", error);
    if (status == SW_OK)
        status = read_kind(node, rotor, error);
    if (status == SW_OK)
        status = allow_keys(node, READERS[rotor->kind], error);
    if (status == SW_OK)
        status = read_common(node, rotor, error);
    if (status == SW_OK)
        status = sw_rotor_curve_new(rotor, error);
    if (status == SW_OK)
        status = READERS[rotor->kind]->read(node, reference_dir, rotor, error);
    if (status == SW_OK)
        status = read_trust(node, rotor, error);
    return status;
}

sw_status sw_rotor_parse(const cJSON *root, const char *file, const char *reference_dir,
                         const sw_units *units, sw_rotor *rotor, sw_error *error) {
    sw_node node = sw_node_top(root, file, units);
    rotor_init(rotor);
    sw_status status = parse(&node, reference_dir, rotor, error);
    if (status == SW_OK)
        status = sw_carriage_check(&node, "friction_drive", reference_dir, &rotor->carriage, error);
    if (status == SW_OK)
        derive(rotor);
    else
        sw_rotor_free(rotor);
    return status;
}

sw_status sw_rotor_read(const char *path, const char *reference_dir, const sw_units *units,
                        sw_rotor *rotor, sw_error *error) {
    cJSON *root = NULL;
    rotor_init(rotor);
    sw_status status = sw_json_read(path, &root, error);
    if (status == SW_OK)
        status = sw_rotor_parse(root, path, reference_dir, units, rotor, error);
    cJSON_Delete(root);
    return status;
}

void sw_rotor_free(sw_rotor *rotor) {
    sw_rotor_curve_free(rotor->curve);
    rotor->curve = NULL;
}

double sw_rotor_torque_coefficient(const sw_rotor *rotor, double tip_speed_ratio, double wind_m_s) {
    return sw_rotor_set_torque(rotor, tip_speed_ratio, wind_m_s);
}

double sw_rotor_power_coefficient(const sw_rotor *rotor, double tip_speed_ratio, double wind_m_s) {
    return tip_speed_ratio * sw_rotor_set_torque(rotor, tip_speed_ratio, wind_m_s);
}

double sw_rotor_torque_nm(const sw_rotor *rotor, double density, double wind_m_s,
                          double speed_rad_s) {
    double ratio = speed_rad_s * rotor->radius_m / wind_m_s;
    /* T = 1/2 rho A R v^2 Ct */
    return 0.5 * density * rotor->swept_area_m2 * rotor->radius_m * wind_m_s * wind_m_s *
           sw_rotor_set_torque(rotor, ratio, wind_m_s);
}

double sw_rotor_start_torque_nm(const sw_rotor *rotor, double density, double wind_m_s) {
    return 0.5 * density * rotor->swept_area_m2 * rotor->radius_m * wind_m_s * wind_m_s *
           sw_rotor_set_static_min(rotor, wind_m_s);
}

/* A ratio beyond every root: where all curves have run into negative torque. */
static double far_ratio(const sw_rotor *rotor) {
    double far = 0;
    for (size_t i = 0; i < rotor->curve->sets; i++) {
        const sw_rotor_set *set = &rotor->curve->set[i];
        double last = set->ratio[set->points - 1];
        double beyond = fmax(set->torque[set->points - 1], 0) / -set->end_slope;
        far = fmax(far, last + fmin(beyond, 4 * last));
    }
    return far * 1.001;
}

double sw_rotor_peak(const sw_rotor *rotor, double wind_m_s, double *tip_speed_ratio) {
    double step = far_ratio(rotor) / GRID;
    double best = 0;
    for (int i = 1; i <= GRID; i++)
        if (sw_rotor_power_coefficient(rotor, i * step, wind_m_s) >
            sw_rotor_power_coefficient(rotor, best, wind_m_s))
            best = i * step;
    double low = fmax(best - step, 0);
    double high = best + step;
    for (int i = 0; i < 60; i++) { /* ternary search: one hump between two grid points */
        double left = low + (high - low) / 3;
        double right = high - (high - low) / 3;
        if (sw_rotor_power_coefficient(rotor, left, wind_m_s) <
            sw_rotor_power_coefficient(rotor, right, wind_m_s))
            low = left;
        else
            high = right;
    }
    best = (low + high) / 2;
    if (tip_speed_ratio != NULL)
        *tip_speed_ratio = best;
    return sw_rotor_power_coefficient(rotor, best, wind_m_s);
}

double sw_rotor_no_load(const sw_rotor *rotor, double wind_m_s) {
    double far = far_ratio(rotor);
    double step = far / GRID;
    double high = far;
    while (high > step && sw_rotor_set_torque(rotor, high - step, wind_m_s) < 0)
        high -= step;
    double low = fmax(high - step, 0);
    for (int i = 0; i < 60; i++) {
        double middle = (low + high) / 2;
        if (sw_rotor_set_torque(rotor, middle, wind_m_s) > 0)
            low = middle;
        else
            high = middle;
    }
    return (low + high) / 2;
}
