/* Eighteen years of wind at three stations: read by the program, fitted by maximum likelihood in R.
 * Skipped where R or its package gstat (Debian: r-cran-gstat) is not installed. */
#include "tests/support.h"

#include "shared/json_read.h"
#include "src/match/site/site.h"
#include "src/match/year/power_curve.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { STATIONS = 3, SKIPPED = 77 };

/* Mean (Haslett & Raftery's table of stations gives 5.48 and 8.03 m/s for VAL and MAL) and the
 * shape and scale that a maximum-likelihood fit of our own in Python gave for the same data. */
static const struct {
    const char *name;
    double mean_m_s;
    double shape;
    double scale_m_s;
} EXPECTED[STATIONS] = {{"VAL", 5.4770, 2.1319, 6.1875},
                        {"ROS", 5.9985, 2.4775, 6.7742},
                        {"MAL", 8.0251, 2.4922, 9.0559}};

static sw_site site_of(const sw_units *units, const char *directory, const char *members) {
    char text[400];
    char path[400];
    cJSON *root = NULL;
    sw_site site;
    sw_error error = {0};
    snprintf(text, sizeof text, "{\"document\":\"site\",\"version\":1,%s}", members);
    snprintf(path, sizeof path, "%s/site.json", directory);
    assert_ok(sw_json_parse(text, strlen(text), path, &root, &error), &error);
    assert_ok(sw_site_parse(root, path, TEST_REFERENCE_DIR, units, &site, &error), &error);
    cJSON_Delete(root);
    return site;
}

/* Energy of a rotor that gives v^3 up to 20 m/s: counted row by row against the fitted curve. */
static double cubed_kwh(const sw_site *site) {
    double wind[201];
    double power[201];
    for (int i = 0; i <= 200; i++) {
        wind[i] = 0.1 * i;
        power[i] = pow(wind[i], 3);
    }
    return sw_year_kwh(wind, power, 201, site, 1);
}

static void check_station(const sw_units *units, const char *directory, int i,
                          const double fit[3]) {
    char members[200];
    assert_close(fit[0], EXPECTED[i].mean_m_s, 1e-4); /* printed to 4 digits */
    /* two optimisers stop within a fraction of the standard error, 0.02 and 0.04 */
    assert_close(fit[1], EXPECTED[i].shape, 0.005);
    assert_close(fit[2], EXPECTED[i].scale_m_s, 0.005);
    snprintf(members, sizeof members, "\"wind_file\":\"%s.csv\"", EXPECTED[i].name);
    sw_site counted = site_of(units, directory, members);
    assert_close(counted.mean_wind.value, fit[0], 1e-5 * fit[0]); /* digits of the CSV */
    /* Gamma(1 + 1/k) c is the fitted mean: within half a percent of the counted one */
    double mean = fit[2] * tgamma(1 + 1 / fit[1]);
    assert_close(mean, counted.mean_wind.value, 0.005 * mean);
    snprintf(members, sizeof members, "\"mean_wind\":\"%.6f m/s\",\"weibull_k\":%.6f", mean,
             fit[1]);
    sw_site fitted = site_of(units, directory, members);
    assert_close(sw_weibull_scale(fitted.mean_wind.value, fitted.weibull_k), fit[2], 1e-4);
    /* The cubes of these data and of their fits differ by 1 % (VAL 295.43, 295.65; ROS 348.58,
     * 344.57; MAL 823.56, 819.97 m3/s3); what blows above 20 m/s adds less than 1 % at MAL. */
    assert_close(cubed_kwh(&counted), cubed_kwh(&fitted), 0.02 * cubed_kwh(&fitted));
    sw_site_free(&counted);
    sw_site_free(&fitted);
}

static void three_stations_as_r_fits_them(void **state) {
    char directory[200];
    char command[700];
    char out[2000];
    char err[2000];
    support_temporary_directory(directory, sizeof directory);
    snprintf(command, sizeof command,
             "Rscript --vanilla '%s/outside/wind_weibull.R' '%s' VAL ROS MAL", TEST_SOURCE_DIR,
             directory);
    if (support_run(command, out, sizeof out, err, sizeof err) != 0)
        fail_msg("R failed: %s", err);
    const char *line = out;
    for (int i = 0; i < STATIONS; i++) {
        double fit[3];
        char *end = NULL;
        assert_memory_equal(line, EXPECTED[i].name, 3);
        line += 3;
        for (int j = 0; j < 3; j++, line = end)
            fit[j] = strtod(line, &end);
        check_station(*state, directory, i, fit);
        line = strchr(line, '\n') + 1;
    }
    support_remove_tree(directory);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(three_stations_as_r_fits_them)};
    if (support_run(
            "Rscript --vanilla -e 'q(status = !requireNamespace(\"gstat\", quietly = TRUE))'", NULL,
            0, NULL, 0) != 0) {
        print_message("skipped: R with its package gstat (r-cran-gstat) is not installed\n");
        return SKIPPED;
    }
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
