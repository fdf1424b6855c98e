/* A recording in words: what happened while it ran, and what came of it. */
#ifndef SPINWORTH_REPORT_RECORDING_TEXT_H
#define SPINWORTH_REPORT_RECORDING_TEXT_H

#include "probes/capture/recording_log.h"
#include "probes/capture/sound_card.h"
#include "shared/text.h"

/* One sentence on an event as it happens; "" for what nobody needs to be told. */
void sw_recording_event_say(const sw_capture_event *event, const sw_capture_description *about,
                            char *out, size_t room);

/* "from USB Audio (ALSA), 2 channels at 48000 Hz". */
void sw_recording_input_say(const sw_capture_description *about, char *out, size_t room);

/* The result: how long, why it ended, what went wrong, what to do next. */
void sw_recording_text(const sw_recording_log *log, const char *path, sw_text *text);

/* The list of inputs, and as a document. */
void sw_inputs_text(const sw_input_list *list, sw_text *text);
cJSON *sw_inputs_to_json(const sw_input_list *list);

#endif
