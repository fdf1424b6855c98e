#include "src/report/ring_text.h"

#include "src/report/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { BAR_ROOM = 36 };

static const double BAR_FULL = 1.2; /* strength that fills a bar */

static double largest_noise(const sw_magnet_ring *ring) {
    double most = 0;
    for (int i = 0; i < ring->poles; i++)
        most = fmax(most, ring->strength_u[i]);
    return most;
}

/* Nothing of the magnets themselves without the slots. */
static void say_slots(const sw_motor *motor, sw_text *text) {
    if (motor->slots == 0 && motor->phases != 1 && motor->phases != 2)
        sw_words_text_row(text, "",
                          "(count the stator's slots, --slots 36: they tell the magnets "
                          "from the smear of the coils)");
}

static void say_spread(const sw_magnet_ring *ring, sw_text *text) {
    char line[120];
    if (isnan(ring->magnet_spread))
        return;
    snprintf(line, sizeof line, "the magnets differ by about %.1f \u00b1 %.1f %% (good: 1 to 4 %%)",
             100 * ring->magnet_spread, 200 * ring->magnet_spread_u);
    sw_words_text_row(text, "", line);
}

/* What the winding lets one see of a single magnet, and of a weak side. */
static void say_seen(const sw_motor *motor, sw_text *text) {
    const sw_magnet_ring *ring = &motor->magnet_ring;
    char line[120];
    if (isnan(ring->smallest_weak) || ring->weak_count > 0)
        return;
    say_spread(ring, text);
    if (ring->smallest_weak > 1)
        snprintf(line, sizeof line, "with %d slots and %d poles not even a missing one shows here",
                 motor->slots, ring->poles);
    else
        snprintf(line, sizeof line, "a single one would show from %.0f %% weak on",
                 100 * ring->smallest_weak);
    sw_words_text_row(text, "", line);
    if (isnan(ring->one_side))
        sw_words_text_row(text, "", "a rotor that is weak on one side does not show here");
    if (ring->smallest_weak > 0.5 || isnan(ring->one_side))
        sw_words_text_row(text, "", "(pull a steel screwdriver off each magnet round the ring)");
}

void sw_ring_row(const sw_motor *motor, sw_text *text) {
    const sw_magnet_ring *ring = &motor->magnet_ring;
    char line[120];
    if (ring->poles == 0)
        return;
    double low = INFINITY;
    double high = 0;
    for (int i = 0; i < ring->poles; i++) {
        low = fmin(low, ring->strength[i]);
        high = fmax(high, ring->strength[i]);
    }
    double noise = largest_noise(ring);
    int decimals = 200 * noise < 0.095 ? 2 : 1;
    if (high - low < 4 * noise)
        snprintf(line, sizeof line, "no difference seen beyond the noise of %.2g %%", 200 * noise);
    else
        snprintf(line, sizeof line, "poles from %.*f to %.*f %% of the mean, \u00b1 %.*f %%",
                 decimals, 100 * low, decimals, 100 * high, decimals, 200 * noise);
    sw_words_text_row(text, "Magnets, at the wires", line);
    say_slots(motor, text);
    say_seen(motor, text);
}

static void bar(double strength, char *out) {
    double filled = fmin(fmax(strength, 0), BAR_FULL) / BAR_FULL * BAR_ROOM;
    size_t count = (size_t)lround(filled);
    memset(out, '#', count);
    memset(out + count, ' ', BAR_ROOM - count);
    out[BAR_ROOM] = '\0';
}

void sw_ring_table(const sw_motor *motor, sw_text *text) {
    const sw_magnet_ring *ring = &motor->magnet_ring;
    if (ring->poles == 0)
        return;
    sw_text_add(text, "\nThe magnet ring, as the wires see it (%.0f turns)\n", ring->turns);
    if (ring->from_mark)
        sw_text_paragraph(text, 2,
                          "  Pole 1 is the first after the mark, %.1f degrees of a turn later.",
                          ring->first_deg);
    else
        sw_text_paragraph(text, 2, "  Counted from the record's beginning: no mark on the shaft.");
    if (ring->repeats > 1)
        sw_text_paragraph(text, 2,
                          "  The pattern comes %d times a turn, as the coils do: each pole shown "
                          "is the mean of %d magnets.",
                          ring->repeats, ring->repeats);
    sw_text_add(text, "  pole  %-*s  strength          placement (electrical)\n", BAR_ROOM, "");
    for (int i = 0; i < ring->poles; i++) {
        char drawn[BAR_ROOM + 1];
        bar(ring->strength[i], drawn);
        sw_text_add(text, "  %4d  %s  %.4f \u00b1 %.4f  %+6.2f \u00b1 %.2f\u00b0\n", i + 1, drawn,
                    ring->strength[i], 2 * ring->strength_u[i], ring->placement_deg[i],
                    2 * ring->placement_u_deg[i]);
    }
}

void sw_budget_table(const sw_motor *motor, sw_text *text) {
    const sw_shares *shares = &motor->budget;
    if (shares->lines == 0)
        return;
    sw_text_add(text, "\nWhere the voltage constant's \u00b1 comes from (largest first)\n");
    for (size_t i = 0; i < shares->lines; i++)
        sw_text_add(text, "  %5.1f %%  %-46s \u00b1 %.2g %%\n", 100 * shares->line[i].share,
                    shares->line[i].from, 200 * shares->line[i].u);
}
