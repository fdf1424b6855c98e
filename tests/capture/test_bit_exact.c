/* Every sample that a sound card gives stands in the recording, bit by bit, in every format. The
 * long form: SPINWORTH_DRILL_SECONDS=600 in the environment. */
#include "tests/capture/support_drill.h"

#include "tests/support.h"

#include <stdio.h>
#include <stdlib.h>

typedef struct card {
    const char *name, *format;
    unsigned channels, rate_hz;
    int bits;
    const char *file;
    drill_run run;
} card;

/* A recording has 24 bits; floats hold 24 bits exactly. */
static card cards[] = {
    {"short", "S16_LE", 2, 48000, 16, "short.wav", {0}},
    {"packed", "S24_3LE", 2, 96000, 24, "packed.wav", {0}},
    {"long", "S32_LE", 3, 44100, 24, "long.flac", {0}},
    {"float", "FLOAT_LE", 1, 48000, 24, "float.wav", {0}},
    {"squeezed", "S24_3LE", 2, 48000, 24, "squeezed.flac", {0}},
};
enum { CARDS = sizeof cards / sizeof cards[0] };

static void define(const card *cards_from, char *out, size_t room) {
    size_t used = 0;
    for (int i = 0; i < CARDS; i++) {
        const card *c = &cards_from[i];
        used += (size_t)snprintf(out + used, room - used,
                                 "pcm.%s { type testline format %s channels %u rate %u }\n",
                                 c->name, c->format, c->channels, c->rate_hz);
        assert_true(used < room);
    }
}

static int seconds(void) {
    const char *text = getenv("SPINWORTH_DRILL_SECONDS");
    return text != NULL ? (int)strtol(text, NULL, 10) : 2;
}

static void check(const char *folder, card *c) {
    int status = drill_wait(&c->run, 20 + seconds());
    print_message("%s: exit %d\n%s%s", c->name, status, c->run.out, c->run.err);
    assert_int_equal(status, 0);
    drill_take take;
    assert_true(drill_take_read(folder, c->file, &take));
    assert_int_equal(take.channels, c->channels);
    assert_int_equal((long)take.rate_hz, c->rate_hz);
    assert_int_equal(take.frames, (int64_t)c->rate_hz * seconds());
    pattern fed = {.kind = PATTERN_NOISE};
    int64_t first = drill_take_find(&take, 0, &fed, 0, c->bits);
    print_message("%s: begins with the line's frame %lld\n", c->name, (long long)first);
    assert_true(first >= 0);
    assert_int_equal(drill_take_matches(&take, 0, &fed, first, c->bits), take.frames);
    drill_take_free(&take);
}

static void every_sample_is_kept(void **state) {
    const char *folder = *state;
    char definitions[1024];
    char arguments[256];
    define(cards, definitions, sizeof definitions);
    drill_lines(folder, "short", definitions);
    for (int i = 0; i < CARDS; i++) {
        snprintf(arguments, sizeof arguments, "record %s --input %s --channels %u --for %ds",
                 cards[i].file, cards[i].name, cards[i].channels, seconds());
        drill_start(folder, cards[i].name, "", arguments, &cards[i].run);
    }
    for (int i = 0; i < CARDS; i++)
        check(folder, &cards[i]);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_sample_is_kept, drill_setup, drill_teardown),
    };
    return drill_possible() ? cmocka_run_group_tests_name("bit exact", tests, NULL, NULL)
                            : DRILL_SKIP;
}
