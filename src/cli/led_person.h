/* The simulated person that record --guide leads: watches a meter of their own, the same as on the
 * screen, lets go when told to, and slows down when told that it is too loud. */
#ifndef SPINWORTH_CLI_LED_PERSON_H
#define SPINWORTH_CLI_LED_PERSON_H

#include "probes/capture/simulated_motor.h"
#include "src/measure/meter/meter.h"

typedef struct sw_led_person {
    sw_live_meter *meter; /* owned; NULL = nothing is shown yet */
    double plate_rpm;
    double speed_rpm; /* held now */
    sw_live_advice heard;
    int heard_for; /* readings */
    sw_simulated_act next;
} sw_led_person;

sw_led_person sw_led_person_at(double plate_rpm);

/* Before the capture starts. */
sw_status sw_led_person_watch(sw_led_person *person, const sw_live_request *request,
                              sw_error *error);

/* For the capture, which must not outlive the person. */
sw_simulated_person sw_led_person_hands(sw_led_person *person);

void sw_led_person_end(sw_led_person *person);

#endif
