#include "src/match/site/air.h"

#include <math.h>

/* ISO 2533: sea-level pressure and temperature, lapse, gas constant of dry air, g / (R lapse). */
static const double PRESSURE_PA = 101325.0;
static const double SEA_KELVIN = 288.15;
static const double LAPSE_K_M = 0.0065;
static const double GAS_J_KG_K = 287.05287;
static const double EXPONENT = 5.2559;
static const double ZERO_DEGC_KELVIN = 273.15;

double sw_air_density(double altitude_m, double temperature_degc) {
    double kelvin = isnan(temperature_degc) ? SEA_KELVIN - LAPSE_K_M * altitude_m
                                            : temperature_degc + ZERO_DEGC_KELVIN;
    /* Barometric formula, ISO 2533: p = p0 (T / (T + L z))^(g / (R L)); rho = p / (R T). */
    double pressure = PRESSURE_PA * pow(kelvin / (kelvin + LAPSE_K_M * altitude_m), EXPONENT);
    return pressure / (GAS_J_KG_K * kelvin);
}
