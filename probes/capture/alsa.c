/* The library is loaded already, by PortAudio; its functions are looked up by name, so that the
 * program neither needs its headers nor fails to start without it. */
#include "probes/capture/alsa.h"

#include "shared/platform.h"

#include <stddef.h>

enum { CAPTURE_STREAM = 1, NO_WAITING = 1, NO_RESAMPLING = 0, NEAREST = 0 };

typedef void (*message_handler)(const char *file, int line, const char *function, int code,
                                const char *format, ...);

typedef int (*set_handler)(message_handler handler);
typedef int (*config_top)(void **top);
typedef int (*config_search)(void *top, const char *key, void **found);
typedef void (*config_unref)(void *top);
typedef int (*pcm_open)(void **pcm, const char *name, int stream, int mode);
typedef int (*pcm_close)(void *pcm);
typedef int (*params_new)(void **params);
typedef void (*params_free)(void *params);
typedef int (*params_any)(void *pcm, void *params);
typedef int (*params_resample)(void *pcm, void *params, unsigned value);
typedef int (*params_test_rate)(void *pcm, void *params, unsigned rate, int direction);

static void ignore(const char *file, int line, const char *function, int code, const char *format,
                   ...) {
    (void)file;
    (void)line;
    (void)function;
    (void)code;
    (void)format;
}

void sw_alsa_quiet(void) {
    set_handler set = (set_handler)sw_platform_function("snd_lib_error_set_handler");
    if (set != NULL)
        set(ignore);
}

bool sw_alsa_ready(void) {
    config_top top_of = (config_top)sw_platform_function("snd_config_update_ref");
    config_search search = (config_search)sw_platform_function("snd_config_search");
    config_unref unref = (config_unref)sw_platform_function("snd_config_unref");
    void *top = NULL;
    void *found = NULL;
    if (top_of == NULL || search == NULL || unref == NULL)
        return true;
    if (top_of(&top) < 0 || top == NULL)
        return false;
    bool ready = search(top, "pcm.default", &found) >= 0;
    unref(top);
    return ready;
}

static double first_that_fits(void *pcm, void *params) {
    static const unsigned RATES_HZ[] = {48000, 44100, 96000, 192000, 32000, 22050, 16000, 8000};
    params_test_rate test = (params_test_rate)sw_platform_function("snd_pcm_hw_params_test_rate");
    for (size_t i = 0; test != NULL && i < sizeof RATES_HZ / sizeof *RATES_HZ; i++)
        if (test(pcm, params, RATES_HZ[i], NEAREST) == 0)
            return RATES_HZ[i];
    return 0;
}

static double own_rate_of(void *pcm) {
    params_new make = (params_new)sw_platform_function("snd_pcm_hw_params_malloc");
    params_free release = (params_free)sw_platform_function("snd_pcm_hw_params_free");
    params_any any = (params_any)sw_platform_function("snd_pcm_hw_params_any");
    params_resample resample =
        (params_resample)sw_platform_function("snd_pcm_hw_params_set_rate_resample");
    void *params = NULL;
    if (make == NULL || release == NULL || any == NULL || resample == NULL || make(&params) < 0)
        return 0;
    double rate_hz = 0;
    if (any(pcm, params) >= 0 && resample(pcm, params, NO_RESAMPLING) >= 0)
        rate_hz = first_that_fits(pcm, params);
    release(params);
    return rate_hz;
}

double sw_alsa_own_rate_hz(const char *device) {
    pcm_open open = (pcm_open)sw_platform_function("snd_pcm_open");
    pcm_close close = (pcm_close)sw_platform_function("snd_pcm_close");
    void *pcm = NULL;
    if (open == NULL || close == NULL || open(&pcm, device, CAPTURE_STREAM, NO_WAITING) < 0)
        return 0;
    double rate_hz = own_rate_of(pcm);
    close(pcm);
    return rate_hz;
}
