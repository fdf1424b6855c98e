/* The site document: mean wind or a file of measured wind, height, air, storm. */
#include "src/match/site/site.h"

#include "shared/json_read.h"
#include "src/match/parts/reference.h"
#include "src/match/site/air.h"
#include "src/match/site/wind_file.h"

#include <gsl/gsl_sf_gamma.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const KEYS[] = {"document",
                                   "version",
                                   "name",
                                   "note",
                                   "mean_wind",
                                   "weibull_k",
                                   "altitude",
                                   "temperature",
                                   "measured_height",
                                   "hub_height",
                                   "shear_exponent",
                                   "terrain",
                                   "storm_wind",
                                   "class",
                                   "shutdown_wind",
                                   "wind_file",
                                   "wind_column",
                                   "wind_unit",
                                   "monthly_mean_wind",
                                   "guessed",
                                   NULL};

/* Unless stated: relative standard uncertainty of a mean wind. */
static const double MEAN_U = 0.1;

/* Unless stated: exponent over open ground, IEC 61400-2 (from memory) and a NOAA page. */
static const double SHEAR = 0.2;

static sw_status plain(const sw_node *node, const char *key, const char *unit, double low,
                       double high, double *out, sw_error *error) {
    sw_quantity quantity = sw_quantity_unknown();
    sw_status status = sw_node_quantity_in(node, key, unit, low, high, &quantity, error);
    if (status == SW_OK && sw_quantity_known(quantity))
        *out = quantity.value;
    return status;
}

/* Factor from the height of the wind reading to the hub. */
static sw_status height_factor(const sw_node *node, const char *reference_dir, double *factor,
                               sw_error *error) {
    double measured_m = NAN;
    double hub_m = NAN;
    double exponent = NAN;
    const char *terrain = NULL;
    sw_roughness roughness = {.length_m = NAN};
    *factor = 1;
    sw_status status = plain(node, "measured_height", "m", 0.5, 500, &measured_m, error);
    if (status == SW_OK)
        status = plain(node, "hub_height", "m", 0.3, 500, &hub_m, error);
    if (status == SW_OK)
        status = sw_node_number(node, "shear_exponent", 0, 1, &exponent, error);
    if (status == SW_OK)
        status = sw_node_text(node, "terrain", &terrain, error);
    if (status == SW_OK && terrain != NULL) {
        sw_error inner;
        status = sw_roughness_find(reference_dir, terrain, &roughness, &inner);
        if (status != SW_OK)
            return sw_node_fail(node, "terrain", error, status, "%s", inner.message);
    }
    if (status != SW_OK || isnan(measured_m) || isnan(hub_m))
        return status;
    bool by_log = isnan(exponent) && fmin(measured_m, hub_m) > 3 * roughness.length_m;
    if (by_log)
        *factor = sw_shear_log(measured_m, hub_m, roughness.length_m);
    else
        *factor = sw_shear_power(measured_m, hub_m,
                                 !isnan(exponent)  ? exponent
                                 : terrain != NULL ? roughness.exponent
                                                   : SHEAR);
    return SW_OK;
}

static bool says_guessed(const sw_node *node, const char *key) {
    sw_node list = {0};
    if (sw_node_array(node, "guessed", &list, NULL) != SW_OK)
        return false;
    for (size_t i = 0; i < sw_node_count(&list); i++) {
        sw_node item = sw_node_item(&list, i);
        if (cJSON_IsString(item.json) && strcmp(item.json->valuestring, key) == 0)
            return true;
    }
    return false;
}

/* Less is a reading of a calm day, not a year's mean. */
static const double LEAST_MEAN_M_S = 0.1;

static sw_status read_mean(const sw_node *node, double factor, sw_site *site, sw_error *error) {
    sw_status status = sw_node_need(node, "mean_wind", "\"4.5 m/s\" (or a \"wind_file\")", error);
    if (status == SW_OK)
        status = sw_node_quantity_in(node, "mean_wind", "m/s", 0, 25, &site->mean_wind, error);
    if (status == SW_OK && site->mean_wind.value < LEAST_MEAN_M_S)
        return sw_node_fail(node, "mean_wind", error, SW_VALUE,
                            "found %.3g m/s; even a sheltered yard has 1 to 2 m/s over the year, "
                            "and \"spinworth ask site\" helps to judge it",
                            site->mean_wind.value);
    if (status != SW_OK)
        return status;
    site->mean_wind_guessed = isnan(site->mean_wind.u) || says_guessed(node, "mean_wind");
    site->mean_wind.u = sw_quantity_u_or(site->mean_wind, MEAN_U) * factor;
    site->mean_wind.value *= factor;
    return SW_OK;
}

