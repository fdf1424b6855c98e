/* Air, Weibull, shear and a year's energy against published tables. */
#include "tests/support.h"

#include "src/match/parts/reference.h"
#include "src/match/site/air.h"
#include "src/match/site/site.h"

#include <math.h>

/* ISO 2533 (constants from memory; densities as tabulated by altitude). */
static void standard_atmosphere(void **state) {
    (void)state;
    static const double TABLE[][2] = {{0, 1.225},      {500, 1.16727},  {1000, 1.11164},
                                      {1500, 1.05807}, {2000, 1.00649}, {2500, 0.95686},
                                      {3000, 0.90912}};
    for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++)
        assert_close(sw_air_density(TABLE[i][0], NAN), TABLE[i][1], 2e-5); /* last digit */
}

/* "Air density table", one-page sheet (lapse 6.5 K/km, 1013.25 hPa at sea level): density at the
 * actual temperature. */
static void density_at_temperature(void **state) {
    (void)state;
    static const double TABLE[][3] = {
        {0, -5, 1.316},    {0, 0, 1.292},      {0, 10, 1.247},   {0, 20, 1.204},
        {0, 35, 1.145},    {500, -10, 1.258},  {500, 5, 1.194},  {500, 15, 1.155},
        {500, 30, 1.101},  {1000, -15, 1.2},   {1000, 0, 1.142}, {1000, 10, 1.106},
        {1000, 25, 1.057}, {2000, -25, 1.088}, {2000, 0, 1.012}, {2000, 10, 0.985},
    };
    for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++)
        assert_close(sw_air_density(TABLE[i][0], TABLE[i][1]), TABLE[i][2], 0.0006);
    /* Masters, Renewable and Efficient Electric Power Systems, eq. 7.17: 353.1/T exp(-0.0342 z/T);
     * an isothermal form, 1 % apart at 2000 m */
    for (double z = 0; z <= 2000; z += 500)
        assert_close(sw_air_density(z, 5), 353.1 / 278.15 * exp(-0.0342 * z / 278.15), 0.01);
}

static sw_site weibull_site(double mean_m_s, double k) {
    return (sw_site){.mean_wind = {mean_m_s, 0, "m/s"}, .weibull_k = k};
}

/* Jain, Wind Energy Engineering, 2011, table 3-1: mean and mode by shape and scale. */
static void jain_means_and_modes(void **state) {
    (void)state;
    static const double TABLE[][4] = {
        {1, 8, 8.0, 0},          {1.5, 8, 7.222, 3.846}, {2, 8, 7.09, 5.657},
        {2.5, 8, 7.098, 6.522},  {3, 8, 7.144, 6.989},   {1, 10, 10.0, 0},
        {1.5, 10, 9.027, 4.807}, {2, 10, 8.862, 7.071},  {2.5, 10, 8.873, 8.152},
        {3, 10, 8.93, 8.736},
    };
    for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++) {
        double k = TABLE[i][0];
        double scale = TABLE[i][1];
        assert_close(sw_weibull_scale(TABLE[i][2], k), scale, 0.001 * scale);
        sw_site site = weibull_site(scale * tgamma(1 + 1 / k), k);
        /* the mode is where equal bins hold most hours */
        double best = 0;
        double most = 0;
        for (double v = 0; v < 12; v += 0.005) {
            double hours = sw_site_hours(&site, v, v + 0.01, 1);
            if (hours > most) {
                most = hours;
                best = v + 0.005;
            }
        }
        assert_close(best, TABLE[i][3], 0.011); /* bin of 1 cm/s */
    }
}

/* Mean of v^n over the year, from hours in bins of 2 cm/s. */
static double moment(const sw_site *site, int n) {
    double sum = 0;
    for (double v = 0; v < 150; v += 0.02)
        sum += pow(v + 0.01, n) * sw_site_hours(site, v, v + 0.02, 1) / 8760;
    return sum;
}

/* Manwell, McGowan, Rogers, Wind Energy Explained, ch. 2 (from memory): deviation over mean and
 * energy pattern factor by shape. */
static void manwell_factors(void **state) {
    (void)state;
    static const double TABLE[][3] = {
        {1.2, 0.837, 3.99}, {2, 0.523, 1.91}, {3, 0.363, 1.40}, {5, 0.229, 1.15}};
    for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++) {
        sw_site site = weibull_site(5, TABLE[i][0]);
        double mean = moment(&site, 1);
        assert_close(mean, 5, 1e-3);
        assert_close(sqrt(moment(&site, 2) - mean * mean) / mean, TABLE[i][1], 0.0006);
        assert_close(moment(&site, 3) / pow(mean, 3), TABLE[i][2], 0.006);
    }
}

