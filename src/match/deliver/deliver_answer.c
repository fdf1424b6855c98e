#include "src/match/deliver/deliver_answer.h"

#include "src/match/deliver/deliver_figures.h"

#include <math.h>
#include <string.h>

/* A reading of the motor record, and what its uncertainty is when nobody stated it. */
typedef struct reading {
    const char *key;
    size_t offset;
    double relative;
} reading;

static const reading readings[] = {
    {"voltage_constant", offsetof(sw_motor, voltage_constant), 0.01},
    {"winding_resistance", offsetof(sw_motor, winding_resistance), 0.05},
    {"winding_inductance", offsetof(sw_motor, winding_inductance), 0.15},
    {"drag_torque.constant", offsetof(sw_motor, drag_torque.constant), 0.20},
    {"drag_torque.linear", offsetof(sw_motor, drag_torque.linear), 0.20},
    {"drag_torque.quadratic", offsetof(sw_motor, drag_torque.quadratic), 0.20},
};

static sw_quantity *quantity_of(sw_motor *motor, const reading *r) {
    return (sw_quantity *)((char *)motor + r->offset);
}

void sw_deliver_answer_guess(sw_deliver_answer *answer, const char *key) {
    if (answer->guesses < SW_ANSWER_GUESS_LIMIT) {
        answer->guess[answer->guesses++] = key;
    }
}

static bool is_three_phase(const sw_motor *motor) {
    return motor->kind == SW_MAGNET_AC && motor->phases == 3;
}

bool sw_deliver_circulation_unknown(const sw_motor *motor, const sw_wiring *wiring) {
    const sw_connection used =
        wiring->connection != SW_AS_IT_COMES ? wiring->connection : motor->connection;
    return is_three_phase(motor) && used == SW_DELTA &&
           !(motor->harmonics_of_phase && motor->harmonics > 0);
}

/* Guesses about the wiring rather than about a reading. */
static void guess_wiring(const sw_motor *motor, const sw_wiring *wiring,
                         sw_deliver_answer *answer) {
    if (is_three_phase(motor) && motor->connection == SW_AS_IT_COMES &&
        wiring->connection != SW_AS_IT_COMES) {
        sw_deliver_answer_guess(answer, "connection");
    }
    if (sw_deliver_circulation_unknown(motor, wiring)) {
        sw_deliver_answer_guess(answer, "circulating_loss");
    }
}

/* Add the squares of the changes that one moved reading makes. */
static sw_status add_effect(const sw_motor *moved, const sw_wiring *wiring,
                            const sw_deliver_load *load, sw_deliver_answer *answer,
                            sw_error *error) {
    sw_operating_point other;
    double cut_in_rpm = 0.0;
    sw_status status = sw_deliver(moved, wiring, load, answer->point.speed_rpm, &other, error);
    if (status == SW_OK) {
        status = sw_deliver_cut_in(moved, wiring, load, &cut_in_rpm, error);
    }
    if (status != SW_OK) {
        return status;
    }
    for (size_t f = 0; f < sw_figure_count; f++) {
        const double change = sw_figure_value(&sw_figures[f], &other) -
                              sw_figure_value(&sw_figures[f], &answer->point);
        double *sum = (double *)((char *)&answer->u + sw_figures[f].offset);
        *sum += isfinite(change) ? change * change : 0.0;
    }
    answer->cut_in_u_rpm += (cut_in_rpm - answer->cut_in_rpm) * (cut_in_rpm - answer->cut_in_rpm);
    return SW_OK;
}

static void take_roots(sw_deliver_answer *answer) {
    for (size_t f = 0; f < sw_figure_count; f++) {
        double *sum = (double *)((char *)&answer->u + sw_figures[f].offset);
        *sum = sqrt(*sum);
    }
    answer->cut_in_u_rpm = sqrt(answer->cut_in_u_rpm);
}

sw_status sw_deliver_answer_at(const sw_motor *motor, const sw_wiring *wiring,
                               const sw_deliver_load *load, double speed_rpm,
                               sw_deliver_answer *answer, sw_error *error) {
    memset(answer, 0, sizeof *answer);
    sw_status status = sw_deliver(motor, wiring, load, speed_rpm, &answer->point, error);
    if (status == SW_OK) {
        status = sw_deliver_cut_in(motor, wiring, load, &answer->cut_in_rpm, error);
    }
    for (size_t i = 0; status == SW_OK && i < sizeof readings / sizeof readings[0]; i++) {
        const reading *r = &readings[i];
        sw_motor moved = *motor;
        sw_quantity *value = quantity_of(&moved, r);
        const bool brushed_inductance =
            motor->kind == SW_BRUSHED && strcmp(r->key, "winding_inductance") == 0;
        if (brushed_inductance) {
            continue;
        }
        if (!sw_quantity_known(*value)) {
            sw_deliver_answer_guess(answer, r->key);
            continue;
        }
        if (!isfinite(value->u)) {
            sw_deliver_answer_guess(answer, r->key);
        }
        const double u = sw_quantity_u_or(*value, r->relative);
        if (u > 0.0) {
            value->value += u;
            status = add_effect(&moved, wiring, load, answer, error);
        }
    }
    take_roots(answer);
    guess_wiring(motor, wiring, answer);
    if (status == SW_OK && wiring->rectifier != SW_RECTIFIER_NONE) {
        status = sw_deliver_open_volts(motor, wiring, load, speed_rpm, &answer->open_v, error);
    }
    return status;
}