/* Path of a file named in a document: beside the document unless it is absolute. */
static void beside(const char *document, const char *name, char *out, size_t room) {
    const char *slash = strrchr(document, '/');
    if (name[0] == '/' || slash == NULL)
        snprintf(out, room, "%s", name);
    else
        snprintf(out, room, "%.*s/%s", (int)(slash - document), document, name);
}

static double mean_of(const double *list, size_t count) {
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += list[i];
    return sum / (double)count;
}

static void take_samples(sw_site *site, sw_wind_file *file, double factor) {
    site->sample_m_s = file->sample_m_s;
    site->samples = file->samples;
    for (size_t i = 0; i < site->samples; i++)
        site->sample_m_s[i] *= factor;
    double mean = mean_of(site->sample_m_s, site->samples);
    /* One year differs from the next by some 6 % of the mean: common practice, no source. */
    site->mean_wind = sw_quantity_of(mean, 0.06 * mean, "m/s");
    site->mean_wind_guessed = false;
    site->weibull_guessed = false;
    if (file->left_out > 0)
        snprintf(site->note, sizeof site->note,
                 "The wind file has %zu readings; %zu rows without one were left out.",
                 site->samples, file->left_out);
}

static sw_status read_wind_file(const sw_node *node, double factor, sw_site *site,
                                sw_error *error) {
    const char *name = NULL;
    const char *column = NULL;
    const char *unit = NULL;
    char path[1024];
    sw_wind_file file;
    sw_status status = sw_node_text(node, "wind_file", &name, error);
    if (status == SW_OK)
        status = sw_node_text(node, "wind_column", &column, error);
    if (status == SW_OK)
        status = sw_node_text(node, "wind_unit", &unit, error);
    if (status == SW_OK && sw_node_has(node, "mean_wind"))
        return sw_node_fail(node, "mean_wind", error, SW_USAGE,
                            "give either a mean wind or a wind file, not both");
    if (status != SW_OK)
        return status;
    beside(node->file, name, path, sizeof path);
    status = sw_wind_file_read(path, column, unit, node->units, &file, error);
    if (status != SW_OK)
        return status;
    take_samples(site, &file, factor);
    if (site->mean_wind.value > 0)
        return SW_OK;
    return sw_fail(error, SW_VALUE, "%s: no wind at all in %zu readings", path, site->samples);
}

static sw_status read_air(const sw_node *node, sw_site *site, sw_error *error) {
    double altitude_m = 0;
    double temperature_degc = NAN;
    sw_status status = plain(node, "altitude", "m", -400, 5000, &altitude_m, error);
    if (status == SW_OK)
        status = plain(node, "temperature", "degC", -60, 60, &temperature_degc, error);
    site->density = sw_air_density(altitude_m, temperature_degc);
    return status;
}

static sw_status read_storm(const sw_node *node, sw_site *site, sw_error *error) {
    int class_number = sw_storm_class(site->mean_wind.value);
    sw_status status = sw_node_integer(node, "class", 1, 4, &class_number, error);
    double gust = sw_storm_gust(class_number);
    site->storm_wind = sw_quantity_of(gust, 0.1 * gust, "m/s");
    site->storm_guessed = !sw_node_has(node, "storm_wind");
    if (status == SW_OK)
        status = sw_node_quantity_in(node, "storm_wind", "m/s", 5, 120, &site->storm_wind, error);
    site->storm_wind.u = sw_quantity_u_or(site->storm_wind, 0.1);
    if (status == SW_OK)
        status = plain(node, "shutdown_wind", "m/s", 1, 120, &site->shutdown_wind, error);
    return status;
}

