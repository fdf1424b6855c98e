/* Heat leaves a housing by natural convection and by radiation:
 *
 *   P = A (h_c + h_r) (T_housing - T_air)
 *   h_c = 1.32 ((T_housing - T_air) / D)^0.25      horizontal cylinder in still air, laminar
 *   h_r = e s (T_housing^4 - T_air^4) / (T_housing - T_air)
 *
 * The housing is cooler than the copper: insulation and slots lie between, and how much cooler is
 * what a scrap motor does not tell. So three cases are worked out. With a weight alone the surface
 * is that of a cylinder as long as wide, which has the least surface of all cylinders of its
 * volume. A motor that is bolted to much metal, or that stands in the wind, sheds more; one in a
 * closed box sheds less than any of this. */
#include "src/match/heat/winding_heat.h"

#include "shared/constants.h"

#include <gsl/gsl_const_mksa.h>
#include <math.h>

/* Insulation and glue of unknown age: half way to the 105 degC of the oldest class (class A, IEC
 * 60085, from memory) on a warm day. Common practice, no source. */
static const double USUAL_WINDING_DEGC = 80;
static const double AIR_DEGC = 25;

/* A whole small motor, steel, copper and air: common practice, no source; 3500 to 6500. */
static const double MOTOR_KG_M3 = 5000;

/* One way the motor may stand. */
typedef struct cooling_case {
    double housing_share; /* of the winding's rise that the housing has; common practice */
    double emissivity;    /* bare metal to dull paint; textbook range, from memory */
    double surface_share; /* that air reaches; common practice */
    double draught;       /* on convection: air moved by rotor and wind; common practice */
} cooling_case;

static const cooling_case POOR = {0.5, 0.2, 0.6, 1};
static const cooling_case MIDDLE = {0.7, 0.7, 0.8, 1};
static const cooling_case GOOD = {0.9, 0.95, 1, 2};

static const double ZERO_DEGC_K = 273.15;

/* Cengel, Introduction to Thermodynamics and Heat Transfer, table of simplified relations for
 * natural convection in air at atmospheric pressure: horizontal cylinder. */
static double convection_w_m2k(double rise_k, double diameter_m) {
    return 1.32 * pow(rise_k / diameter_m, 0.25);
}

static double shed_w(const sw_winding_heat *it, const cooling_case *at, double diameter_m) {
    double rise_k = at->housing_share * (it->winding_degc - it->air_degc);
    double air_k = it->air_degc + ZERO_DEGC_K;
    double radiated = at->emissivity * GSL_CONST_MKSA_STEFAN_BOLTZMANN_CONSTANT *
                      (pow(air_k + rise_k, 4) - pow(air_k, 4));
    double carried = at->draught * convection_w_m2k(rise_k, diameter_m) * rise_k;
    return at->surface_share * it->surface_m2 * (radiated + carried);
}

/* Mantle and both ends. */
static double cylinder_m2(double diameter_m, double length_m) {
    return M_PI * diameter_m * (length_m + 0.5 * diameter_m);
}

/* Of a cylinder as long as wide: V = pi D^3 / 4. */
static double diameter_of_weight_m(double mass_kg) {
    return cbrt(4 * mass_kg / (M_PI * MOTOR_KG_M3));
}

static bool has_size(const sw_motor *motor) {
    return sw_quantity_known(motor->diameter) && sw_quantity_known(motor->length);
}

sw_winding_heat sw_winding_heat_of(const sw_motor *motor) {
    sw_winding_heat it = {.winding_degc = USUAL_WINDING_DEGC, .air_degc = AIR_DEGC};
    bool sized = has_size(motor);
    if (!sized && !sw_quantity_known(motor->mass))
        return it;
    double diameter_m =
        sized ? 1e-3 * motor->diameter.value : diameter_of_weight_m(motor->mass.value);
    double length_m = sized ? 1e-3 * motor->length.value : diameter_m;
    if (sw_quantity_known(motor->limit_temperature))
        it.winding_degc = motor->limit_temperature.value;
    it.known = true;
    it.by_weight = !sized;
    it.surface_m2 = cylinder_m2(diameter_m, length_m);
    it.low_w = shed_w(&it, &POOR, diameter_m);
    it.middle_w = shed_w(&it, &MIDDLE, diameter_m);
    it.high_w = shed_w(&it, &GOOD, diameter_m);
    return it;
}

double sw_winding_hot_w(const sw_winding_heat *heat, double cold_copper_w, int machines) {
    double hotter = 1 + SW_COPPER_PER_K * (heat->winding_degc - 20);
    return hotter * cold_copper_w / (machines > 1 ? machines : 1);
}

double sw_motor_weight_kg(const sw_motor *motor) {
    if (sw_quantity_known(motor->mass))
        return motor->mass.value;
    if (!has_size(motor))
        return NAN;
    double radius_m = 0.5e-3 * motor->diameter.value;
    return MOTOR_KG_M3 * M_PI * radius_m * radius_m * 1e-3 * motor->length.value;
}
