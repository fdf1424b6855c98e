#include "src/cli/measure_facts.h"

#include "src/cli/measure_request.h"
#include "src/cli/measure_sources.h"
#include "src/measure/merge.h"
#include "src/measure/poles/poles.h"
#include "src/measure/poles/recount.h"
#include "src/measure/ring/ring.h"

#include <string.h>

/* What belongs to one reading. */
static const char *const OHMS[] = {"--resistance", "--test-leads", "--at", NULL};
static const char *const DIRECT[] = {"--dc-volts", "--speed", NULL};
static const char *const MAGNETS[] = {"--magnets", NULL};
static const char *const DETENTS[] = {"--detents", NULL};

static bool used(const sw_motor *motor, unsigned uses) {
    for (size_t i = 0; i < motor->sources.count; i++)
        if ((motor->sources.source[i].used_as & uses) != 0)
            return true;
    return false;
}

static void forget(sw_sources *sources, const sw_source *source) {
    size_t at = (size_t)(source - sources->source);
    sources->count--;
    memmove(&sources->source[at], &sources->source[at + 1], (sources->count - at) * sizeof *source);
}

/* One reading by hand: read is what it says, kept what the motor has; others are the uses of files
 * that may have told the same thing. */
static sw_status take_reading(const sw_arguments *arguments, const char *const *options,
                              unsigned others, sw_quantity *read, sw_quantity *kept,
                              sw_motor *motor, sw_text *remark, sw_error *error) {
    sw_source source;
    if (!sw_source_by_hand(arguments, options, &source))
        return SW_OK;
    const sw_source *old = sw_source_find_hand(&motor->sources, options[0]);
    if (old != NULL && strcmp(old->told, source.told) == 0) {
        *read = sw_quantity_unknown();
        sw_text_add(remark, "The same %s %s was given before: nothing new. ", options[0],
                    sw_argument(arguments, options[0]));
        return SW_OK;
    }
    if (old != NULL && !used(motor, others)) {
        char before[64];
        sw_quantity_print(*kept, before, sizeof before);
        sw_text_add(remark, "%s %s takes the place of what was read before (%s). ", options[0],
                    sw_argument(arguments, options[0]), before);
        *kept = sw_quantity_unknown();
        forget(&motor->sources, old);
    }
    return sw_source_add(&motor->sources, &source, error);
}

sw_status sw_measure_add_facts(const sw_arguments *arguments, const sw_motor *facts,
                               sw_motor *motor, sw_text *remark, sw_error *error) {
    sw_motor more = *facts;
    sw_status status =
        take_reading(arguments, OHMS, SW_USED_LOADED | SW_USED_READINGS, &more.winding_resistance,
                     &motor->winding_resistance, motor, remark, error);
    if (status == SW_OK)
        status =
            take_reading(arguments, DIRECT, SW_USED_OPEN | SW_USED_READINGS, &more.voltage_constant,
                         &motor->voltage_constant, motor, remark, error);
    if (status == SW_OK)
        status = sw_motor_merge(motor, &more, error);
    if (status == SW_OK && more.slots > 0 && motor->magnet_ring.poles > 0) {
        sw_motor_unwarn(motor, SW_WARN_WEAK_MAGNET);
        sw_ring_judge(motor);
    }
    return status;
}

/* A count that is in the motor already is left out. */
static sw_status take_count(const sw_arguments *arguments, const char *const *option, int *count,
                            sw_motor *motor, sw_text *remark, sw_error *error) {
    sw_source source;
    const char *value = sw_argument(arguments, option[0]);
    if (!sw_source_by_hand(arguments, option, &source))
        return SW_OK;
    if (!sw_sources_tell(&motor->sources, option[0], value))
        return sw_source_add(&motor->sources, &source, error);
    *count = 0;
    sw_text_add(remark, "The same %s %s was given before: nothing new. ", option[0], value);
    return SW_OK;
}

sw_status sw_measure_add_counts(const sw_cli *cli, const sw_arguments *arguments, sw_motor *motor,
                                sw_text *remark, sw_error *error) {
    sw_measure_request request;
    if (!sw_argument_given(arguments, "--magnets") && !sw_argument_given(arguments, "--detents"))
        return SW_OK;
    sw_status status = sw_measure_request_from(cli, arguments, &request, error);
    sw_speed_evidence *evidence = &request.evidence;
    if (status == SW_OK && motor->kind != SW_MAGNET_AC)
        return sw_fail(error, SW_USAGE,
                       "--magnets and --detents count the magnets of a motor that gives "
                       "alternating current, and this one %s",
                       motor->kind == SW_BRUSHED ? "is brushed" : "gives none");
    if (status == SW_OK)
        status = take_count(arguments, MAGNETS, &evidence->magnets, motor, remark, error);
    if (status == SW_OK)
        status = take_count(arguments, DETENTS, &evidence->detents, motor, remark, error);
    if (status != SW_OK || (evidence->magnets == 0 && evidence->detents == 0))
        return status;
    sw_pole_pairs poles = motor->pole_pairs;
    evidence->phases = motor->phases;
    sw_poles_count(evidence, &poles);
    sw_motor_set_poles(motor, &poles);
    sw_recount_warn(motor);
    sw_motor_derive(motor);
    return SW_OK;
}