static sw_status read_months(const sw_node *node, double factor, sw_site *site, sw_error *error) {
    static const char *const MONTH_KEYS[] = {"unit", "list", NULL};
    sw_node months = {0};
    double *list = NULL;
    size_t count = 0;
    const char *unit = NULL;
    sw_error inner;
    sw_status status = sw_node_object(node, "monthly_mean_wind", &months, error);
    if (status != SW_OK || months.json == NULL)
        return status;
    status = sw_node_allow(&months, MONTH_KEYS, error);
    if (status == SW_OK)
        status = sw_node_need(&months, "unit", "\"m/s\"", error);
    if (status == SW_OK)
        status = sw_node_text(&months, "unit", &unit, error);
    if (status == SW_OK)
        status = sw_node_numbers(&months, "list", &list, &count, error);
    if (status == SW_OK && count != SW_SITE_MONTHS)
        status =
            sw_node_fail(&months, "list", error, SW_VALUE, "found %zu months, expected 12", count);
    for (size_t i = 0; status == SW_OK && i < count; i++) {
        status =
            sw_units_convert(node->units, list[i], unit, "m/s", &site->month_mean_m_s[i], &inner);
        if (status != SW_OK)
            status = sw_node_fail(&months, "unit", error, status, "%s", inner.message);
        else if (!(site->month_mean_m_s[i] > 0 && site->month_mean_m_s[i] <= 30))
            status = sw_node_fail(&months, "list", error, SW_VALUE,
                                  "found %g m/s, expected a mean above 0 and up to 30",
                                  site->month_mean_m_s[i]);
        site->month_mean_m_s[i] *= factor;
    }
    site->monthly = status == SW_OK;
    free(list);
    return status;
}

/* A year's mean out of the months when nothing better is given. */
static void mean_from_months(sw_site *site) {
    double mean = mean_of(site->month_mean_m_s, SW_SITE_MONTHS);
    site->mean_wind = sw_quantity_of(mean, MEAN_U * mean, "m/s");
    site->mean_wind_guessed = true;
}

static sw_status parse(const sw_node *node, const char *reference_dir, sw_site *site,
                       sw_error *error) {
    const char *name = NULL;
    double factor = 1;
    sw_status status = sw_node_expect_document(node, "site", error);
    if (status == SW_OK)
        status = sw_node_allow(node, KEYS, error);
    if (status == SW_OK)
        status = sw_node_text(node, "name", &name, error);
    snprintf(site->name, sizeof site->name, "%s", name != NULL ? name : "");
    if (status == SW_OK)
        status = height_factor(node, reference_dir, &factor, error);
    if (status == SW_OK)
        status = sw_node_number(node, "weibull_k", 1, 10, &site->weibull_k, error);
    site->weibull_guessed = !sw_node_has(node, "weibull_k");
    if (status == SW_OK)
        status = read_months(node, factor, site, error);
    if (status == SW_OK && sw_node_has(node, "wind_file"))
        status = read_wind_file(node, factor, site, error);
    else if (status == SW_OK && site->monthly && !sw_node_has(node, "mean_wind"))
        mean_from_months(site);
    else if (status == SW_OK)
        status = read_mean(node, factor, site, error);
    if (status == SW_OK)
        status = read_air(node, site, error);
    if (status == SW_OK)
        status = read_storm(node, site, error);
    return status;
}

static void site_init(sw_site *site) {
    memset(site, 0, sizeof *site);
    site->mean_wind = sw_quantity_unknown();
    site->storm_wind = sw_quantity_unknown();
    site->weibull_k = 2;
    site->shutdown_wind = INFINITY;
}

sw_status sw_site_parse(const cJSON *root, const char *file, const char *reference_dir,
                        const sw_units *units, sw_site *site, sw_error *error) {
    sw_node node = sw_node_top(root, file, units);
    site_init(site);
    sw_status status = parse(&node, reference_dir, site, error);
    if (status != SW_OK)
        sw_site_free(site);
    return status;
}

sw_status sw_site_read(const char *path, const char *reference_dir, const sw_units *units,
                       sw_site *site, sw_error *error) {
    cJSON *root = NULL;
    site_init(site);
    sw_status status = sw_json_read(path, &root, error);
    if (status == SW_OK)
        status = sw_site_parse(root, path, reference_dir, units, site, error);
    cJSON_Delete(root);
    return status;
}

void sw_site_free(sw_site *site) {
    free(site->sample_m_s);
    site->sample_m_s = NULL;
    site->samples = 0;
}
