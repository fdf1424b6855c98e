#include "src/report/compare_text.h"

#include "shared/json_write.h"
#include "src/report/say.h"
#include "src/report/words.h"

#include <math.h>

static const char *const CAUSES[SW_CAUSE_COUNT] = {
    [SW_CAUSE_NONE] = "Nothing points to a fault: what differs is no more than what was "
                      "uncertain.",
    [SW_CAUSE_BETTER] = "More than predicted: the rotor catches more, or the wind is read too low.",
    [SW_CAUSE_SLIP] = "Likeliest cause: the wheel slips on the rim. Press harder, or clean and dry "
                      "both; look for a place where the rim is out of round.",
    [SW_CAUSE_CUT_IN] = "Likeliest cause: it begins too late. Look for drag: bearings, a wheel "
                        "pressed too hard, stiff magnets; a smaller wheel turns the motor faster.",
    [SW_CAUSE_PHASE] = "Likeliest cause: one phase or some diodes do not take part. Compare the AC "
                       "volts of all wire pairs, then test each diode. If all are alike, look for "
                       "resistance: volts at both ends of the cable under load.",
    [SW_CAUSE_CABLE] = "Likeliest cause: resistance in the way: cable, clamps, fuse holder, a hot "
                       "winding, or one diode. Measure the volts at both ends of the cable under "
                       "load; they should differ by less than half a volt.",
    [SW_CAUSE_ROTOR] =
        "Likeliest cause: the rotor catches less than was assumed, or the wind at "
        "the rotor is less than where it was read. A log with the rotor's turns in it "
        "would tell the rotor from the motor.",
    [SW_CAUSE_FAR_LESS] =
        "So little is no matter of guesses about rotor or wind: something is wrong. Look in this "
        "order: does the wheel slip (a chalk mark across wheel and rim), are the AC volts of all "
        "wire pairs alike, does each diode conduct one way, are the volts at both ends of the "
        "cable alike under load, are wheel, wiring and battery those of the match? A log with the "
        "rotor's turns in it tells the rotor from the motor.",
    [SW_CAUSE_NOTHING] =
        "No power in any row where there should be some: a blown fuse, a wire off, a "
        "dead rectifier, or the wheel is not on the rim. Read the AC volts at the "
        "motor while it turns, then follow the wires.",
    [SW_CAUSE_MACHINE] = "Less at every speed: check the winding's ohms, the connection and the "
                         "battery's volts against those that were assumed.",
};

/* Beyond so much a plus-minus would say too much. */
static const double ROUGH = 0.5;

/* More than so many times the prediction is another machine, not a better one. */
static const double FAR_MORE = 3;

static void say_share(const sw_comparison *it, sw_text *text) {
    char least[24];
    char most[24];
    double low = sw_compare_share_low(it);
    sw_words_number(100 * low, 2, least, sizeof least);
    sw_words_number(100 / low, 2, most, sizeof most);
    if (it->share > FAR_MORE)
        sw_text_paragraph(text, 0,
                          "It gives far more than was predicted, some %.0f times as much: are "
                          "wheel, wiring and battery those of the match?",
                          fmin(it->share, 100));
    else if (2 * it->u_share <= ROUGH)
        sw_text_paragraph(text, 0,
                          "It gives %.0f %% of what was predicted, and the prediction is good to "
                          "\u00b1 %.0f %%.",
                          100 * it->share, 200 * it->u_share);
    else
        sw_text_paragraph(text, 0,
                          "It gives %.0f %% of what was predicted. That is a rough yardstick: with "
                          "%s, %s to %s %% would be no surprise%s.",
                          100 * it->share,
                          it->beaufort ? "the wind judged by eye and the rotor not measured"
                                       : "what was guessed of rotor and drive",
                          least, most,
                          it->share < low       ? ", but this is less"
                          : it->share > 1 / low ? ", but this is more"
                                                : "");
    if (it->share_at_speed > FAR_MORE)
        sw_text_paragraph(text, 0,
                          "At the same turns of the rotor it gives far more than predicted: is the "
                          "wheel or the battery another than in the match?");
    else if (isfinite(it->share_at_speed))
        sw_text_paragraph(text, 0,
                          "At the same turns of the rotor it gives %.0f %%, and the rotor turns at "
                          "%.0f %% of the speed that belongs to the wind.",
                          100 * it->share_at_speed, 100 * it->speed_share);
}

