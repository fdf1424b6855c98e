/* The divider between a motor and a sound input: resistors that can be bought, clamps, what it
 * does to the signal, and how sure that is before it is calibrated.
 *
 *   motor wire --[ R1, in parts ]--+--[ C ]-- input
 *                                  |
 *                            [ R2 ] and clamp diodes, n in series, each way
 *                                  |
 *   common wire -------------------+--------- input's ground
 */
#ifndef SPINWORTH_PROBES_DIVIDER_H
#define SPINWORTH_PROBES_DIVIDER_H

#include "probes/preferred.h"
#include "probes/profile.h"
#include "shared/quantity.h"
#include "shared/status.h"

#include <stdbool.h>

/* Resistors of this rating do: each carries half of it at the most. */
#define SW_DIVIDER_RATING_W 0.25

typedef enum sw_input_kind { SW_INPUT_LINE, SW_INPUT_HEADSET, SW_INPUT_USB } sw_input_kind;

/* "line", "headset", "usb"; NULL ends the list. */
extern const char *const SW_INPUT_NAMES[];

typedef enum sw_divider_warning {
    SW_DIVIDER_MAINS_ADAPTER,   /* a laptop on its adapter ties the motor to earth */
    SW_DIVIDER_ONE_HAND,        /* never both hands on bare wires of a turning motor */
    SW_DIVIDER_OPEN_VOLTS,      /* more than bare wires may have */
    SW_DIVIDER_MICROPHONE_BIAS, /* the jack puts 2 to 5 V DC on its contact */
    SW_DIVIDER_NOT_CALIBRATED,  /* the input's full scale is a guess */
    SW_DIVIDER_HAND_READING,    /* slow AC reads low on a multimeter */
    SW_DIVIDER_UNKNOWN_VOLTS,   /* designed for 400 V: a first step only */
    SW_DIVIDER_LOADING,         /* the divider takes more than 0.1 % from this coil */
    SW_DIVIDER_LOW_CUT,         /* the given capacitor cuts above 0.5 Hz */
    SW_DIVIDER_QUIET,           /* little of the input's range is used */
    SW_DIVIDER_WARNINGS
} sw_divider_warning;

/* "mains_adapter" ... */
const char *sw_divider_warning_name(sw_divider_warning warning);

typedef struct sw_divider_request {
    sw_quantity volts; /* largest expected, rms as a meter shows; unknown = 400 V */
    bool from_hand;    /* volts were scaled up from a rough reading */
    sw_input_kind input;
    sw_quantity impedance;  /* "ohm"; unknown = usual for the kind */
    sw_quantity full_scale; /* "V" peak; unknown = usual for the kind */
    double tolerance;       /* of the resistors, relative; NaN = the series' own */
    double capacitor_uf;    /* at hand; NaN = choose */
    double coil_ohm;        /* NaN = not known */
} sw_divider_request;

typedef struct sw_divider {
    double volts;      /* rms it is designed for */
    double peak_v;     /* of a peaky wave of that rms */
    int parts;         /* equal resistors in series that make R1 */
    double part_ohm;   /* each, E24 */
    double bottom_ohm; /* R2, E24 */
    double tolerance;
    double part_w; /* heat in each at the largest volts */
    double bottom_w;
    double part_v;          /* peak across each */
    sw_quantity impedance;  /* of the input */
    sw_quantity full_scale; /* V peak at the input for full scale */
    sw_quantity ratio;      /* motor volts over input volts, mid band */
    double load_ohm;        /* what the coil sees */
    double loading;         /* share of the EMF lost in coil_ohm (10 ohm when not known) */
    double coil_ohm;
    double capacitor_uf;   /* in series; 0 = none, a line input has its own */
    double own_low_cut_hz; /* of that capacitor into the input; 0 = none */
    int diodes;            /* in series, each way */
    double clamp_share;    /* share of the signal the clamps take at peak_v */
    double clamp_v;        /* about where they hold an overload */
    double linear_limit;   /* share of full scale where they take 0.1 % */
    double level;          /* share of full scale at peak_v */
    bool warning[SW_DIVIDER_WARNINGS];
    sw_profile profile; /* designed, not calibrated */
} sw_divider;

/* SW_VALUE when no divider of usual parts does it. */
sw_status sw_divider_design(const char *reference_dir, const sw_divider_request *request,
                            sw_divider *divider, sw_error *error);

/* First-order corner of a capacitor into a resistance: 1/(2 pi R C), Hz. */
double sw_divider_corner_hz(double ohm, double microfarad);

#endif
