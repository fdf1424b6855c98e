#include "src/report/bench_text.h"

#include "shared/json_write.h"
#include "src/report/words.h"

#include <math.h>
#include <stdio.h>

/* Beyond this the constant part is too vague for other speeds. */
static const double APART_MOST = 0.2; /* k = 2, relative */

static void say_shape(const sw_rundown *rundown, const sw_motor *motor, const char *speed,
                      sw_text *text) {
    sw_quantity constant = motor->drag_torque.constant;
    if (rundown->falling)
        sw_text_paragraph(text, 4,
                          "  - A part of the drag falls as the speed rises, which grease and a "
                          "warming bearing do; do not count on it beyond these speeds.");
    else if (2 * constant.u > APART_MOST * constant.value)
        sw_text_paragraph(text, 4,
                          "  - This run-down (%.1f turns) is too short to tell what rubs always "
                          "from what grows with speed: the drag is known near %s rpm only. A "
                          "faster start, or a disc on the shaft, makes it longer.",
                          rundown->turns, speed);
}

static void say_rundown(const sw_bench *bench, const sw_motor *motor, sw_text *text) {
    const sw_rundown *rundown = &bench->rundown;
    char speed[32];
    char torque[64];
    if (!bench->has_rundown)
        return;
    sw_words_number(motor->drag_torque.middle_speed.value, 3, speed, sizeof speed);
    sw_quantity_print(motor->drag_torque.middle_torque, torque, sizeof torque);
    sw_text_paragraph(text, 4,
                      "  - Run-down (the free shaft slowing) from %.1f to %.1f s: drag %s at %s "
                      "rpm. Hysteresis of the iron and dry friction both are the constant part; a "
                      "run-down cannot tell them apart.",
                      rundown->from_s, rundown->to_s, torque, speed);
    sw_text_paragraph(text, 4,
                      "    This holds if nothing but the motor's own rotor turned. A drill that "
                      "was still on brakes with its own gears, which a recording shows in one "
                      "case of four only: then this is the drill's drag (--coast with-drill).");
    say_shape(rundown, motor, speed, text);
    if (motor->connection == SW_DELTA)
        sw_text_paragraph(text, 4,
                          "  - The coils were in delta: the current that circles in them is in "
                          "this drag already.");
}

static void say_lever(const sw_bench *bench, sw_text *text) {
    char cogging[64];
    char friction[64];
    char starting[64];
    if (!bench->has_lever)
        return;
    sw_quantity_print(bench->lever.cogging, cogging, sizeof cogging);
    sw_quantity_print(bench->lever.friction, friction, sizeof friction);
    sw_quantity_print(bench->lever.starting, starting, sizeof starting);
    sw_text_paragraph(text, 4,
                      "  - Lever: cogging %s to either side, friction %s%s. From its worst "
                      "position it takes %s to start.",
                      cogging, friction,
                      bench->lever.paired ? ""
                                          : " (as many readings the other way, at the same rest "
                                            "positions, would part the two better)",
                      starting);
}

static void say_periods(const sw_bench *bench, sw_text *text) {
    if (bench->cogging_periods > 0)
        sw_text_paragraph(text, 4,
                          "  - Cogging repeats %d times a turn by slots and poles, every %.3g "
                          "degrees: take the readings within one such step.",
                          bench->cogging_periods, 360.0 / bench->cogging_periods);
}

static void say_saturation(const sw_loaded_result *loaded, sw_text *text) {
    if (isnan(loaded->saturation))
        sw_text_paragraph(text, 4,
                          "  - Whether the iron saturates needs a second resistor, half as large "
                          "or less.");
    else if (loaded->saturation == 0)
        sw_text_paragraph(text, 4, "  - No saturation seen up to %.2g A.", loaded->current_a);
}