static void say_answer(const sw_comparison *it, sw_text *text) {
    if (isnan(it->share)) {
        sw_text_paragraph(text, 0, "No row lies where the prediction gives any power.");
        return;
    }
    if (it->cause != SW_CAUSE_NOTHING)
        say_share(it, text);
    if (!(it->share > FAR_MORE))
        sw_text_paragraph(text, 0, "%s", CAUSES[it->cause]);
    if (it->slip > 0.005)
        sw_text_paragraph(text, 0,
                          "Between rim and wheel %.1f %% of the speed is lost beyond the usual "
                          "creep.",
                          100 * it->slip);
}

void sw_compare_text(const sw_comparison *comparison, bool us, sw_text *text) {
    say_answer(comparison, text);
    sw_text_add(text, "\n  %-12s %6s %14s %12s\n", comparison->wind ? "wind" : "rotor rpm", "rows",
                "watts", "predicted");
    for (size_t i = 0; i < comparison->bins; i++) {
        const sw_compare_bin *bin = &comparison->bin[i];
        sw_said at = sw_say_value(us, bin->at, comparison->wind ? "m/s" : "rpm");
        sw_said predicted = sw_say_value(us, bin->predicted, "W");
        const char *beyond = isfinite(bin->predicted) ? predicted.text : "no forecast";
        sw_said watts = sw_say(us, sw_quantity_of(bin->watts, bin->u_watts, "W"));
        sw_text_add(text, "  %-12s %6zu %14s %12s\n", at.text, bin->rows, watts.text, beyond);
    }
    if (!comparison->wind)
        return;
    sw_text_add(text, "\n");
    sw_text_paragraph(text, 0,
                      "Rows are put together in steps of %s, and the wind is corrected for the "
                      "density of the air.%s",
                      us ? "1.1 mph" : "0.5 m/s",
                      comparison->beaufort ? " A Beaufort number is taken as its middle wind, good "
                                             "to half a number."
                                           : "");
}

static cJSON *bin_json(const sw_comparison *it, const sw_compare_bin *bin) {
    cJSON *row = cJSON_CreateObject();
    sw_json_add_number(row, it->wind ? "wind" : "rotor_speed", bin->at);
    sw_json_add_number(row, "rows", (double)bin->rows);
    sw_json_add_number(row, "dc_power", bin->watts);
    sw_json_add_number(row, "dc_power_u", bin->u_watts);
    sw_json_add_number(row, "predicted", bin->predicted);
    return row;
}

cJSON *sw_compare_to_json(const sw_comparison *comparison) {
    cJSON *root = cJSON_CreateObject();
    sw_json_add_quantity(root, "share",
                         sw_quantity_of(comparison->share, comparison->u_share, "1"));
    sw_json_add_number(root, "share_at_rotor_speed", comparison->share_at_speed);
    sw_json_add_number(root, "rotor_speed_share", comparison->speed_share);
    if (isnan(comparison->share_at_speed))
        sw_json_add_unknown(root, "share_at_rotor_speed", "needs wind and rotor speed together");
    if (isnan(comparison->speed_share))
        sw_json_add_unknown(root, "rotor_speed_share", "needs wind and rotor speed together");
    sw_json_add_number(root, "slip", comparison->slip);
    if (isnan(comparison->share))
        sw_json_add_unknown(root, "share", "no row where the prediction gives power");
    if (isnan(comparison->slip))
        sw_json_add_unknown(root, "slip", "needs rotor speed, electrical hertz and pole pairs");
    cJSON_AddStringToObject(root, "cause", sw_compare_cause_name(comparison->cause));
    cJSON_AddStringToObject(root, "message", CAUSES[comparison->cause]);
    cJSON *bins = cJSON_AddObjectToObject(root, "bins");
    cJSON *units = cJSON_AddObjectToObject(bins, "units");
    cJSON_AddStringToObject(units, comparison->wind ? "wind" : "rotor_speed",
                            comparison->wind ? "m/s" : "rpm");
    cJSON_AddStringToObject(units, "dc_power", "W");
    cJSON_AddStringToObject(units, "dc_power_u", "W");
    cJSON_AddStringToObject(units, "predicted", "W");
    cJSON *list = cJSON_AddArrayToObject(bins, "list");
    for (size_t i = 0; i < comparison->bins; i++)
        cJSON_AddItemToArray(list, bin_json(comparison, &comparison->bin[i]));
    return root;
}
