#include "probes/kinds.h"

/* Sound files are told by their first bytes; a simulation document by its first words; a table of
 * readings by its words; whatever else is text is taken for a scope file, whose reader says what it
 * misses. */
static const sw_probe_kind *const KINDS[] = {
    &SW_PROBE_SOUND_FILE,
    &SW_PROBE_SIMULATED,
    &SW_PROBE_HAND_READINGS,
    &SW_PROBE_SCOPE_FILE,
};

const sw_probe_kind *sw_probe_kind_at(size_t index) {
    return index < sizeof KINDS / sizeof *KINDS ? KINDS[index] : NULL;
}
