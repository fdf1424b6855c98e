/* Magnets one by one.
 *
 * Pole i has strength s_i and sits at a_i; its field is a block of arc x pitch with soft edges
 * (a block convolved with a Gaussian). The ring's series is then
 *   B_k = (1 / 2 pi) sum_i (-1)^i s_i exp(-i k a_i) (2 / k) sin(k arc pitch / 2)
 *         exp(-(k edge pitch)^2 / 2)
 * so that equal magnets give whole multiples of the pole pairs only, and every difference fills
 * the orders between. A ring that runs out turns the gap with it: the field is multiplied by
 * 1 + e cos(angle - towards), which puts side lines at k +- 1.
 */
#include "probes/simulate/ring.h"

#include "probes/simulate/draw.h"
#include "probes/simulate/faults.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>

typedef struct magnet {
    double strength; /* signed */
    double angle_rad;
} magnet;

static void draw_magnets(const sw_sim_motor *motor, gsl_rng *random, magnet *magnets) {
    int poles = 2 * motor->pole_pairs;
    double pitch = 2 * M_PI / poles;
    int segment = motor->segment_poles > 0 ? motor->segment_poles : 1;
    double batch = 0;
    for (int i = 0; i < poles; i++) {
        if (i % segment == 0)
            batch = sw_draw_tolerance(random, motor->batch_sd);
        double strength = 1 + batch + sw_draw_tolerance(random, motor->strength_sd);
        double shift = sw_draw_tolerance(random, motor->position_sd_deg) * M_PI / 180;
        if (i + 1 == motor->weak_magnet)
            strength *= motor->weak_strength;
        strength *= sw_sim_fault_strength(motor, i, random);
        magnets[i].strength = i % 2 == 0 ? strength : -strength;
        magnets[i].angle_rad = pitch * i + shift / motor->pole_pairs;
    }
}

static double complex order_of(const sw_sim_motor *motor, const magnet *magnets, int k) {
    int poles = 2 * motor->pole_pairs;
    double pitch = 2 * M_PI / poles;
    double complex sum = 0;
    for (int i = 0; i < poles; i++)
        sum += magnets[i].strength * cexp(-I * (k * magnets[i].angle_rad));
    double soft = k * motor->magnet_edge * pitch;
    return sum / (M_PI * k) * sin(k * motor->magnet_arc * pitch / 2) * exp(-soft * soft / 2);
}

/* Multiply the field by 1 + runout cos(angle - towards), in place. */
static void run_out(double runout, double towards, int orders, double complex *field) {
    double complex side = runout / 2 * cexp(-I * towards);
    double complex below = 0; /* the old field[k - 1] */
    for (int k = 0; k <= orders; k++) {
        double complex here = field[k];
        double complex above = k < orders ? field[k + 1] : 0;
        field[k] = here + side * below + conj(side) * above;
        below = here;
    }
    field[0] = 0;
}

sw_status sw_ring_field(const sw_sim_motor *motor, unsigned long seed, int orders,
                        double complex *field, sw_error *error) {
    magnet *magnets = malloc((size_t)(2 * motor->pole_pairs) * sizeof *magnets);
    gsl_rng *random = sw_draw_new(seed, SW_SIM_STREAM_RING);
    sw_status status = SW_OK;
    if (magnets == NULL || random == NULL) {
        status = sw_fail(error, SW_MEMORY, "not enough memory for the simulated magnets");
    } else {
        double towards = sw_draw_between(random, 0, 2 * M_PI);
        draw_magnets(motor, random, magnets);
        field[0] = 0;
        for (int k = 1; k <= orders; k++)
            field[k] = order_of(motor, magnets, k);
        run_out(motor->runout, towards, orders, field);
    }
    gsl_rng_free(random);
    free(magnets);
    return status;
}
