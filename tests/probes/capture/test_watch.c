/* The watch over a live input: pace against the clock, silence, and the motor coasting down. */
#include "tests/support.h"

#include "probes/capture/coast.h"
#include "probes/capture/pace.h"
#include "probes/capture/silence.h"

#include <math.h>

/* A simple generator, the same everywhere: uniform in [0, 1). */
static double draw(unsigned *seed) {
    *seed = *seed * 1664525U + 1013904223U;
    return (*seed >> 8) / 16777216.0;
}

/* ---- pace ---- */

/* Callbacks each 10 ms that come up to late_s late. */
static void run_pace(sw_pace *pace, double rate_hz, double from_s, double to_s, double late_s,
                     int64_t lost, unsigned *seed) {
    for (double t = from_s; t < to_s; t += 0.01)
        sw_pace_add(pace, 1000 + t + late_s * draw(seed), (int64_t)(rate_hz * t) - lost);
}

static void pace_is_found(void **state) {
    (void)state;
    static const double RATES_HZ[] = {48000, 48010, 47000, 44100};
    for (size_t i = 0; i < sizeof RATES_HZ / sizeof *RATES_HZ; i++) {
        unsigned seed = 77 + (unsigned)i;
        double rate_hz = NAN;
        double rate_u_hz = NAN;
        sw_pace pace;
        sw_pace_begin(&pace, 48000);
        run_pace(&pace, RATES_HZ[i], 0, 10, 0.005, 0, &seed);
        sw_pace_rate(&pace, &rate_hz, &rate_u_hz);
        /* Uniform lateness of 5 ms has a scatter of 1.44 ms; u = 2 x 1.44 ms x rate / 9.7 s. */
        assert_close(rate_u_hz, 2 * 0.00144 * RATES_HZ[i] / 9.7, 0.1 * rate_u_hz);
        assert_close(rate_hz, RATES_HZ[i], 2 * rate_u_hz);
    }
}

static void pace_is_not_told_too_early(void **state) {
    (void)state;
    unsigned seed = 5;
    double rate_hz = 0;
    double rate_u_hz = 0;
    sw_pace pace;
    sw_pace_begin(&pace, 48000);
    run_pace(&pace, 48000, 0, 0.6, 0, 0, &seed);
    sw_pace_rate(&pace, &rate_hz, &rate_u_hz);
    assert_true(isnan(rate_hz));
    assert_true(isnan(sw_pace_missing(&pace, 1001, 0)));
}

/* What is missing after a gap is told to the callbacks' lateness, and does not bend the rate. */
static void pace_sees_a_gap(void **state) {
    (void)state;
    unsigned seed = 9;
    double rate_hz = NAN;
    double rate_u_hz = NAN;
    sw_pace pace;
    sw_pace_begin(&pace, 48000);
    run_pace(&pace, 48000, 0, 5, 0.002, 0, &seed);
    double missing = sw_pace_missing(&pace, 1005.501, (int64_t)(48000 * 5.5) - 12000);
    assert_close(missing, 12000, 0.002 * 48000);
    sw_pace_break(&pace);
    run_pace(&pace, 48000, 5.5, 9, 0.002, 12000, &seed);
    sw_pace_rate(&pace, &rate_hz, &rate_u_hz);
    assert_close(rate_hz, 48000, 3 * rate_u_hz);
    assert_true(rate_u_hz < 20);
}

/* ---- silence ---- */

enum { RATE_HZ = 1000, FRAMES = 500 };

/* channel 1 constant where said, else noise; the same for channel 2. */
static sw_capture_news feed(sw_silence *silence, bool first_dead, bool second_dead,
                            unsigned *seed) {
    static int32_t frames[2 * FRAMES];
    sw_capture_news news = {.frames = FRAMES};
    for (size_t i = 0; i < FRAMES; i++) {
        frames[2 * i] = first_dead ? -3 : (int32_t)(100 * draw(seed)) - 50;
        frames[2 * i + 1] = second_dead ? 0 : (int32_t)(100 * draw(seed)) - 50;
    }
    sw_silence_watch(silence, frames, &news);
    return news;
}

static void assert_event(const sw_capture_news *news, size_t which, sw_capture_event_kind kind,
                         size_t channel) {
    assert_true(which < news->events);
    assert_int_equal(news->event[which].kind, kind);
    assert_int_equal(news->event[which].channel, channel);
}