static void say_refused_load(const char *ohm, const char *meter, sw_text *text) {
    sw_text_paragraph(text, 4,
                      "  - Loaded run: %s between two wires%s. The two do not fit, as said "
                      "above: nothing of this run is kept. Check the resistor and the wires, then "
                      "give the run again with the true value (--load-ohm).",
                      ohm, meter);
}

static void say_loaded(const sw_bench *bench, const sw_motor *motor, sw_text *text) {
    const sw_loaded_result *loaded = &bench->loaded;
    char ohm[64];
    char henry[64] = "";
    char meter[96] = "";
    char shown[64];
    if (!bench->has_loaded)
        return;
    sw_quantity_print(loaded->resistance, ohm, sizeof ohm);
    sw_quantity_print(bench->meter_ohm, shown, sizeof shown);
    if (sw_quantity_known(bench->meter_ohm))
        snprintf(meter, sizeof meter, " (the multimeter: %s at 20 \u00b0C)", shown);
    if (sw_motor_warned(motor, SW_WARN_LOAD_DOUBTFUL)) {
        say_refused_load(ohm, meter, text);
        return;
    }
    if (sw_quantity_known(loaded->inductance))
        sw_quantity_print(loaded->inductance, henry, sizeof henry);
    sw_text_paragraph(text, 4, "  - Loaded run: %s between two wires%s, %s%s.", ohm, meter, henry,
                      henry[0] != '\0' ? "" : "inductance too small to tell at these speeds");
    if (isfinite(loaded->correlation))
        sw_text_paragraph(text, 4, "    (correlation of the two %.2f: %s)", loaded->correlation,
                          loaded->correlation < 0 ? "more of one would mean less of the other"
                                                  : "both follow the resistor's value");
    say_saturation(loaded, text);
}

static void say_brushed(const sw_bench *bench, sw_text *text) {
    const sw_brushed_result *brushed = &bench->brushed;
    char ohm[64];
    char drop[64];
    if (!bench->has_brushed)
        return;
    sw_quantity_print(brushed->resistance, ohm, sizeof ohm);
    sw_quantity_print(brushed->brush_drop, drop, sizeof drop);
    sw_text_paragraph(text, 4,
                      "  - Loaded runs up to %.2g A: %s through the brushes, and the brushes take "
                      "%s whatever the current.%s",
                      brushed->most_a, ohm, drop,
                      brushed->brush_drop.u < SW_BRUSHED_DROP_TOLD_V
                          ? ""
                          : " That is too vague to keep: read the speeds better, or take a "
                            "smaller second resistor.");
    for (size_t i = 0; i < brushed->budget.lines; i++)
        sw_text_add(text, "    %s%5.1f %%  %-42s \u00b1 %.2g V\n",
                    i == 0 ? "Where its \u00b1 comes from:\n    " : "",
                    100 * brushed->budget.line[i].share, brushed->budget.line[i].from,
                    2 * brushed->budget.line[i].u);
}

static void say_twin(const sw_bench *bench, sw_text *text) {
    const sw_twin *twin = &bench->twin;
    if (twin->known)
        sw_text_paragraph(
            text, 4,
            "  - By volts and ohms its magnets have %.0f \u00b1 %.0f %% of the strength "
            "of the motor it was compared with.",
            100 * twin->strength.value, 200 * twin->strength.u);
}

static void say_warm(const sw_bench *bench, sw_text *text) {
    char ohm[64];
    if (!sw_quantity_known(bench->warm_degc))
        return;
    sw_quantity_print(bench->warm_ohm, ohm, sizeof ohm);
    if (sw_quantity_known(bench->warm_ohm))
        sw_text_paragraph(text, 4, "  - At %.0f \u00b0C the winding has %s.",
                          bench->warm_degc.value, ohm);
    if (isfinite(bench->warm_share))
        sw_text_paragraph(text, 4,
                          "  - With the magnets at %.0f \u00b0C it gives %.1f %% %s volts.",
                          bench->warm_degc.value, 100 * fabs(1 - bench->warm_share),
                          bench->warm_share < 1 ? "fewer" : "more");
}

