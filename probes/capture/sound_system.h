/* PortAudio begun and ended without a word on standard error; its devices by number or name. */
#ifndef SPINWORTH_PROBES_CAPTURE_SOUND_SYSTEM_H
#define SPINWORTH_PROBES_CAPTURE_SOUND_SYSTEM_H

#include "probes/capture/sound_card.h"

#include <portaudio.h>

/* Pairs of these may nest. */
sw_status sw_sound_system_begin(sw_error *error);
void sw_sound_system_end(void);

/* Can the device be opened so? Between begin and end. */
bool sw_sound_system_takes(PaDeviceIndex device, size_t channels, double rate_hz);

/* Fill in what there is to know of an input; false when the device has no inputs. */
bool sw_sound_system_describe(PaDeviceIndex device, sw_input *input);

/* By number, whole name, or a part that only one name has; NULL = the default. */
sw_status sw_sound_system_find(const char *wanted, PaDeviceIndex *device, sw_error *error);

#endif
