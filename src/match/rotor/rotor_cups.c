/* Rotor kind "cups": vanes on arms described by their size and drag. */
#include "src/match/parts/reference.h"
#include "src/match/rotor/cups.h"
#include "src/match/rotor/rotor_set.h"

#include <math.h>

static const char *const KEYS[] = {"vane_width", "vane_height", "arm",   "drag_front",
                                   "drag_back",  "shielded",    "shape", NULL};

/* Tip-speed ratios at which the turn is integrated: beyond the no-load ratio of any drag rotor,
 * whose vanes cannot outrun the wind that pushes them. */
static const double STEP_RATIO = 0.02;
enum { POINTS = 60 };

static sw_status read_length(const sw_node *node, const char *key, const char *example,
                             double *length_m, sw_error *error) {
    sw_quantity quantity = sw_quantity_unknown();
    sw_status status = sw_node_need(node, key, example, error);
    if (status == SW_OK)
        status = sw_node_quantity_in(node, key, "m", 0.005, 100, &quantity, error);
    *length_m = quantity.value;
    return status;
}

/* Drag by the shape's row of the table, then by number where the builder gives one. */
static sw_status read_drag(const sw_node *node, const char *reference_dir, sw_cups *cups,
                           sw_error *error) {
    const char *shape = NULL;
    sw_drag_pair pair = {0, 0};
    sw_status status = sw_node_text(node, "shape", &shape, error);
    if (status == SW_OK && shape != NULL) {
        sw_error inner;
        status = sw_drag_find(reference_dir, shape, &pair, &inner);
        if (status != SW_OK)
            return sw_node_fail(node, "shape", error, status, "%s", inner.message);
    } else if (status == SW_OK) {
        status = sw_node_need(node, "drag_front", "1.42 (hollow cup), or \"shape\": \"half-pipe\"",
                              error);
        if (status == SW_OK)
            status = sw_node_need(node, "drag_back", "0.38", error);
    }
    cups->drag_front = pair.front;
    cups->drag_back = pair.back;
    if (status == SW_OK)
        status = sw_node_number(node, "drag_front", 0, 4, &cups->drag_front, error);
    if (status == SW_OK)
        status = sw_node_number(node, "drag_back", 0, 4, &cups->drag_back, error);
    return status;
}

static sw_status read_cups(const sw_node *node, const char *reference_dir, const sw_rotor *rotor,
                           sw_cups *cups, sw_error *error) {
    sw_status status = sw_node_need(node, "vanes", "3", error);
    if (status == SW_OK)
        status = read_length(node, "vane_width", "\"300 mm\"", &cups->width_m, error);
    if (status == SW_OK)
        status = read_length(node, "vane_height", "\"900 mm\"", &cups->height_m, error);
    if (status == SW_OK)
        status = read_length(node, "arm", "\"650 mm\" (axis to vane centre)", &cups->arm_m, error);
    if (status == SW_OK)
        status = read_drag(node, reference_dir, cups, error);
    if (status == SW_OK)
        status = sw_node_number(node, "shielded", 0, 1, &cups->shielded, error);
    cups->vanes = rotor->vanes;
    if (status == SW_OK && cups->arm_m < cups->width_m / 2 * (1 - 1e-9))
        return sw_node_fail(node, "arm", error, SW_VALUE,
                            "found %.4g m, less than half the vane width (%.4g m); the arm is "
                            "measured from the axis to the middle of the vane",
                            cups->arm_m, cups->width_m / 2);
    return status;
}

static void add_rest(sw_rotor *rotor, const sw_cups *cups) {
    enum { ANGLES = 72 };
    double torque[ANGLES];
    for (int i = 0; i < ANGLES; i++)
        torque[i] = sw_cups_static_torque(cups, 360.0 * i / ANGLES);
    sw_rotor_add_turn(rotor, 0, torque, ANGLES);
}

static sw_status add_curve(sw_rotor *rotor, const sw_node *node, const sw_cups *cups,
                           sw_error *error) {
    sw_curve_point points[POINTS];
    for (int i = 0; i < POINTS; i++) {
        double ratio = (i + 1) * STEP_RATIO;
        points[i] = (sw_curve_point){ratio, ratio * sw_cups_torque(cups, ratio)};
    }
    return sw_rotor_add_curve(rotor, node, 0, points, POINTS, NAN, error);
}

/* Vanes facing the wind when parked: a driving one, and the others by their backs, edge on or
 * hidden; counted as one front and half the rest by their backs. */
static void fill_forces(sw_rotor *rotor, const sw_cups *cups) {
    double vane_area = cups->width_m * cups->height_m;
    rotor->vane_force_area_m2 = fmax(cups->drag_front, cups->drag_back) * vane_area;
    rotor->vane_arm_m = cups->arm_m;
    if (isnan(rotor->force_area_m2))
        rotor->force_area_m2 =
            vane_area * (cups->drag_front + 0.5 * (cups->vanes - 1) * cups->drag_back);
}

static sw_status read_rotor(const sw_node *node, const char *reference_dir, sw_rotor *rotor,
                            sw_error *error) {
    sw_cups cups = {0};
    sw_status status = read_cups(node, reference_dir, rotor, &cups, error);
    if (status != SW_OK)
        return status;
    rotor->swept_area_m2 = sw_cups_swept_area_m2(&cups);
    rotor->radius_m = sw_cups_radius_m(&cups);
    status = sw_rotor_read_size(node, rotor, error);
    if (status != SW_OK)
        return status;
    rotor->swept_area_m2 = sw_cups_swept_area_m2(&cups);
    fill_forces(rotor, &cups);
    add_rest(rotor, &cups);
    return add_curve(rotor, node, &cups, error);
}

const sw_rotor_reader SW_ROTOR_READER_CUPS = {"cups", KEYS, read_rotor};
