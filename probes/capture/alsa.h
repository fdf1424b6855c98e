/* What PortAudio does not let one ask of the sound system below it on Linux. Everywhere else, and
 * where the library is not there, the answers are "fine" and "not known". */
#ifndef SPINWORTH_PROBES_CAPTURE_ALSA_H
#define SPINWORTH_PROBES_CAPTURE_ALSA_H

#include <stdbool.h>

/* No messages of its own on standard error. */
void sw_alsa_quiet(void);

/* False when its configuration is missing or defines no default: PortAudio would abort. */
bool sw_alsa_ready(void);

/* The rate that a device behind a converter has of itself; 0 = not known. */
double sw_alsa_own_rate_hz(const char *device);

#endif
