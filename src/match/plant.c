#include "src/match/plant.h"

#include <math.h>

enum { BISECTIONS = 40, TRACK_STEPS = 32 };

/* Beyond this no rotor is asked to start. */
static const double STRONGEST_WIND = 60.0;

/* Linear between the points, held beyond them. */
static double stage_at(const sw_track *track, double speed_rpm) {
    size_t i = 0;
    while (i < track->points && track->speed_rpm[i] < speed_rpm)
        i++;
    if (track->points == 0 || i == 0)
        return track->points == 0 ? 0 : track->stage[0];
    if (i == track->points)
        return track->stage[i - 1];
    double part =
        (speed_rpm - track->speed_rpm[i - 1]) / (track->speed_rpm[i] - track->speed_rpm[i - 1]);
    return track->stage[i - 1] + part * (track->stage[i] - track->stage[i - 1]);
}

/* A rotor's own torque at one wind, as a torque function. */
typedef struct wind_at {
    const sw_plant *plant;
    double wind_m_s;
} wind_at;

sw_plant sw_plant_of(const sw_rotor *rotor, const sw_motor *motor, const sw_generator *generator,
                     sw_drive drive, double density) {
    return (sw_plant){rotor, motor, generator, drive, density, 1, 1, 1, {0}};
}

double sw_plant_generator_rpm(const sw_plant *plant, double speed_rad_s) {
    return sw_drive_generator_rpm(&plant->drive, speed_rad_s);
}

double sw_plant_at(const sw_plant *plant, sw_generator_column column, double speed_rad_s) {
    double speed_rpm = sw_plant_generator_rpm(plant, speed_rad_s);
    double scaled_rpm = speed_rpm * plant->constant_factor;
    double value = sw_generator_at_stage(plant->generator, column, scaled_rpm,
                                         stage_at(&plant->track, scaled_rpm));
    return column == SW_GENERATOR_TORQUE ? value * plant->constant_factor : value;
}

static double bearing_nm(const sw_plant *plant) {
    return sw_quantity_known(plant->rotor->bearing_torque) ? plant->rotor->bearing_torque.value : 0;
}

/* Drag of all generators at their shafts. */
static double drag_nm(const sw_plant *plant, double speed_rad_s) {
    double speed_rpm = sw_plant_generator_rpm(plant, speed_rad_s);
    return plant->drive.wheels * plant->drag_factor * sw_motor_drag_nm(plant->motor, speed_rpm);
}

/* T_rotor = ratio (T_gen + T_drag + N f) + bearings */
double sw_plant_load_nm(const sw_plant *plant, double speed_rad_s) {
    double generator_nm =
        sw_plant_at(plant, SW_GENERATOR_TORQUE, speed_rad_s) + drag_nm(plant, speed_rad_s);
    return sw_drive_rotor_torque_nm(&plant->drive, generator_nm) + bearing_nm(plant);
}

double sw_plant_idle_nm(const sw_plant *plant, double speed_rad_s) {
    return sw_drive_rotor_torque_nm(&plant->drive, drag_nm(plant, speed_rad_s)) + bearing_nm(plant);
}

double sw_plant_static_nm(const sw_plant *plant) {
    double cogging =
        sw_quantity_known(plant->motor->cogging_torque) ? plant->motor->cogging_torque.value : 0;
    double held = cogging + sw_motor_drag_nm(plant->motor, 0);
    return sw_drive_rotor_torque_nm(&plant->drive,
                                    plant->drive.wheels * plant->drag_factor * held) +
           bearing_nm(plant);
}

/* What the rotor gives at rest at its worst angle. */
static double start_torque_nm(const sw_plant *plant, double wind_m_s) {
    return plant->power_factor * sw_rotor_start_torque_nm(plant->rotor, plant->density, wind_m_s);
}

/* Torque from rest rises with the wind, about as its square. */
double sw_plant_start_wind(const sw_plant *plant) {
    double held_nm = sw_plant_static_nm(plant);
    double low = 0;
    double high = STRONGEST_WIND;
    if (!(start_torque_nm(plant, high) > held_nm))
        return INFINITY;
    for (int i = 0; i < BISECTIONS; i++) {
        double middle = 0.5 * (low + high);
        if (start_torque_nm(plant, middle) > held_nm)
            high = middle;
        else
            low = middle;
    }
    return high;
}

