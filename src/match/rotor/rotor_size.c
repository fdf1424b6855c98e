/* Swept area and tip radius from what the builder measured.
 *
 * The commonest mistake is to give the surface of the sheet: only what the turning rotor covers,
 * seen from where the wind comes, catches wind. So a stated area is held against width times
 * height, and a stated vane surface that is larger than the swept area is explained.
 */
#include "src/match/rotor/rotor_set.h"

#include "shared/constants.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Stated area over width x height beyond which it cannot be rounding. */
static const double AREA_SLACK = 1.05;

typedef struct size_given {
    sw_quantity area;
    sw_quantity width;
    sw_quantity height;
    sw_quantity radius;
    sw_quantity surface;
    int horizontal; /* index of the word */
} size_given;

static sw_status read_given(const sw_node *node, bool horizontal, size_given *given,
                            sw_error *error) {
    static const char *const AXES[] = {"vertical", "horizontal", NULL};
    const sw_quantity unknown = sw_quantity_unknown();
    *given = (size_given){unknown, unknown, unknown, unknown, unknown, horizontal};
    sw_status status =
        sw_node_quantity_in(node, "swept_area", "m2", 0.001, 10000, &given->area, error);
    if (status == SW_OK)
        status = sw_node_quantity_in(node, "width", "m", 0.02, 200, &given->width, error);
    if (status == SW_OK)
        status = sw_node_quantity_in(node, "height", "m", 0.02, 200, &given->height, error);
    if (status == SW_OK)
        status = sw_node_quantity_in(node, "radius", "m", 0.01, 100, &given->radius, error);
    if (status == SW_OK)
        status = sw_node_quantity_in(node, "surface", "m2", 0.0001, 100000, &given->surface, error);
    if (status == SW_OK)
        status = sw_node_word(node, "axis", AXES, &given->horizontal, error);
    return status;
}

/* What the turning rotor covers, from its outline; NaN when the outline is not given. */
static double outline(const size_given *given) {
    if (given->horizontal)
        return M_PI * given->radius.value * given->radius.value;
    double width = isnan(given->width.value) ? 2 * given->radius.value : given->width.value;
    return width * given->height.value;
}

static sw_status refuse_surface(const sw_node *node, double stated, double covered,
                                sw_error *error) {
    return sw_node_fail(node, "swept_area", error, SW_MISMATCH,
                        "found %.3g m2, but the rotor covers only %.3g m2 (width x height as the "
                        "wind sees it); swept area is not the surface of the vanes: folding or "
                        "corrugating a sheet adds surface, not swept area",
                        stated, covered);
}

static void note_surface(sw_rotor *rotor, double surface_m2) {
    if (surface_m2 > rotor->swept_area_m2)
        snprintf(rotor->note, sizeof rotor->note,
                 "The vanes have %.3g m2 of surface, but the rotor sweeps %.3g m2, and only the "
                 "swept area catches wind. Folding or corrugating a sheet makes it stiffer; it "
                 "adds surface, not swept area.",
                 surface_m2, rotor->swept_area_m2);
}

static sw_status missing_area(const sw_node *node, bool horizontal, sw_error *error) {
    if (horizontal)
        return sw_node_need(node, "radius", "\"1.2 m\"", error);
    return sw_node_fail(node, NULL, error, SW_MISSING_KEY,
                        "needs the area that the rotor covers: \"width\" and \"height\", or "
                        "\"swept_area\"; for example \"width\": \"1.9 m\", \"height\": \"1.2 m\"");
}

sw_status sw_rotor_read_size(const sw_node *node, sw_rotor *rotor, sw_error *error) {
    size_given given;
    sw_status status = read_given(node, rotor->horizontal, &given, error);
    if (status != SW_OK)
        return status;
    rotor->horizontal = given.horizontal != 0;
    /* A kind that knows its own outline (cups) has set both. */
    double covered = rotor->swept_area_m2 > 0 ? rotor->swept_area_m2 : outline(&given);
    if (!isnan(given.area.value) && given.area.value > AREA_SLACK * covered)
        return refuse_surface(node, given.area.value, covered, error);
    rotor->swept_area_m2 = isnan(given.area.value) ? covered : given.area.value;
    if (isnan(rotor->swept_area_m2))
        return missing_area(node, given.horizontal, error);
    if (isnan(rotor->radius_m))
        rotor->radius_m = isnan(given.radius.value) ? given.width.value / 2 : given.radius.value;
    if (isnan(rotor->radius_m))
        return sw_node_need(node, "radius", "\"0.95 m\" (axis to blade tip)", error);
    if (!isnan(given.surface.value))
        note_surface(rotor, given.surface.value);
    return SW_OK;
}
