#include "src/report/seasons_text.h"

#include "shared/json_write.h"
#include "src/report/say.h"
#include "src/report/words.h"

#include <math.h>

static const char *const MONTHS[SW_SITE_MONTHS] = {"January",   "February", "March",    "April",
                                                   "May",       "June",     "July",     "August",
                                                   "September", "October",  "November", "December"};

/* To two figures, as all energies; a watt-hour's parts are nothing. */
static sw_said watt_hours(double value) {
    sw_said said;
    sw_words_number(value < 1 ? 0 : value, 2, said.text, sizeof said.text);
    return said;
}

void sw_months_text(const sw_seasons *seasons, bool us, sw_text *text) {
    if (!seasons->monthly)
        return;
    sw_text_add(text, "\nMonth by month (watt-hours a day)\n");
    sw_text_add(text, "  %-10s %10s %10s %10s\n", "", "mean wind", "DC", "to use");
    for (int i = 0; i < SW_SITE_MONTHS; i++)
        sw_text_add(text, "  %-10s %10s %10s %10s\n", MONTHS[i],
                    sw_say_value(us, seasons->month_wind_m_s[i], "m/s").text,
                    watt_hours(seasons->month_wh_day[i]).text,
                    watt_hours(seasons->usable_wh_day[i]).text);
    sw_text_paragraph(text, 2,
                      "  %s gives least: what must run all year has %s Wh a day then, on "
                      "average; a battery carries over calm days, not over calm months.",
                      MONTHS[seasons->leanest],
                      watt_hours(seasons->usable_wh_day[seasons->leanest]).text);
}

static void add_value(cJSON *object, const char *key, double value, const char *unit) {
    sw_json_add_quantity(object, key, sw_quantity_of(value, NAN, unit));
}

static void add_months(cJSON *recommended, const sw_seasons *seasons) {
    cJSON *it = cJSON_AddObjectToObject(recommended, "months");
    cJSON *units = cJSON_AddObjectToObject(it, "units");
    cJSON_AddStringToObject(units, "energy_a_day", "Wh");
    cJSON_AddStringToObject(units, "usable_a_day", "Wh");
    cJSON *energy = cJSON_AddArrayToObject(it, "energy_a_day");
    cJSON *usable = cJSON_AddArrayToObject(it, "usable_a_day");
    for (int i = 0; i < SW_SITE_MONTHS; i++) {
        cJSON_AddItemToArray(energy, sw_json_number(seasons->month_wh_day[i]));
        cJSON_AddItemToArray(usable, sw_json_number(seasons->usable_wh_day[i]));
    }
}

void sw_seasons_add_json(cJSON *recommended, const sw_seasons *seasons) {
    if (seasons->monthly)
        add_months(recommended, seasons);
    cJSON *hot = cJSON_AddObjectToObject(recommended, "hot_magnets");
    add_value(hot, "temperature", seasons->hot_degc, "degC");
    sw_json_add_number(hot, "emf_share", seasons->hot_emf);
    add_value(hot, "annual_energy", seasons->hot_kwh, "kWh");
    add_value(hot, "charging_speed", seasons->hot_cut_in_rpm, "rpm");
}