/* Masters, Renewable and Efficient Electric Power Systems (from memory, recomputed): 6 m/s at
 * 10 m, Rayleigh, exponent 1/7: 7.55 m/s and 504 W/m2 at 50 m. */
static void masters_power_at_height(void **state) {
    (void)state;
    double mean = 6 * sw_shear_power(10, 50, 1.0 / 7);
    sw_site site = weibull_site(mean, 2);
    assert_close(mean, 7.55, 0.005);
    assert_close(0.5 * 1.225 * moment(&site, 3), 504, 0.6);
}

/* Carlin's "one-two-three" machine (Manwell ch. 2, from memory): Betz in a Rayleigh wind gives
 * rho (2 D / 3)^2 U^3. */
static void one_two_three(void **state) {
    (void)state;
    sw_site site = weibull_site(5, 2);
    double power = 0.5 * 1.225 * 3.14159265 * 16 / 27 * moment(&site, 3); /* D = 2 m */
    assert_close(power, 1.225 * pow(4.0 / 3, 2) * 125, 0.1);
}

/* Three stations of the open Irish wind data (Haslett and Raftery, Applied Statistics 38, 1989; R
 * package gstat): shape and scale fitted by maximum likelihood there, mean cube of the daily means
 * and that of the fit. */
static void irish_stations(void **state) {
    (void)state;
    static const double TABLE[][5] = {/* k, c, mean, mean v3, v3 of the fit */
                                      {2.1319, 6.1875, 5.477, 295.43, 295.65},
                                      {2.4775, 6.7742, 5.9985, 348.58, 344.57},
                                      {2.4922, 9.0559, 8.0251, 823.56, 819.97}};
    for (size_t i = 0; i < 3; i++) {
        double mean = TABLE[i][1] * tgamma(1 + 1 / TABLE[i][0]);
        sw_site site = weibull_site(mean, TABLE[i][0]);
        assert_close(sw_weibull_scale(mean, TABLE[i][0]), TABLE[i][1], 1e-9);
        assert_close(mean, TABLE[i][2], 0.01 * TABLE[i][2]);
        assert_close(moment(&site, 3), TABLE[i][4], 0.02);
        assert_close(moment(&site, 3), TABLE[i][3], 0.015 * TABLE[i][3]);
    }
}

/* Raciti Castelli and Benini, WASET Int. J. Environmental and Ecological Engineering 5(11), 2011,
 * figures 3, 6 and 7 (read off) and table III: a 12 m2 drag machine and a 13.6 m2 lift machine on
 * the wind of Trieste 2005, energy by bins of 1 m/s, 1446 and 1458 kWh a year. Bars of figure 3
 * come in steps of 0.07 %, read to 0.05 %; powers are read to 0.01 kW. */
enum { BINS = 20, SHARES = 10000 };
static const double SHARE_PERCENT[BINS] = {20.48, 25.0, 16.99, 11.92, 8.42, 5.27, 3.42,
                                           2.26,  1.51, 1.1,   0.89,  0.68, 0.48, 0.34,
                                           0.27,  0.21, 0.21,  0.07,  0.07, 0.07};
static const double DRAG_KW[BINS] = {0,     0,     0,     0.066, 0.132, 0.258, 0.344,
                                     0.49,  0.709, 0.993, 1.311, 1.808, 2.291, 2.993,
                                     3.901, 3.9,   3.9,   3.9,   3.9,   3.9};
static const double DRAG_KWH[BINS] = {0,     0,    0,    78.5,  103.5, 115.8, 105.5,
                                      98.9,  94.8, 97.5, 102.5, 109.3, 97.5,  96.2,
                                      102.7, 80.1, 65.8, 37.9,  23.8,  19.7};
static const double LIFT_KW[BINS] = {0,   0,     0,     0,     0,     0,   0.146, NAN, 0.868, 1.351,
                                     2.0, 2.795, 3.589, 4.483, 5.498, 6.0, 6.0,   6.0, 6.0,   0};
static const double LIFT_KWH[BINS] = {0,     0,     0,     0,     0,     0,     44.9,
                                      78.9,  114.9, 131.5, 155.4, 169.8, 152.4, 144.6,
                                      144.4, 122.7, 101.1, 57.8,  37.0,  0};

/* The bars as measured wind speeds: a hundredth of a per cent is one sample. */
static size_t trieste(double sample_m_s[SHARES]) {
    size_t count = 0;
    for (int bin = 0; bin < BINS; bin++)
        for (long i = 0; i < lround(SHARE_PERCENT[bin] * 100) && count < SHARES; i++)
            sample_m_s[count++] = bin + 0.5;
    return count;
}