static void silence_is_noticed(void **state) {
    (void)state;
    unsigned seed = 3;
    sw_silence silence;
    sw_silence_begin(&silence, 2, RATE_HZ);
    assert_int_equal(feed(&silence, false, false, &seed).events, 0);
    assert_int_equal(feed(&silence, false, true, &seed).events, 0); /* half a second */
    sw_capture_news news = feed(&silence, false, true, &seed);
    assert_int_equal(news.events, 1);
    assert_event(&news, 0, SW_CAPTURE_SILENT, 2);
    assert_int_equal(feed(&silence, false, true, &seed).events, 0); /* said once */
    assert_int_equal(feed(&silence, true, true, &seed).events, 0);
    news = feed(&silence, true, true, &seed);
    assert_int_equal(news.events, 1);
    assert_event(&news, 0, SW_CAPTURE_SILENT, 0); /* all of them */
    news = feed(&silence, true, false, &seed);
    assert_int_equal(news.events, 2);
    assert_event(&news, 0, SW_CAPTURE_HEARD, 0);
    assert_event(&news, 1, SW_CAPTURE_SILENT, 1);
    news = feed(&silence, false, false, &seed);
    assert_int_equal(news.events, 1);
    assert_event(&news, 0, SW_CAPTURE_HEARD, 1);
}

/* ---- coasting down ---- */

enum { COAST_RATE_HZ = 8000 };

typedef struct spin {
    double rest_s;           /* before the spin */
    double run_s;            /* at full level */
    double coast_s;          /* down to nothing, straight; 0 = exponential */
    double tau_s;            /* of the exponential */
    double level;            /* amplitude at the run, full scale 1 */
    double noise;            /* amplitude of even noise */
    double offset;           /* of the input */
    double cycles_at_full_s; /* electrical cycles a second */
} spin;

static double speed_at(const spin *about, double t) {
    double after = t - about->rest_s;
    if (after < 0)
        return 0;
    if (after < about->run_s)
        return 1;
    after -= about->run_s;
    if (about->coast_s > 0)
        return fmax(0, 1 - after / about->coast_s);
    double left = exp(-after / about->tau_s);
    return left > 0.004 ? left : 0; /* dry friction ends it */
}

/* When it said that the motor stood, NAN = never. */
static double stopped_at(const spin *about, double length_s) {
    unsigned seed = 12;
    sw_coast coast;
    double cycles = 0;
    sw_coast_begin(&coast, 1, COAST_RATE_HZ);
    for (size_t i = 0; i < (size_t)(length_s * COAST_RATE_HZ); i++) {
        double t = (double)i / COAST_RATE_HZ;
        double speed = speed_at(about, t);
        cycles += about->cycles_at_full_s * speed / COAST_RATE_HZ;
        double sample = about->level * speed * sin(6.283185307179586 * cycles) + about->offset +
                        about->noise * (2 * draw(&seed) - 1);
        int32_t frame = (int32_t)(sample * 2147483647.0);
        if (sw_coast_watch(&coast, &frame, 1))
            return t;
    }
    return NAN;
}

/* It must be two seconds after the standstill, to the windows' tenth and what the last slow turns
 * are worth: below twice the floor is standing. */
static void coasting_down_ends_it(void **state) {
    (void)state;
    static const spin SPINS[] = {
        {3, 5, 6, 0, 0.5, 0.001, 0, 100},     /* an ordinary one */
        {1, 5, 6, 0, 0.5, 0.00002, 0.1, 100}, /* a quiet input with an offset */
        {2, 4, 20, 0, 0.05, 0.001, 0, 40},    /* small volts, long run-down */
    };
    for (size_t i = 0; i < sizeof SPINS / sizeof *SPINS; i++) {
        const spin *about = &SPINS[i];
        double stands_s = about->rest_s + about->run_s + about->coast_s;
        double slow_s = 2 * about->coast_s * about->noise / about->level + 0.3;
        double found_s = stopped_at(about, stands_s + 6);
        assert_close(found_s, stands_s + 2, slow_s + 0.2);
    }
}

static void a_slow_flywheel_is_not_cut_off(void **state) {
    (void)state;
    static const spin HEAVY = {3, 5, 0, 12, 0.5, 0.0002, 0, 100};
    double stands_s = 8 + 12 * log(1 / 0.004);
    double found_s = stopped_at(&HEAVY, stands_s + 6);
    assert_true(found_s > stands_s && found_s < stands_s + 3);
}

static void begun_in_the_spin(void **state) {
    (void)state;
    static const spin LATE = {0, 5, 6, 0, 0.5, 0.001, 0, 100};
    double found_s = stopped_at(&LATE, 20);
    assert_true(found_s > 11 && found_s < 15);
}

static void rest_and_a_steady_spin_go_on(void **state) {
    (void)state;
    static const spin REST = {60, 1, 1, 0, 0.5, 0.001, 0, 100};
    static const spin STEADY = {3, 60, 1, 0, 0.5, 0.001, 0, 100};
    assert_true(isnan(stopped_at(&REST, 50)));
    assert_true(isnan(stopped_at(&STEADY, 50)));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pace_is_found),         cmocka_unit_test(pace_is_not_told_too_early),
        cmocka_unit_test(pace_sees_a_gap),       cmocka_unit_test(silence_is_noticed),
        cmocka_unit_test(coasting_down_ends_it), cmocka_unit_test(a_slow_flywheel_is_not_cut_off),
        cmocka_unit_test(begun_in_the_spin),     cmocka_unit_test(rest_and_a_steady_spin_go_on),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
