/* Density of the air at a site. */
#ifndef SPINWORTH_MATCH_AIR_H
#define SPINWORTH_MATCH_AIR_H

/* kg/m3 at altitude_m (-400 .. 5000) and temperature_degc; temperature NaN = ISO 2533 standard
 * atmosphere. With a temperature: p = p0 (T/(T + 0.0065 z))^5.2559, the same lapse. */
double sw_air_density(double altitude_m, double temperature_degc);

#endif
