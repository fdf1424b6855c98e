#include "tests/support.h"

#include "shared/files.h"
#include "shared/json_read.h"
#include "src/match/site/site.h"
#include "src/match/site/wind_file.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static sw_status parse_named(void **state, const char *file, const char *body, sw_site *site,
                             sw_error *error) {
    char text[3000];
    cJSON *root = NULL;
    snprintf(text, sizeof text, "{\"document\":\"site\",\"version\":1,%s}", body);
    assert_ok(sw_json_parse(text, strlen(text), file, &root, error), error);
    sw_status status = sw_site_parse(root, file, TEST_REFERENCE_DIR, *state, site, error);
    cJSON_Delete(root);
    return status;
}

static void good(void **state, const char *body, sw_site *site) {
    sw_error error = {0};
    assert_ok(parse_named(state, "site.json", body, site, &error), &error);
}

static void refused(void **state, const char *body, sw_status status, const char *says) {
    sw_error error = {0};
    sw_site site;
    assert_int_equal(parse_named(state, "site.json", body, &site, &error), status);
    if (strstr(error.message, says) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", error.message, says);
}

static void defaults_are_marked(void **state) {
    sw_site site;
    good(state, "\"mean_wind\":\"4 m/s\"", &site);
    assert_close(site.mean_wind.value, 4, 1e-12);
    assert_close(site.mean_wind.u, 0.4, 1e-12); /* 10 % unless stated */
    assert_true(site.mean_wind_guessed && site.weibull_guessed && site.storm_guessed);
    assert_close(site.weibull_k, 2, 0);
    assert_close(site.density, 1.225, 0.0001);
    assert_close(site.storm_wind.value, 42, 1e-12); /* class 4: 1.4 x 30 */
    assert_true(site.storm_wind.u > 0);
    assert_true(isinf(site.shutdown_wind));
    sw_site_free(&site);
}

static void stated_values_win(void **state) {
    sw_site site;
    good(state,
         "\"mean_wind\":{\"value\":11,\"unit\":\"mph\",\"u\":0.5},\"weibull_k\":1.7,\"storm_wind\":"
         "\"40 m/s\",\"shutdown_wind\":\"20 m/s\",\"altitude\":\"500 m\",\"temperature\":\"10 "
         "degC\"",
         &site);
    assert_close(site.mean_wind.value, 11 * 0.44704, 1e-9);
    assert_close(site.mean_wind.u, 0.5 * 0.44704, 1e-9);
    assert_false(site.mean_wind_guessed || site.weibull_guessed || site.storm_guessed);
    assert_close(site.storm_wind.value, 40, 1e-12);
    assert_close(site.shutdown_wind, 20, 1e-12);
    assert_close(site.density, 1.174, 0.0005); /* published table, three decimals */
    sw_site_free(&site);
    good(state, "\"mean_wind\":{\"value\":4,\"unit\":\"m/s\",\"u\":1},\"guessed\":[\"mean_wind\"]",
         &site);
    assert_true(site.mean_wind_guessed);
    sw_site_free(&site);
}

static void hours_of_all_winds_make_a_year(void **state) {
    unsigned seed = 71;
    print_message("seed %u\n", seed);
    srand(seed);
    for (int i = 0; i < 50; i++) {
        sw_site site;
        char body[200];
        double k = 1 + 3.0 * rand() / RAND_MAX;
        double mean = 1 + 9.0 * rand() / RAND_MAX;
        snprintf(body, sizeof body, "\"mean_wind\":\"%.6f m/s\",\"weibull_k\":%.6f", mean, k);
        good(state, body, &site);
        double sum = 0;
        double moment = 0;
        for (int bin = 0; bin < 20000; bin++) {
            double hours = sw_site_hours(&site, bin * 0.01, (bin + 1) * 0.01, 1);
            assert_true(hours >= 0);
            sum += hours;
            moment += hours * (bin + 0.5) * 0.01;
        }
        /* nothing of these Weibulls lies above 200 m/s to 1e-8; mid-points of 1 cm/s bins keep
         * the mean to bin^2 / 24 of the density's slope */
        assert_close(sum, 8760, 1e-4);
        assert_close(moment / 8760, mean, 1e-3);
        /* stretching the mean stretches the axis */
        assert_close(sw_site_hours(&site, 3, 5, 1.3), sw_site_hours(&site, 3 / 1.3, 5 / 1.3, 1),
                     1e-9);
        sw_site_free(&site);
    }
}

static void height_changes_the_wind(void **state) {
    sw_site site;
    good(state,
         "\"mean_wind\":\"6 m/s\",\"measured_height\":\"10 m\",\"hub_height\":\"50 m\","
         "\"shear_exponent\":0.142857142857",
         &site);
    assert_close(site.mean_wind.value, 6 * pow(5, 1.0 / 7), 1e-8);
    assert_close(site.mean_wind.u / site.mean_wind.value, 0.1, 1e-12);
    sw_site_free(&site);
    good(state,
         "\"mean_wind\":\"5 m/s\",\"measured_height\":\"10 m\",\"hub_height\":\"5 m\","
         "\"terrain\":\"farmland-open\"",
         &site);
    assert_close(site.mean_wind.value, 5 * log(5 / 0.03) / log(10 / 0.03), 1e-9);
    sw_site_free(&site);
    good(state,
         "\"mean_wind\":\"5 m/s\",\"measured_height\":\"10 m\",\"hub_height\":\"4 m\","
         "\"terrain\":\"very-large-cities\"",
         &site); /* a hub among the roofs: the log law ends, the exponent holds */
    assert_close(site.mean_wind.value, 5 * pow(0.4, 0.39), 1e-9);
    sw_site_free(&site);
}

static void classes_follow_the_mean(void **state) {
    (void)state;
    assert_int_equal(sw_storm_class(4), 4);
    assert_int_equal(sw_storm_class(6.5), 3);
    assert_int_equal(sw_storm_class(8), 2);
    assert_int_equal(sw_storm_class(9.9), 1);
    assert_close(sw_storm_gust(1), 70, 1e-12);
    assert_close(sw_storm_gust(2), 59.5, 1e-12);
    assert_close(sw_storm_gust(3), 52.5, 1e-12);
}

static void months_make_a_mean(void **state) {
    sw_site site;
    good(state, "\"monthly_mean_wind\":{\"unit\":\"m/s\",\"list\":[6,6,5,5,4,4,3,3,4,4,5,5]}",
         &site);
    assert_true(site.monthly);
    assert_close(site.mean_wind.value, 4.5, 1e-12);
    assert_close(site.month_mean_m_s[0], 6, 1e-12);
    sw_site_free(&site);
}

static sw_status parse_wind(void **state, const char *text, const char *column, const char *unit,
                            sw_wind_file *file, sw_error *error) {
    return sw_wind_file_parse(text, strlen(text), "wind.csv", column, unit, *state, file, error);
}

static void wind_tables(void **state) {
    static const struct {
        const char *text;
        const char *column;
        const char *unit;
        size_t samples;
        size_t left_out;
        double top_m_s;
    } CASES[] = {
        {"time,wind [m/s]\n10:00,3\n10:10,5.5\n10:20,\n", NULL, NULL, 2, 1, 5.5},
        {"\xEF\xBB\xBFtime;wind (km/h);dir\r\na;36,0;9\r\nb;7,2;9\r\n", NULL, NULL, 2, 0, 10},
        {"# logger 7\n\n2024-01-01 4.0\n2024-01-02 6.0\n", NULL, "m/s", 2, 0, 6},
        {"date\tgust\twind_mph\n1\t30\t10\n2\t30\tNA\n3\t30\t20\n", NULL, NULL, 2, 1, 8.9408},
        {"a,b,c\n1,2,3\n4,5,6\n", "b", "m/s", 2, 0, 5},
        {"a,b,c\n1,2,3\n4,5,6\n", "3", "knots", 2, 0, 6 * 0.514444},
        {"3\n4\n5", NULL, "m/s", 3, 0, 5},
    };
    for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
        sw_wind_file file;
        sw_error error = {0};
        assert_ok(parse_wind(state, CASES[i].text, CASES[i].column, CASES[i].unit, &file, &error),
                  &error);
        assert_int_equal(file.samples, CASES[i].samples);
        assert_int_equal(file.left_out, CASES[i].left_out);
        assert_close(file.sample_m_s[file.samples - 1], CASES[i].top_m_s, 1e-5);
        sw_wind_file_free(&file);
    }
}