static double driving(const void *context, double speed_rad_s) {
    const wind_at *at = context;
    return at->plant->power_factor *
           sw_rotor_torque_nm(at->plant->rotor, at->plant->density, at->wind_m_s, speed_rad_s);
}

static double loading(const void *context, double speed_rad_s) {
    return sw_plant_load_nm(context, speed_rad_s);
}

static double idling(const void *context, double speed_rad_s) {
    return sw_plant_idle_nm(context, speed_rad_s);
}

/* A little beyond the no-load tip-speed ratio the rotor itself brakes. */
static double top_rad_s(const sw_plant *plant, double wind_m_s) {
    return 1.001 * plant->rotor->no_load_most * wind_m_s / plant->rotor->radius_m;
}

sw_balance sw_plant_settle_under(const sw_plant *plant, double wind_m_s, sw_torque load,
                                 double static_load_nm, size_t steps) {
    wind_at at = {plant, wind_m_s};
    sw_balance_request request = {.driving = {driving, &at},
                                  .load = load,
                                  .static_load_nm = static_load_nm,
                                  .top_rad_s = top_rad_s(plant, wind_m_s),
                                  .steps = steps};
    request.static_driving_nm = start_torque_nm(plant, wind_m_s);
    if (plant->generator != NULL) {
        double cut_in_rpm = sw_generator_cut_in_rpm(plant->generator) / plant->constant_factor;
        request.kink_rad_s[request.kinks++] = sw_drive_rotor_rad_s(&plant->drive, cut_in_rpm);
    }
    return sw_balance_find(&request);
}

sw_balance sw_plant_settle(const sw_plant *plant, double wind_m_s, size_t steps) {
    return sw_plant_settle_under(plant, wind_m_s, (sw_torque){loading, plant},
                                 sw_plant_static_nm(plant), steps);
}

sw_balance sw_plant_settle_idle(const sw_plant *plant, double wind_m_s) {
    return sw_plant_settle_under(plant, wind_m_s, (sw_torque){idling, plant},
                                 sw_plant_static_nm(plant), 0);
}

/* The voltage that gives most power in one wind, and the generator's speed there. */
static double best_stage(const sw_plant *plant, double wind_m_s, double *speed_rpm) {
    size_t stages = sw_generator_stages(plant->generator);
    double best = 0;
    double most_w = 0;
    *speed_rpm = 0;
    for (size_t i = 0; i < stages; i++) {
        sw_plant held = *plant;
        held.track = (sw_track){1, {1}, {(double)i}};
        double rotor_rad_s = sw_plant_settle(&held, wind_m_s, TRACK_STEPS).running_rad_s;
        double power_w = sw_plant_at(&held, SW_GENERATOR_DC_POWER, rotor_rad_s);
        if (power_w <= most_w)
            continue;
        most_w = power_w;
        best = (double)i;
        *speed_rpm = sw_plant_generator_rpm(plant, rotor_rad_s);
    }
    return best;
}

/* A converter that seeks the most power ends, in every steady wind, at the voltage whose settled
 * point gives most. Each wind so gives one pair of speed and voltage; speeds rise with the wind,
 * which makes the pairs a law of voltage over speed that passes through all of these points. */
void sw_plant_track(sw_plant *plant, double top_wind, int winds) {
    plant->track = (sw_track){0};
    if (plant->generator == NULL || sw_generator_stages(plant->generator) == 1)
        return;
    sw_track track = {1, {sw_generator_cut_in_rpm(plant->generator)}, {0}};
    for (int i = 1; i <= winds && i < SW_TRACK_POINTS; i++) {
        double speed_rpm = 0;
        double stage = best_stage(plant, top_wind * i / winds, &speed_rpm);
        if (speed_rpm <= track.speed_rpm[track.points - 1])
            continue;
        track.speed_rpm[track.points] = speed_rpm;
        track.stage[track.points++] = stage;
    }
    plant->track = track;
}
