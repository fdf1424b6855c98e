#include "probes/probe.h"

#include "probes/kinds.h"

#include <stdlib.h>

struct sw_probe {
    const sw_probe_kind *kind;
    void *state;
    sw_source *source;
    sw_probe_description description;
};

static const sw_probe_kind *recognise(const char *path, const sw_source *source) {
    size_t length = 0;
    const unsigned char *head = sw_source_head(source, &length);
    for (size_t i = 0; sw_probe_kind_at(i) != NULL; i++)
        if (sw_probe_kind_at(i)->recognise(path, head, length))
            return sw_probe_kind_at(i);
    return NULL;
}

static sw_status open_kind(const sw_probe_request *request, sw_probe *probe, sw_error *error) {
    probe->kind = recognise(request->path, probe->source);
    if (probe->kind == NULL)
        return sw_fail(error, SW_FORMAT,
                       "%s: neither a sound file nor text; expected WAV, W64, RF64, FLAC, AIFF, a "
                       "scope's CSV or a table of readings",
                       sw_source_name(probe->source));
    probe->description.kind = probe->kind->name;
    return probe->kind->open(request, probe->source, &probe->state, &probe->description, error);
}

sw_status sw_probe_open(const sw_probe_request *request, sw_probe **probe, sw_error *error) {
    *probe = NULL;
    sw_probe *fresh = calloc(1, sizeof *fresh);
    if (fresh == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory to open it", request->path);
    sw_status status = sw_source_open(request->path, &fresh->source, error);
    if (status == SW_OK)
        status = open_kind(request, fresh, error);
    if (status == SW_OK)
        *probe = fresh;
    else
        sw_probe_close(fresh);
    return status;
}

const sw_probe_description *sw_probe_describe(const sw_probe *probe) {
    return &probe->description;
}

sw_status sw_probe_read(sw_probe *probe, double *block, size_t frames, size_t *got,
                        sw_error *error) {
    *got = 0;
    return probe->kind->read(probe->state, block, frames, got, error);
}

const sw_readings *sw_probe_readings(const sw_probe *probe) {
    return probe->kind->readings == NULL ? NULL : probe->kind->readings(probe->state);
}

void sw_probe_close(sw_probe *probe) {
    if (probe == NULL)
        return;
    if (probe->state != NULL)
        probe->kind->close(probe->state);
    sw_source_close(probe->source);
    sw_text_free(&probe->description.notes);
    free(probe);
}