static void bad_wind_tables(void **state) {
    static const struct {
        const char *text;
        const char *column;
        const char *unit;
        sw_status status;
        const char *says;
    } CASES[] = {
        {"", NULL, "m/s", SW_EMPTY, "no rows"},
        {"time,wind\n1,2\n2,3\n", NULL, NULL, SW_UNIT, "wind_unit"},
        {"time,wind\n1,2\n2,3\n", NULL, "volts", SW_UNIT, "wind unit"},
        {"time,wind\n1,2\n2,fast\n", NULL, "m/s", SW_FORMAT, "line 3"},
        {"time,wind\n1,2\n2,-3\n", NULL, "m/s", SW_VALUE, "line 3"},
        {"time,wind\n1,2\n2,300\n", NULL, "m/s", SW_VALUE, "right column"},
        {"a,b\n1,2\n2,3\n", NULL, "m/s", SW_VALUE, "wind_column"},
        {"wind a,wind b\n1,2\n2,3\n", NULL, "m/s", SW_VALUE, "2 columns"},
        {"a,b\n1,2\n2,3\n", "c", "m/s", SW_VALUE, "no column is called"},
        {"1,2\n2,3\n", "wind", "m/s", SW_VALUE, "no header"},
        {"a,b\n1,2\n2,3\n", "0", "m/s", SW_VALUE, "number from 1"},
        {"wind\n4\n", NULL, "m/s", SW_TOO_SHORT, "at least 2"},
    };
    for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
        sw_wind_file file;
        sw_error error = {0};
        assert_int_equal(
            parse_wind(state, CASES[i].text, CASES[i].column, CASES[i].unit, &file, &error),
            CASES[i].status);
        if (strstr(error.message, CASES[i].says) == NULL)
            fail_msg("\"%s\" does not say \"%s\"", error.message, CASES[i].says);
        assert_null(file.sample_m_s);
    }
}

