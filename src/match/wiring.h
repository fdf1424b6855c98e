/* The words of delivering: rectifiers, diodes, loads, wiring, and what comes out at a speed.
 * deliver.h computes the one from the others. */
#ifndef SPINWORTH_MATCH_WIRING_H
#define SPINWORTH_MATCH_WIRING_H

#include "shared/motor.h"
#include "shared/status.h"

typedef enum sw_rectifier {
    SW_RECTIFIER_BRIDGE,
    SW_RECTIFIER_HALF_WAVE,
    SW_RECTIFIER_DOUBLER,
    SW_RECTIFIER_CENTRE_TAP,
    SW_RECTIFIER_BLOCKING_DIODE, /* brushed motors */
    SW_RECTIFIER_NONE,           /* AC into resistors across each line pair */
    SW_RECTIFIER_COUNT
} sw_rectifier;

/* v = n Vt ln(1 + i/is) + rs i at 27 degC; with is = 0 a fixed drop of drop_v. */
typedef struct sw_diode {
    char name[48];
    double is_a; /* 0 = fixed drop */
    double n;
    double rs_ohm;
    double drop_v;
} sw_diode;

typedef enum sw_load_kind { SW_LOAD_BATTERY, SW_LOAD_RESISTOR, SW_LOAD_CONVERTER } sw_load_kind;

typedef struct sw_deliver_load {
    sw_load_kind kind;
    double battery_v;    /* rest EMF; converter: input voltage */
    double window_low_v; /* a converter that seeks the best input voltage; both 0 = held */
    double window_high_v;
    double battery_ohm;
    double resistor_ohm;
    double capacitor_f;  /* across the resistor, or each of the doubler; 0 = none */
    double cable_ac_ohm; /* per line, both ways counted by the caller as one resistance a line */
    double cable_dc_ohm; /* loop */
    double standby_w;    /* drawn from the load, subtracted from battery_power */
} sw_deliver_load;

/* One electrical option of a machine. */
typedef struct sw_wiring {
    sw_connection connection; /* in use; SW_AS_IT_COMES = as measured */
    sw_rectifier rectifier;
    sw_diode diode;
    double rewind;        /* EMF factor, resistance and inductance by its square; 1 = as is */
    int machines;         /* equal machines, DC sides in parallel; 1 */
    double magnet_factor; /* EMF factor for magnet temperature; 1 */
    double winding_degc;  /* copper temperature; 20 */
} sw_wiring;

/* Pulsed: the current in a bridge's three wires or in a single winding rests for part of the
 * period. */
typedef enum sw_conduction {
    SW_CONDUCTION_NONE,
    SW_CONDUCTION_PULSED,
    SW_CONDUCTION_CONTINUOUS
} sw_conduction;

/* Means over a period, of all machines together unless said otherwise. */
typedef struct sw_operating_point {
    double speed_rpm;
    double frequency_hz;
    double dc_current_a;
    double dc_voltage_v;
    double dc_power_w;
    double ac_power_w; /* rectifier none */
    double battery_power_w;
    double resistance_loss_w; /* battery and cable */
    double copper_loss_w;
    double diode_loss_w;
    double drag_loss_w;
    double shaft_power_w;
    double shaft_torque_nm;
    double phase_current_rms_a; /* in a winding of one machine */
    double phase_current_peak_a;
    double circulating_current_rms_a; /* in delta */
    double diode_peak_inverse_v;
    double dc_ripple_v;  /* peak to peak at the rails */
    double power_factor; /* at the winding EMF */
    double efficiency;   /* NaN when shaft power is zero */
    sw_conduction conduction;
    double residual; /* largest relative change when the grid was halved, power balance included */
    double circulating_loss_w; /* part of copper_loss_w: round a delta, from third harmonics */
    double cable_ac_loss_w;    /* part of resistance_loss_w */
    double standby_w;          /* taken from battery_power_w */
    double load_square_a2;     /* mean square of the load current */
    double torque_ripple_nm;   /* peak to peak, of the electrical torque */
} sw_operating_point;

/* Name as in documents and on the command line ("half-wave"). */
const char *sw_rectifier_name(sw_rectifier kind);
sw_status sw_rectifier_find(const char *name, sw_rectifier *kind, sw_error *error);

/* Wiring as it comes: bridge with silicon diodes, one machine, 20 degC. */
sw_wiring sw_wiring_default(const sw_motor *motor);

/* Drag torque of the motor alone (all three terms, unknown ones zero), N m at speed. */
double sw_motor_drag_nm(const sw_motor *motor, double speed_rpm);

#endif
