#include "src/cli/led_person.h"

#include <math.h>

/* In readings, ten a second. What is said is said after it has stood for four of them. */
static const int SLOWS_AFTER = 10; /* told, and six tenths of a second */
static const int LETS_GO_AFTER = 6;
static const int WAITS_TO_SEE = 20; /* whether slower was slow enough, before it is heard again */

static const double SLOWER = 0.6; /* of the speed */
static const double SLOWEST = 0.05;

sw_led_person sw_led_person_at(double plate_rpm) {
    return (sw_led_person){.plate_rpm = plate_rpm,
                           .speed_rpm = plate_rpm,
                           .heard = SW_LIVE_WAIT,
                           .next = {.speed_rpm = NAN}};
}

sw_status sw_led_person_watch(sw_led_person *person, const sw_live_request *request,
                              sw_error *error) {
    return sw_live_meter_new(request, &person->meter, error);
}

static void obey(sw_led_person *person, sw_live_advice advice) {
    person->heard_for = advice == person->heard ? person->heard_for + 1 : 1;
    person->heard = advice;
    if (advice == SW_LIVE_FREE_SHAFT && person->heard_for == LETS_GO_AFTER)
        person->next.let_go = true;
    if (advice != SW_LIVE_TOO_LOUD || person->heard_for < SLOWS_AFTER ||
        person->speed_rpm < SLOWEST * person->plate_rpm)
        return;
    person->speed_rpm *= SLOWER;
    person->next.speed_rpm = person->speed_rpm;
    person->heard_for = -WAITS_TO_SEE;
}

static void see(void *user, int64_t first, const int32_t *frames, size_t count) {
    sw_led_person *person = user;
    sw_live_reading reading;
    if (person->meter != NULL && sw_live_meter_feed(person->meter, first, frames, count, &reading))
        obey(person, reading.advice);
}

static sw_simulated_act act(void *user) {
    sw_led_person *person = user;
    sw_simulated_act now = person->next;
    person->next = (sw_simulated_act){.speed_rpm = NAN};
    return now;
}

sw_simulated_person sw_led_person_hands(sw_led_person *person) {
    return (sw_simulated_person){person, see, act};
}

void sw_led_person_end(sw_led_person *person) {
    sw_live_meter_free(person->meter);
    person->meter = NULL;
}
