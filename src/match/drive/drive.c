#include "src/match/drive/drive.h"

#include "shared/constants.h"

#include <math.h>
#include <string.h>

/* Creep and efficiency of belt and chain: common practice, no source. */
static const sw_drive_kind KINDS[SW_DRIVE_COUNT] = {
    {SW_DRIVE_FRICTION,
     "friction-wheel",
     "a wheel pressed on the rim",
     "wheel",
     true,
     {0, 0},
     {1, 1}},
    {SW_DRIVE_BELT,
     "belt",
     "a belt between two pulleys",
     "pulley",
     false,
     {0.005, 0.02},
     {0.90, 0.97}},
    {SW_DRIVE_CHAIN, "chain", "a bicycle chain", "sprocket", false, {0, 0}, {0.92, 0.98}},
    {SW_DRIVE_DIRECT, "direct", "straight on the rotor's shaft", "coupling", false, {0, 0}, {1, 1}},
};

double sw_range_middle(sw_range range) {
    return 0.5 * (range.low + range.high);
}

const sw_drive_kind *sw_drive_kind_of(sw_drive_id id) {
    return &KINDS[id];
}

sw_drive sw_drive_of(const sw_drive_kind *kind, const sw_surface *surface, double driver_mm,
                     double wheel_mm) {
    sw_drive drive = {kind, driver_mm, wheel_mm, 1, 0, 1, 0, 0, 1, 0};
    if (kind->id == SW_DRIVE_DIRECT) {
        drive.driver_mm = NAN;
        drive.wheel_mm = NAN;
        return drive;
    }
    drive.ratio = driver_mm / wheel_mm;
    drive.creep = sw_range_middle(kind->pressed ? surface->creep : kind->creep);
    drive.efficiency = sw_range_middle(kind->efficiency);
    drive.rolling_mm = kind->pressed ? sw_range_middle(surface->rolling_mm) : 0;
    return drive;
}

double sw_drive_generator_rpm(const sw_drive *drive, double rotor_rad_s) {
    return SW_RPM_PER_RAD_S * rotor_rad_s * drive->ratio * (1 - drive->creep);
}

double sw_drive_rotor_rad_s(const sw_drive *drive, double generator_rpm) {
    return generator_rpm / (SW_RPM_PER_RAD_S * drive->ratio * (1 - drive->creep));
}

/* N = N0 + g F and F = (T + N f) / r, solved for N. */
double sw_drive_contact_n(const sw_drive *drive, double generator_nm) {
    if (drive->arm_gain == 0)
        return drive->contact_n;
    double radius_m = 0.5e-3 * drive->wheel_mm;
    double share = drive->arm_gain / radius_m;
    double left = 1 - share * drive->rolling_mm * 1e-3;
    double contact_n = drive->contact_n + share * generator_nm / drive->wheels;
    return left > 0 ? fmax(0, contact_n / left) : INFINITY;
}

double sw_drive_rolling_nm(const sw_drive *drive, double generator_nm) {
    return sw_drive_contact_n(drive, generator_nm) * drive->rolling_mm * 1e-3 * drive->wheels;
}

double sw_drive_rotor_torque_nm(const sw_drive *drive, double generator_nm) {
    return drive->ratio *
           (generator_nm / drive->efficiency + sw_drive_rolling_nm(drive, generator_nm));
}