static double year_of_bins(const sw_site *site, const double *power_kw, const double *energy_kwh,
                           double share_of_bars) {
    double sum = 0;
    for (int bin = 0; bin < BINS; bin++) {
        if (isnan(power_kw[bin])) {
            sum += energy_kwh[bin]; /* hidden in the figure */
            continue;
        }
        double hours = sw_site_hours(site, bin, bin + 1, 1) * share_of_bars;
        double energy = hours * power_kw[bin];
        double slack = 8760 * (0.0005 * power_kw[bin] + SHARE_PERCENT[bin] / 100 * 0.01) + 0.2;
        assert_close(hours, 87.6 * SHARE_PERCENT[bin], 1e-6);
        assert_close(energy, energy_kwh[bin], slack);
        sum += energy;
    }
    return sum;
}

static void trieste_bin_by_bin(void **state) {
    (void)state;
    double samples[SHARES];
    size_t count = trieste(samples);
    sw_site site = {.mean_wind = {3.2, 0, "m/s"}, .samples = count, .sample_m_s = samples};
    double share = (double)count / 10000; /* the bars read off add up to 99.7 % */
    double drag = year_of_bins(&site, DRAG_KW, DRAG_KWH, share);
    double lift = year_of_bins(&site, LIFT_KW, LIFT_KWH, share);
    print_message("drag machine %.0f kWh (published 1446), lift machine %.0f kWh (published "
                  "1458)\n",
                  drag, lift);
    /* the coarse bars of rare strong winds leave out some 5 % of the published sums */
    assert_close(drag, 1446, 0.06 * 1446);
    assert_close(lift, 1458, 0.06 * 1458);
}

/* The same year by the paper's own Weibull fit, k = 1.170, c = 3.52 m/s (which does not keep the
 * measured mean: 3.33 against 3.2 m/s): 7 and 4 % above the sums by bins. */
static void trieste_by_weibull(void **state) {
    (void)state;
    sw_site site = weibull_site(3.52 * tgamma(1 + 1 / 1.17), 1.17);
    double drag = 0;
    double lift = 0;
    for (int bin = 0; bin < BINS; bin++) {
        double hours = sw_site_hours(&site, bin, bin + 1, 1);
        drag += hours * DRAG_KW[bin];
        lift += hours * (isnan(LIFT_KW[bin]) ? 0.4 : LIFT_KW[bin]);
    }
    print_message("by Weibull %.0f and %.0f kWh\n", drag, lift);
    assert_close(drag, 1446, 0.08 * 1446);
    assert_close(lift, 1458, 0.08 * 1458);
}

/* Jain, Wind Energy Engineering, 2011, table 3-5; and the textbook forms of both laws. */
static void shear(void **state) {
    (void)state;
    static const struct {
        const char *name;
        double length_m;
        double exponent;
    } TABLE[] = {{"smooth-open", 0.0024, 0.11},
                 {"farmland-open", 0.03, 0.15},
                 {"farmland-hedges-1250m", 0.055, 0.17},
                 {"farmland-hedges-500m", 0.1, 0.19},
                 {"farmland-hedges-250m", 0.2, 0.21},
                 {"villages-forest", 0.4, 0.25},
                 {"large-cities", 0.8, 0.31},
                 {"very-large-cities", 1.6, 0.39}};
    for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++) {
        sw_roughness found;
        sw_error error = {0};
        assert_ok(sw_roughness_find(TEST_REFERENCE_DIR, TABLE[i].name, &found, &error), &error);
        assert_close(found.length_m, TABLE[i].length_m, 0);
        assert_close(found.exponent, TABLE[i].exponent, 0);
        /* the two laws are two fits to the same ground: near 20 m they agree within 6 % */
        assert_close(sw_shear_power(10, 20, found.exponent) / sw_shear_log(10, 20, found.length_m),
                     1, 0.06);
    }
    assert_close(sw_shear_power(10, 50, 1.0 / 7), 1.2585, 0.0001);
    assert_close(sw_shear_log(10, 50, 0.03), 1.27705, 0.0001); /* ln(50/.03) / ln(10/.03) */
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(standard_atmosphere),     cmocka_unit_test(density_at_temperature),
        cmocka_unit_test(jain_means_and_modes),    cmocka_unit_test(manwell_factors),
        cmocka_unit_test(masters_power_at_height), cmocka_unit_test(one_two_three),
        cmocka_unit_test(irish_stations),          cmocka_unit_test(trieste_bin_by_bin),
        cmocka_unit_test(trieste_by_weibull),      cmocka_unit_test(shear),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