/* Whatever bytes come: an answer or one line of error, never a crash (run under sanitizers). */
static void any_bytes(void **state) {
    static const char SEED_TEXT[] = "time;wind [m/s];\"a;b\"\n10:00;3,5;NA\n10:10;5.5;1\n11;;\n";
    static const char ODD[] = "\n\r;,\t\" #[]()-+.eE09NnaA\x80\xff";
    unsigned seed = 4711;
    size_t read = 0;
    print_message("seed %u\n", seed);
    srand(seed);
    for (int i = 0; i < 20000; i++) {
        char text[sizeof SEED_TEXT];
        sw_wind_file file;
        sw_error error = {0};
        memcpy(text, SEED_TEXT, sizeof text);
        for (int j = rand() % 6; j >= 0; j--)
            text[(size_t)rand() % (sizeof text - 1)] = ODD[(size_t)rand() % (sizeof ODD - 1)];
        size_t length = (size_t)rand() % sizeof text;
        /* a copy of exactly that length, so that reading beyond is seen */
        char *exact = malloc(length + 1);
        memcpy(exact, text, length);
        sw_status status = sw_wind_file_parse(exact, length, "wind.csv", i % 3 ? NULL : "2",
                                              i % 2 ? NULL : "m/s", *state, &file, &error);
        if (status == SW_OK)
            read++;
        else
            assert_true(error.message[0] != '\0' && strchr(error.message, '\n') == NULL);
        sw_wind_file_free(&file);
        free(exact);
    }
    assert_true(read > 100);
}

static void site_with_a_wind_file(void **state) {
    char directory[300];
    char path[400];
    sw_error error = {0};
    sw_site site;
    static const char ROWS[] = "time,wind [m/s]\n1,2\n2,4\n3,4\n4,6\n5,9\n";
    support_temporary_directory(directory, sizeof directory);
    snprintf(path, sizeof path, "%s/wind.csv", directory);
    assert_ok(sw_file_save(path, ROWS, sizeof ROWS - 1, false, &error), &error);
    snprintf(path, sizeof path, "%s/site.json", directory);
    assert_ok(parse_named(state, path, "\"wind_file\":\"wind.csv\"", &site, &error), &error);
    assert_int_equal(site.samples, 5);
    assert_close(site.mean_wind.value, 5, 1e-12);
    assert_false(site.mean_wind_guessed);
    assert_true(site.mean_wind.u > 0);
    assert_close(sw_site_hours(&site, 4, 6, 1), 8760 * 2.0 / 5, 1e-9); /* [4, 6): 4 and 4 */
    assert_close(sw_site_hours(&site, 0, 100, 1), 8760, 1e-9);
    assert_close(sw_site_hours(&site, 17.9, 18.1, 2), 8760 / 5.0, 1e-9);
    sw_site_free(&site);
    assert_int_equal(parse_named(state, path, "\"wind_file\":\"nope.csv\"", &site, &error),
                     SW_NOT_FOUND);
    assert_int_equal(parse_named(state, path, "\"wind_file\":\"wind.csv\",\"mean_wind\":\"4 m/s\"",
                                 &site, &error),
                     SW_USAGE);
    support_remove_tree(directory);
}

static void bad_sites(void **state) {
    refused(state, "\"name\":\"yard\"", SW_MISSING_KEY, "mean_wind");
    refused(state, "\"mean_wind\":4", SW_UNIT, "m/s");
    refused(state, "\"mean_wind\":\"4 kg\"", SW_UNIT, "mean_wind");
    refused(state, "\"mean_wind\":\"-4 m/s\"", SW_VALUE, "mean_wind");
    refused(state, "\"mean_wind\":\"4 m/s\",\"weibull_k\":0", SW_VALUE, "weibull_k");
    refused(state, "\"mean_wind\":\"4 m/s\",\"altitude\":\"90 km\"", SW_VALUE, "altitude");
    refused(state, "\"mean_wind\":\"4 m/s\",\"terrain\":\"moon\"", SW_NOT_FOUND, "farmland-open");
    refused(state, "\"mean_wind\":\"4 m/s\",\"meanwind\":1", SW_UNKNOWN_KEY, "mean_wind");
    refused(state, "\"monthly_mean_wind\":{\"unit\":\"m/s\",\"list\":[1,2]}", SW_VALUE, "12");
    refused(state, "\"mean_wind\":\"4 m/s\",\"class\":7", SW_VALUE, "class");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(defaults_are_marked),
        cmocka_unit_test(stated_values_win),
        cmocka_unit_test(hours_of_all_winds_make_a_year),
        cmocka_unit_test(height_changes_the_wind),
        cmocka_unit_test(classes_follow_the_mean),
        cmocka_unit_test(months_make_a_mean),
        cmocka_unit_test(wind_tables),
        cmocka_unit_test(bad_wind_tables),
        cmocka_unit_test(any_bytes),
        cmocka_unit_test(site_with_a_wind_file),
        cmocka_unit_test(bad_sites),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
