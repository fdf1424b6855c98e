/* The simulated motor as a probe: a document that says what to simulate stands in for a recording,
 * {"document": "simulation", "version": 1, "family": "drum-48", "seed": 7}. */
#include "probes/kinds.h"

#include "probes/simulate/simulate.h"
#include "probes/simulate/tach.h"
#include "probes/simulate/wishes.h"
#include "shared/json_read.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool holds(const char *text, size_t length, const char *mark) {
    size_t width = strlen(mark);
    for (size_t i = 0; i + width <= length; i++)
        if (memcmp(text + i, mark, width) == 0)
            return true;
    return false;
}

static bool recognise(const char *path, const unsigned char *head, size_t length) {
    (void)path;
    const char *text = (const char *)head;
    size_t at = 0;
    while (at < length && strchr("\xef\xbb\xbf \t\r\n", text[at]) != NULL && text[at] != '\0')
        at++;
    return at < length && text[at] == '{' && holds(text, length, "\"simulation\"");
}

static sw_status read_text(sw_source *source, char **text, size_t *length, sw_error *error) {
    const char *name = sw_source_name(source);
    int64_t size = sw_source_size(source);
    if (size < 0 || size > SW_JSON_LIMIT_BYTES)
        return sw_fail(error, SW_FORMAT, "%s: larger than %d bytes", name, SW_JSON_LIMIT_BYTES);
    *text = calloc((size_t)size + 1, 1);
    if (*text == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory to read it", name);
    if (sw_source_seek(source, 0) == 0)
        *length = sw_source_read(source, *text, (size_t)size);
    if (*length == (size_t)size)
        return SW_OK;
    free(*text);
    *text = NULL;
    return sw_fail(error, SW_IO, "%s: reading failed", name);
}

static sw_status read_wishes(const sw_probe_request *request, sw_source *source,
                             sw_sim_wishes *wishes, sw_error *error) {
    const char *name = sw_source_name(source);
    char *text = NULL;
    size_t length = 0;
    cJSON *root = NULL;
    sw_status status = read_text(source, &text, &length, error);
    if (status != SW_OK)
        return status;
    status = sw_json_parse(text, length, name, &root, error);
    if (status == SW_OK) {
        sw_node top = sw_node_top(root, name, request->units);
        status = sw_sim_wishes_read(&top, wishes, error);
    }
    cJSON_Delete(root);
    free(text);
    return status;
}

static void describe(const sw_sim *sim, sw_probe_description *description) {
    const sw_sim_spec *spec = &sw_sim_truth_of(sim)->spec;
    const sw_sim_front *front = &spec->front;
    double unit = front->scope ? front->volts_per_unit : 1;
    description->rate_hz = front->rate_hz;
    description->frames = (int64_t)sw_sim_frames(sim);
    description->channels = sw_sim_channels(front);
    description->coupling = front->low_cut_hz > 0 ? SW_COUPLING_AC : SW_COUPLING_DC;
    for (size_t c = 0; c < description->channels; c++) {
        sw_probe_channel *channel = &description->channel[c];
        snprintf(channel->name, sizeof channel->name, "channel %zu", c + 1);
        snprintf(channel->unit, sizeof channel->unit, "%s", front->scope ? "V" : "");
        channel->full_scale = front->bits > 0 ? unit : 0;
        channel->step = front->bits > 0 ? unit * ldexp(1, 1 - front->bits) : 0;
    }
    sw_text_add(&description->notes,
                "simulated: a motor of the family %s, seed %lu; %g Hz, %d channel%s, %g s\n",
                spec->motor.family, spec->seed, front->rate_hz, front->channels,
                front->channels == 1 ? "" : "s", spec->spin.seconds);
}

static sw_status open_simulated(const sw_probe_request *request, sw_source *source, void **state,
                                sw_probe_description *description, sw_error *error) {
    sw_sim_wishes wishes;
    sw_sim_spec spec;
    sw_sim *sim = NULL;
    sw_status status = read_wishes(request, source, &wishes, error);
    if (status != SW_OK)
        return status;
    status = sw_sim_wishes_apply(&wishes, &spec, error);
    if (status == SW_OK && request->rate_hz > 0)
        spec.front.rate_hz = request->rate_hz;
    if (status == SW_OK)
        status = sw_sim_new(&spec, &sim, error);
    if (status != SW_OK)
        return sw_fail_within(error, sw_source_name(source));
    describe(sim, description);
    *state = sim;
    return SW_OK;
}

static sw_status read_simulated(void *state, double *block, size_t frames, size_t *got,
                                sw_error *error) {
    (void)error;
    *got = sw_sim_read(state, block, frames);
    return SW_OK;
}

static void close_simulated(void *state) {
    sw_sim_free(state);
}

const sw_probe_kind SW_PROBE_SIMULATED = {
    .name = "simulated motor",
    .describes = "a simulation document: a motor that is not there, for practice",
    .recognise = recognise,
    .open = open_simulated,
    .read = read_simulated,
    .close = close_simulated,
};
