/* Loaded runs of a brushed motor: each a recording of its own with a resistor and a speed. */
#include "src/cli/measure_brushed.h"

#include "src/cli/measure_request.h"
#include "src/measure/brushed/brushed_load.h"

/* The run's own speed in place of the open run's; a tachometer channel needs none. */
static sw_status own_speed(const sw_cli *cli, const sw_arguments *arguments, size_t n,
                           sw_measure_request *request, sw_error *error) {
    const char *text = sw_argument_nth(arguments, "--load-speed", n);
    sw_error inner;
    request->evidence.speed = sw_quantity_unknown();
    request->evidence.turns = 0;
    if (text == NULL)
        return SW_OK;
    if (sw_quantity_parse(cli->units, text, "rpm", &request->evidence.speed, &inner) != SW_OK)
        return sw_fail(error, SW_USAGE, "--load-speed: %s", inner.message);
    if (!(request->evidence.speed.value > 0))
        return sw_fail(error, SW_USAGE, "--load-speed: found %g rpm, expected more than 0",
                       request->evidence.speed.value);
    if (!(request->evidence.speed.u > 0))
        request->evidence.speed.u = 0.005 * request->evidence.speed.value;
    return SW_OK;
}

static sw_status measure_run(const sw_cli *cli, const sw_arguments *arguments, const char *path,
                             const sw_measure_request *request, sw_motor *motor, sw_error *error) {
    sw_recording recording;
    sw_status status = sw_mechanics_record(cli, arguments, path, &recording, error);
    if (status != SW_OK)
        return status;
    status = sw_measure(&recording.waveform, recording.clipped, request, motor, error);
    sw_recording_free(&recording);
    if (status == SW_OK && motor->kind != SW_BRUSHED)
        status = sw_fail(error, SW_MISMATCH,
                         "%s: no brushed motor in it, the open recording has one", path);
    return status;
}

static sw_status add_run(const sw_cli *cli, const sw_arguments *arguments, size_t n,
                         const sw_measure_request *main_one, sw_brushed_load *load,
                         sw_error *error) {
    const char *path = sw_argument_nth(arguments, "--loaded", n);
    sw_measure_request request = *main_one;
    request.brushed = true;
    sw_quantity ohm;
    sw_motor motor;
    sw_status status = sw_mechanics_load_ohm(cli, arguments, n, &ohm, error);
    if (status == SW_OK)
        status = own_speed(cli, arguments, n, &request, error);
    if (status == SW_OK)
        status = measure_run(cli, arguments, path, &request, &motor, error);
    if (status == SW_OK && sw_brushed_load_add(load, &motor, ohm, error) != SW_OK)
        status = sw_fail_within(error, path);
    return status;
}

sw_status sw_mechanics_brushed(const sw_cli *cli, const sw_arguments *arguments,
                               const sw_measure_request *request, sw_motor *motor, sw_bench *bench,
                               sw_error *error) {
    sw_brushed_load load = {.constant = motor->voltage_constant,
                            .meter_ohm = motor->winding_resistance};
    sw_quantity scale = request->profile.volts_per_unit;
    if (sw_quantity_known(scale) && scale.u > 0)
        load.scale_u = scale.u / scale.value;
    sw_status status = SW_OK;
    for (size_t n = 0; status == SW_OK && (sw_argument_nth(arguments, "--loaded", n) != NULL ||
                                           sw_argument_nth(arguments, "--load-ohm", n) != NULL);
         n++)
        status = add_run(cli, arguments, n, request, &load, error);
    if (status == SW_OK)
        status = sw_brushed_load_fit(&load, &bench->brushed, error);
    if (status != SW_OK)
        return status;
    bench->has_brushed = true;
    sw_brushed_load_tell(&bench->brushed, motor);
    return SW_OK;
}
