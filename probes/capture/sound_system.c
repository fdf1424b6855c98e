#include "probes/capture/sound_system.h"

#include "probes/capture/alsa.h"
#include "shared/platform.h"
#include "shared/text.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double USUAL_RATES_HZ[] = {8000,  11025, 16000, 22050,  32000,  44100, 48000,
                                        64000, 88200, 96000, 176400, 192000, 384000};
/* No converter chip has this rate and none is within PortAudio's 1 % of it: a device that takes
 * it resamples. */
static const double ODD_RATE_HZ = 12347;
static const double PREFERRED_RATE_HZ = 48000;

/* ---- begin and end, quietly ---- */

typedef void (*jack_handler)(const char *message);
typedef void (*jack_set_handler)(jack_handler handler);

static void ignore_jack(const char *message) {
    (void)message;
}

/* The libraries below PortAudio print on their own; both let themselves be told. */
static void silence_libraries(void) {
    sw_alsa_quiet();
    static const char *const JACK[] = {"jack_set_error_function", "jack_set_info_function"};
    for (size_t i = 0; i < sizeof JACK / sizeof *JACK; i++) {
        sw_function jack = sw_platform_function(JACK[i]);
        if (jack != NULL)
            ((jack_set_handler)jack)(ignore_jack);
    }
}

sw_status sw_sound_system_begin(sw_error *error) {
    silence_libraries();
    if (!sw_alsa_ready())
        return sw_fail(error, SW_DEVICE,
                       "the sound system is not set up: ALSA's configuration (usually "
                       "/usr/share/alsa/alsa.conf) is missing or names no default");
    int kept = sw_platform_hush();
    PaError code = Pa_Initialize();
    sw_platform_unhush(kept);
    if (code != paNoError)
        return sw_fail(error, SW_DEVICE, "the sound system does not start: %s",
                       Pa_GetErrorText(code));
    return SW_OK;
}

void sw_sound_system_end(void) {
    int kept = sw_platform_hush();
    (void)Pa_Terminate();
    sw_platform_unhush(kept);
}

/* ---- one device ---- */

static PaStreamParameters parameters_of(PaDeviceIndex device, size_t channels) {
    return (PaStreamParameters){
        .device = device, .channelCount = (int)channels, .sampleFormat = paInt32};
}

bool sw_sound_system_takes(PaDeviceIndex device, size_t channels, double rate_hz) {
    PaStreamParameters parameters = parameters_of(device, channels);
    int kept = sw_platform_hush();
    PaError code = Pa_IsFormatSupported(&parameters, NULL, rate_hz);
    sw_platform_unhush(kept);
    return code == paFormatIsSupported;
}

static void describe_rates(PaDeviceIndex device, double usual_hz, sw_input *input) {
    size_t channels = input->channels < 2 ? 1 : 2;
    bool preferred = false;
    for (size_t i = 0; i < sizeof USUAL_RATES_HZ / sizeof *USUAL_RATES_HZ; i++)
        if (sw_sound_system_takes(device, channels, USUAL_RATES_HZ[i])) {
            input->rate_hz[input->rates++] = USUAL_RATES_HZ[i];
            preferred = preferred || USUAL_RATES_HZ[i] == PREFERRED_RATE_HZ;
        }
    if (input->rates == 0)
        input->rate_hz[input->rates++] = usual_hz;
    input->usual_rate_hz = preferred ? PREFERRED_RATE_HZ : usual_hz;
    input->converts = sw_sound_system_takes(device, channels, ODD_RATE_HZ);
    if (!input->converts)
        return;
    int kept = sw_platform_hush();
    double own_hz = sw_alsa_own_rate_hz(input->name);
    sw_platform_unhush(kept);
    if (own_hz > 0)
        input->usual_rate_hz = own_hz;
}

/* Plug-ins claim 128 channels and more; a recording has at most SW_CHANNEL_LIMIT. */
static size_t channels_of(const PaDeviceInfo *info) {
    int most = info->maxInputChannels;
    return most > SW_CHANNEL_LIMIT ? SW_CHANNEL_LIMIT : (size_t)(most > 0 ? most : 0);
}

bool sw_sound_system_describe(PaDeviceIndex device, sw_input *input) {
    const PaDeviceInfo *info = Pa_GetDeviceInfo(device);
    *input = (sw_input){.number = device};
    if (info == NULL || channels_of(info) == 0)
        return false;
    const PaHostApiInfo *host = Pa_GetHostApiInfo(info->hostApi);
    sw_text_copy(info->name, input->name, sizeof input->name);
    sw_text_make_printable(input->name);
    sw_text_copy(host != NULL ? host->name : "", input->host, sizeof input->host);
    input->channels = channels_of(info);
    input->is_default = device == Pa_GetDefaultInputDevice();
    describe_rates(device, info->defaultSampleRate, input);
    return true;
}

/* ---- by name ---- */

static bool same_letter(char left, char right) {
    return tolower((unsigned char)left) == tolower((unsigned char)right);
}

static bool begins_with(const char *name, const char *part) {
    while (*part != '\0' && same_letter(*name, *part)) {
        name++;
        part++;
    }
    return *part == '\0';
}

static bool has_part(const char *name, const char *part) {
    for (; *name != '\0'; name++)
        if (begins_with(name, part))
            return true;
    return false;
}

static const char *input_name(PaDeviceIndex device) {
    const PaDeviceInfo *info = Pa_GetDeviceInfo(device);
    return info != NULL && info->maxInputChannels > 0 ? info->name : NULL;
}

static sw_status find_number(const char *wanted, PaDeviceIndex *device, sw_error *error) {
    char *end = NULL;
    long number = strtol(wanted, &end, 10);
    if (number < 0 || number >= Pa_GetDeviceCount() || input_name((PaDeviceIndex)number) == NULL)
        return sw_fail(error, SW_USAGE,
                       "--input: there is no input number %.20s; spinworth inputs lists them",
                       wanted);
    *device = (PaDeviceIndex)number;
    return SW_OK;
}

static sw_status find_name(const char *wanted, PaDeviceIndex *device, sw_error *error) {
    size_t found = 0;
    for (PaDeviceIndex i = 0; i < Pa_GetDeviceCount(); i++) {
        const char *name = input_name(i);
        if (name == NULL || !has_part(name, wanted))
            continue;
        if (strcmp(name, wanted) == 0) {
            *device = i;
            return SW_OK;
        }
        if (found++ == 0)
            *device = i;
    }
    if (found == 1)
        return SW_OK;
    if (found > 1)
        return sw_fail(error, SW_USAGE,
                       "--input: %zu inputs have \"%.60s\" in their name; take the number that "
                       "spinworth inputs shows",
                       found, wanted);
    return sw_fail(error, SW_USAGE,
                   "--input: no input has \"%.60s\" in its name; spinworth inputs lists them (one "
                   "that another program uses is not seen)",
                   wanted);
}

static sw_status find_default(PaDeviceIndex *device, sw_error *error) {
    *device = Pa_GetDefaultInputDevice();
    if (*device != paNoDevice && input_name(*device) != NULL)
        return SW_OK;
    return sw_fail(error, SW_DEVICE,
                   "no sound input is there; plug one in (a USB adapter will do) and see spinworth "
                   "inputs, or practise with --simulate");
}

sw_status sw_sound_system_find(const char *wanted, PaDeviceIndex *device, sw_error *error) {
    if (wanted == NULL || *wanted == '\0')
        return find_default(device, error);
    return wanted[strspn(wanted, "0123456789")] == '\0' ? find_number(wanted, device, error)
                                                        : find_name(wanted, device, error);
}
