/* The sound card as a live input, through PortAudio, and the list of what there is. */
#ifndef SPINWORTH_PROBES_CAPTURE_SOUND_CARD_H
#define SPINWORTH_PROBES_CAPTURE_SOUND_CARD_H

#include "probes/capture/capture.h"

enum { SW_INPUT_RATE_LIMIT = 16 };

typedef struct sw_input {
    int number; /* as --input takes it */
    char name[SW_CAPTURE_NAME_ROOM];
    char host[SW_CAPTURE_NAME_ROOM];
    bool is_default;
    size_t channels; /* most at once */
    size_t rates;
    double rate_hz[SW_INPUT_RATE_LIMIT]; /* usual rates that it takes, rising */
    double usual_rate_hz;                /* the one that is taken when none is asked for */
    bool converts; /* any rate goes, so a converter stands between: not native */
} sw_input;

typedef struct sw_input_list {
    sw_input *input; /* owned; free with sw_inputs_free */
    size_t count;    /* 0 is no error */
} sw_input_list;

/* The inputs there are now; the caller frees. SW_DEVICE when the sound system does not answer. */
sw_status sw_inputs_list(sw_input_list *list, sw_error *error);
void sw_inputs_free(sw_input_list *list);

typedef struct sw_sound_card_request {
    const char *input; /* number, whole name or a part of one name; NULL = the default */
    size_t channels;   /* 0 = two, or one when there is only one */
    double rate_hz;    /* 0 = the device's own */
} sw_sound_card_request;

/* SW_DEVICE when there is none, it is busy or gone; SW_USAGE with what it offers when the name,
 * rate or channels do not fit. */
sw_status sw_sound_card_open(const sw_sound_card_request *request, sw_capture **capture,
                             sw_error *error);

#endif