void sw_bench_text(const sw_bench *bench, const sw_motor *motor, sw_text *text) {
    if (!sw_bench_any(bench))
        return;
    sw_text_add(text, "\nFrom the bench\n");
    say_rundown(bench, motor, text);
    say_lever(bench, text);
    say_periods(bench, text);
    say_loaded(bench, motor, text);
    say_brushed(bench, text);
    say_twin(bench, text);
    say_warm(bench, text);
}

/* ---- JSON ---- */

static void add_loaded(const sw_loaded_result *loaded, cJSON *object) {
    cJSON *node = cJSON_AddObjectToObject(object, "loaded_run");
    sw_json_add_quantity(node, "resistance", loaded->resistance);
    sw_json_add_quantity(node, "inductance", loaded->inductance);
    sw_json_add_number(node, "correlation", loaded->correlation);
    sw_json_add_number(node, "misfit", loaded->misfit);
    sw_json_add_number(node, "saturation", loaded->saturation);
}

static void add_brushed(const sw_brushed_result *brushed, cJSON *object) {
    cJSON *node = cJSON_AddObjectToObject(object, "loaded_brushed");
    sw_json_add_quantity(node, "resistance", brushed->resistance);
    sw_json_add_quantity(node, "brush_drop", brushed->brush_drop);
    if (brushed->budget.lines == 0)
        return;
    cJSON *list = cJSON_AddArrayToObject(node, "budget");
    for (size_t i = 0; i < brushed->budget.lines; i++) {
        cJSON *line = cJSON_CreateObject();
        cJSON_AddStringToObject(line, "from", brushed->budget.line[i].from);
        sw_json_add_number(line, "u", brushed->budget.line[i].u);
        sw_json_add_number(line, "share", brushed->budget.line[i].share);
        cJSON_AddItemToArray(list, line);
    }
}

static void add_rundown(const sw_rundown *rundown, cJSON *object) {
    cJSON *node = cJSON_AddObjectToObject(object, "run_down");
    sw_json_add_number(node, "from_s", rundown->from_s);
    sw_json_add_number(node, "to_s", rundown->to_s);
    sw_json_add_number(node, "from_hz", rundown->part.from_hz);
    sw_json_add_number(node, "to_hz", rundown->part.to_hz);
    sw_json_add_number(node, "misfit_cycles", rundown->rms_cycles);
}

static void add_lever(const sw_lever_result *lever, cJSON *object) {
    sw_json_add_quantity(object, "friction_torque", lever->friction);
    sw_json_add_quantity(object, "starting_torque", lever->starting);
}

void sw_bench_json(const sw_bench *bench, cJSON *root) {
    if (!sw_bench_any(bench))
        return;
    cJSON *object = cJSON_AddObjectToObject(root, "bench");
    if (bench->has_rundown)
        add_rundown(&bench->rundown, object);
    if (bench->has_lever)
        add_lever(&bench->lever, object);
    if (bench->cogging_periods > 0)
        cJSON_AddNumberToObject(object, "cogging_periods", bench->cogging_periods);
    if (bench->has_loaded)
        add_loaded(&bench->loaded, object);
    if (bench->has_brushed)
        add_brushed(&bench->brushed, object);
    if (bench->twin.known) {
        cJSON *like = cJSON_AddObjectToObject(object, "like");
        sw_json_add_quantity(like, "strength", bench->twin.strength);
        sw_json_add_number(like, "ohms", bench->twin.ohms);
    }
    if (!sw_quantity_known(bench->warm_degc))
        return;
    sw_json_add_quantity(object, "running_temperature", bench->warm_degc);
    sw_json_add_quantity(object, "running_resistance", bench->warm_ohm);
    sw_json_add_quantity(object, "running_voltage_constant", bench->warm_constant);
}
