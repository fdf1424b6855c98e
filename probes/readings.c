#include "probes/readings.h"

#include <stdlib.h>
#include <string.h>

static const char *const METERS[] = {
    [SW_METER_AC_AVERAGE] = "ac",
    [SW_METER_AC_TRUE_RMS] = "true-rms",
    [SW_METER_DC_BRIDGE] = "dc-bridge",
    [SW_METER_DC_BRIDGE_CAPACITOR] = "dc-bridge-capacitor",
    [SW_METER_DC] = "dc",
};

const char *sw_meter_name(sw_meter meter) {
    return METERS[meter];
}

sw_status sw_meter_find(const char *name, sw_meter *meter, sw_error *error) {
    for (size_t i = 0; i < sizeof METERS / sizeof *METERS; i++) {
        if (strcmp(METERS[i], name) == 0) {
            *meter = (sw_meter)i;
            return SW_OK;
        }
    }
    return sw_fail(error, SW_VALUE,
                   "found \"%.60s\", expected a kind of meter: ac, true-rms, dc-bridge, "
                   "dc-bridge-capacitor or dc",
                   name);
}

void sw_readings_free(sw_readings *readings) {
    free(readings->reading);
    *readings = (sw_readings){0};
}
