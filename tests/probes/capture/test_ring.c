/* The ring: order and content across the wrap, fullness, and two threads at once. */
#include "tests/support.h"

#include "probes/capture/ring.h"
#include "shared/platform.h"

#include <stdint.h>

enum { ELEMENTS = 300000, SMALL = 64 };

static void capacity_is_a_power_of_two(void **state) {
    (void)state;
    static const size_t ASKED[] = {1, 2, 3, 64, 65, 1000};
    static const size_t GIVEN[] = {2, 2, 4, 64, 128, 1024};
    for (size_t i = 0; i < sizeof ASKED / sizeof *ASKED; i++) {
        sw_ring *ring = NULL;
        assert_int_equal(sw_ring_new(4, ASKED[i], &ring, NULL), SW_OK);
        assert_int_equal(sw_ring_room(ring), GIVEN[i]);
        sw_ring_free(ring);
    }
}

static void full_and_empty(void **state) {
    (void)state;
    sw_ring *ring = NULL;
    int64_t in[10] = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9};
    int64_t out[10] = {0};
    assert_int_equal(sw_ring_new(sizeof *in, 8, &ring, NULL), SW_OK);
    assert_int_equal(sw_ring_take(ring, out, 10), 0);
    assert_int_equal(sw_ring_put(ring, in, 10), 8);
    assert_int_equal(sw_ring_put(ring, in, 1), 0);
    assert_int_equal(sw_ring_filled(ring), 8);
    assert_int_equal(sw_ring_take(ring, out, 3), 3);
    assert_int_equal(sw_ring_put(ring, in + 8, 2), 2); /* across the end of the memory */
    assert_int_equal(sw_ring_room(ring), 1);
    assert_int_equal(sw_ring_take(ring, out + 3, 10), 7);
    assert_memory_equal(out, in, sizeof in);
    sw_ring_free(ring);
}

/* Blocks of random sizes: what comes out is what went in, in order. */
static void random_blocks(void **state) {
    (void)state;
    unsigned seed = 4711;
    sw_ring *ring = NULL;
    uint32_t block[100];
    uint32_t put = 0;
    uint32_t taken = 0;
    print_message("seed %u\n", seed);
    assert_int_equal(sw_ring_new(sizeof *block, SMALL, &ring, NULL), SW_OK);
    for (int turn = 0; turn < 20000; turn++) {
        seed = seed * 1664525 + 1013904223;
        size_t count = (seed >> 16) % 100;
        for (size_t i = 0; i < count; i++)
            block[i] = put + (uint32_t)i;
        put += (uint32_t)sw_ring_put(ring, block, count);
        size_t got = sw_ring_take(ring, block, (seed >> 8) % 100);
        for (size_t i = 0; i < got; i++)
            assert_int_equal(block[i], taken + i);
        taken += (uint32_t)got;
        assert_int_equal(sw_ring_filled(ring), put - taken);
    }
    assert_true(taken > 100000);
    sw_ring_free(ring);
}

typedef struct element {
    uint64_t number, check;
} element;

static uint64_t scramble(uint64_t number) {
    return number * 0x9E3779B97F4A7C15U + 1;
}

static void produce(void *argument) {
    sw_ring *ring = argument;
    for (uint64_t n = 0; n < ELEMENTS;) {
        element some[7];
        size_t count = n % 7 + 1 < ELEMENTS - n ? n % 7 + 1 : ELEMENTS - n;
        for (size_t i = 0; i < count; i++)
            some[i] = (element){n + i, scramble(n + i)};
        size_t done = sw_ring_put(ring, some, count);
        n += done;
        if (done < count)
            sw_platform_sleep(1e-5);
    }
}

static void two_threads(void **state) {
    (void)state;
    sw_ring *ring = NULL;
    sw_thread *thread = NULL;
    assert_int_equal(sw_ring_new(sizeof(element), SMALL, &ring, NULL), SW_OK);
    assert_int_equal(sw_thread_start(produce, ring, &thread, NULL), SW_OK);
    size_t wrong = 0;
    for (uint64_t n = 0; n < ELEMENTS;) {
        element some[5];
        size_t got = sw_ring_take(ring, some, 5);
        for (size_t i = 0; i < got; i++)
            wrong += some[i].number != n + i || some[i].check != scramble(n + i);
        n += got;
        if (got == 0)
            sw_platform_sleep(1e-5);
    }
    sw_thread_join(thread);
    assert_int_equal(wrong, 0);
    assert_int_equal(sw_ring_filled(ring), 0);
    sw_ring_free(ring);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(capacity_is_a_power_of_two),
        cmocka_unit_test(full_and_empty),
        cmocka_unit_test(random_blocks),
        cmocka_unit_test(two_threads),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
