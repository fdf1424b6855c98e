/* Annual energy against closed forms of the Weibull distribution. */
#include "tests/match/scene.h"

#include "src/match/year/power_curve.h"

#include <gsl/gsl_sf_gamma.h>
#include <math.h>

enum { POINTS = 1200 };

/* Hours of a year as the site counts them. */
static double year_hours(const sw_site *site) {
    return sw_site_hours(site, 0, INFINITY, 1);
}

static void constant_power_between_two_winds(void **state) {
    sw_site site = scene_site(*state, SCENE_SITE);
    double wind[] = {3, 3.0000001, 11, 11.0000001};
    double power[] = {0, 70, 70, 0};
    double scale = sw_weibull_scale(4.8, 2);
    /* P (exp(-(a/c)^k) - exp(-(b/c)^k)) */
    double share = exp(-pow(3 / scale, 2)) - exp(-pow(11 / scale, 2));
    double expected = 0.070 * share * year_hours(&site);
    assert_close(sw_year_kwh(wind, power, 4, &site, 1), expected, 1e-5 * expected);
    assert_close(year_hours(&site), 8760, 7); /* a year of 365 or 365.25 days */
    sw_site_free(&site);
}

/* The cube of the wind: mean v^3 = c^3 Gamma(1 + 3/k). */
static void cube_law(void **state) {
    sw_site site = scene_site(*state, SCENE_SITE);
    static double wind[POINTS];
    static double power[POINTS];
    for (int i = 0; i < POINTS; i++) {
        wind[i] = 30.0 * i / (POINTS - 1);
        power[i] = pow(wind[i], 3);
    }
    double scale = sw_weibull_scale(4.8, 2);
    double cube = pow(scale, 3) * gsl_sf_gamma(2.5);
    double expected = cube * year_hours(&site) / 1000;
    /* Powers at the edges weighted with exact probabilities overestimate by h^2/6 times the mean
     * second derivative, 6 v here: by parts over each bin. What is left is of order h^4. */
    double step = 30.0 / (POINTS - 1);
    double excess = step * step / 6 * 6 * 4.8 / cube;
    assert_close(sw_year_kwh(wind, power, POINTS, &site, 1), expected * (1 + excess),
                 1e-6 * expected);
    /* a tenth more wind is a third more energy */
    double more = pow(1.1, 3);
    assert_close(sw_year_kwh(wind, power, POINTS, &site, 1.1),
                 more * expected * (1 + excess / (1.1 * 1.1)), 1e-6 * more * expected);
    sw_site_free(&site);
}

static void nothing_above_the_shutdown_wind(void **state) {
    sw_site site = scene_site(*state, SCENE_SITE);
    double wind[] = {0, 5, 10, 15};
    double power[] = {100, 100, 100, 100};
    double all = sw_year_kwh(wind, power, 4, &site, 1);
    site.shutdown_wind = 10;
    double scale = sw_weibull_scale(4.8, 2);
    double share = 1 - exp(-pow(10 / scale, 2));
    double expected = 0.1 * share * year_hours(&site);
    assert_close(sw_year_kwh(wind, power, 4, &site, 1), expected, 1e-9 * expected);
    assert_true(all > expected);
    sw_site_free(&site);
}

static void wind_exceeded_inverts_weibull(void **state) {
    sw_site site = scene_site(*state, SCENE_SITE);
    double scale = sw_weibull_scale(4.8, 2);
    double expected = scale * sqrt(log(year_hours(&site) / 10));
    assert_close(sw_site_wind_exceeded(&site, 10), expected, 1e-6);
    sw_site_free(&site);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(constant_power_between_two_winds),
        cmocka_unit_test(cube_law),
        cmocka_unit_test(nothing_above_the_shutdown_wind),
        cmocka_unit_test(wind_exceeded_inverts_weibull),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
