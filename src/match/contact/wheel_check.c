#include "src/match/contact/wheel_check.h"

#include <math.h>

/* Ice or hoar frost between rubber and steel: common practice, no source. */
static const double FROST_FRICTION = 0.05;

/* Inside a rim the wheel's axle, arm and motor need the rest of the room. */
static const double ROOM_INSIDE = 1.0 / 3;

static void bounce(const sw_wheel_check_request *request, sw_wheel_check *check) {
    double contact_n = request->plant->drive.contact_n;
    double lumps_rad_s = request->lumps * request->storm_rotor_rad_s;
    sw_bounce it = {request->press->spring_n_mm, request->tyre_n_mm, request->moving_kg,
                    request->run_out_mm};
    double resonance = sw_bounce_resonance_rad_s(&it);
    check->storm_least_n = fmax(0, contact_n - sw_bounce_most_n(&it, lumps_rad_s));
    check->hop_rotor_rad_s = sw_bounce_hop_rad_s(&it, contact_n, lumps_rad_s) / request->lumps;
    /* runaway speed rises in proportion to the wind: the tip-speed ratio without load is one */
    check->hop_wind_m_s = request->storm_wind * check->hop_rotor_rad_s / request->storm_rotor_rad_s;
    check->resonance_rotor_rad_s = resonance <= lumps_rad_s ? resonance / request->lumps : INFINITY;
}

sw_wheel_check sw_wheel_check_of(const sw_wheel_check_request *request) {
    const sw_drive *drive = &request->plant->drive;
    sw_wheel_check check = {.pressed = drive->kind->pressed,
                            .hop_rotor_rad_s = INFINITY,
                            .hop_wind_m_s = INFINITY,
                            .resonance_rotor_rad_s = INFINITY};
    if (!check.pressed)
        return check;
    double arm_n = drive->arm_gain * request->press->tangential_n;
    double dry = request->surface->dry.high;
    double slip_n = sw_grip_force_n(drive->contact_n, dry, drive->arm_gain);
    check.loaded_n = drive->contact_n + arm_n;
    check.jammed_n = drive->contact_n + drive->arm_gain * slip_n;
    if (drive->arm_gain == 0)
        check.jammed_n = drive->contact_n;
    check.locks = isinf(slip_n);
    check.jam_most_n = request->most_n;
    check.wear_n_mm = 0.5 * request->press->spring_n_mm;
    check.wear_speed_per_mm = 1 / drive->wheel_mm;
    check.frost_share = sw_grip_force_n(drive->contact_n, FROST_FRICTION, drive->arm_gain) /
                        request->press->tangential_n;
    check.does_not_fit =
        request->plant->rotor->carriage.inside && drive->wheel_mm > ROOM_INSIDE * drive->driver_mm;
    bounce(request, &check);
    return check;
}
