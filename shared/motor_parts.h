/* Parts of reading and writing the motor document, for the files shared/motor_*.c alone. */
#ifndef SPINWORTH_SHARED_MOTOR_PARTS_H
#define SPINWORTH_SHARED_MOTOR_PARTS_H

#include "shared/json_read.h"
#include "shared/motor.h"

/* Pole pairs, harmonics, wave, stretch and warnings; too many entries are an error at their key. */
sw_status sw_motor_read_lists(const sw_node *top, sw_motor *motor, sw_error *error);

/* Which evidence is in it. */
sw_status sw_sources_read(const sw_node *top, sw_sources *sources, sw_error *error);
void sw_sources_write(cJSON *root, const sw_sources *sources);

/* The magnet ring's map. */
sw_status sw_magnet_ring_read(const cJSON *root, const char *file, sw_magnet_ring *ring,
                              sw_error *error);
void sw_magnet_ring_write(cJSON *root, const sw_magnet_ring *ring);

#endif
