/* What matching has to say besides numbers: reasons, guesses, missing readings, cautions. A remark
 * is a code with up to two quantities; the words are the report's business. */
#ifndef SPINWORTH_MATCH_REMARK_H
#define SPINWORTH_MATCH_REMARK_H

#include "shared/quantity.h"

#include <stdbool.h>
#include <stddef.h>

typedef enum sw_remark_code {
    /* reasons for a verdict */
    SW_REASON_NO_MAGNETS,
    SW_REASON_NO_CURRENT,    /* first: speed it needs, second: speed it reaches */
    SW_REASON_GRIP,          /* first: contact force it would need */
    SW_REASON_CURRENT_LIMIT, /* first: winding current, second: limit */
    SW_REASON_HEAT_COSTS,    /* the same of a way that would give much more */
    SW_REASON_HEAT,          /* first: heat in the winding, second: most that it sheds */
    SW_REASON_SPEED_LIMIT,   /* first: speed, second: limit */
    SW_REASON_START_BY,      /* first: start wind of the best, second: the wind asked for */
    SW_REASON_START_COSTS,   /* first: energy of what was left out for starting later, second: its
                                start wind */
    SW_REASON_INPUT_VOLTS,   /* first: what the converter bears */
    SW_REASON_DOUBLER,       /* first: what a plain bridge would give a year */
    SW_REASON_OTHER_WHEEL,   /* first: the wheel that would suit, second: energy with it */
    SW_REASON_LITTLE_ENERGY, /* first: energy a year, second: from where on it is worth using */
    SW_REASON_ENERGY,        /* the same */
    SW_REASON_POOR_SHARE,    /* first: share of the rotor's best */
    SW_REASON_STARTS_EARLY,  /* first: start wind, second: mean wind */
    SW_REASON_STARTS_ABOVE_MEAN, /* the same, not yet late */
    SW_REASON_STARTS_LATE,       /* the same */
    SW_REASON_NEEDS_PUSH,        /* first: cut-in wind; does not start by itself */
    SW_REASON_GUESSED_WIND,
    SW_REASON_GUESSED_ROTOR,
    SW_REASON_GUESSED_WINDING,
    SW_REASON_GUESSED_DRAG,  /* or cogging */
    SW_REASON_MAY_BE_LITTLE, /* first: probability in %, second: from where on it is worth using */
    /* readings without which no answer can be given */
    SW_MISSING_CONSTANT,
    SW_MISSING_POLE_PAIRS,
    SW_MISSING_PHASES,
    SW_MISSING_RESISTANCE,
    SW_MISSING_WINDING, /* a sensor's coil was measured */
    SW_MISSING_CLUTCH,  /* a freewheel kept the magnets still */
    /* guessed and not measured; first: what was taken, with its uncertainty */
    SW_GUESS_WIND,
    SW_GUESS_WEIBULL,
    SW_GUESS_STORM,
    SW_GUESS_ROTOR_POWER,
    SW_GUESS_ROTOR_START,
    SW_GUESS_BEARING,
    SW_GUESS_CONSTANT,
    SW_GUESS_RESISTANCE,
    SW_GUESS_INDUCTANCE,
    SW_GUESS_DRAG,
    SW_GUESS_COGGING,
    SW_GUESS_LOAD,
    SW_GUESS_BATTERY,
    SW_GUESS_DIODE,
    SW_GUESS_FRICTION, /* first, second: wet friction, rolling arm */
    SW_GUESS_RUN_OUT,  /* first: run-out, second: moving mass */
    /* cautions */
    SW_CAUTION_NO_BRAKE,       /* first: torque of the rotor, second: what the short can hold */
    SW_CAUTION_BRAKE_HOLDS,    /* holds a stopped rotor, does not stop a fast one; first: wind */
    SW_CAUTION_BRAKE_UNKNOWN,  /* inductance not known */
    SW_CAUTION_WHEEL_NO_BRAKE, /* first: grip at the rotor's shaft, second: torque of the rotor */
    SW_CAUTION_VOLTS_TOUCH,    /* first: AC, second: DC, load lost in the storm */
    SW_CAUTION_VOLTS_HIGH,     /* the same, above the limits of protected circuits too */
    SW_CAUTION_STORM_SPEED,    /* first: generator speed in the storm, second: limit */
    SW_CAUTION_CONVERTER,      /* first: open volts, second: limit of the converter */
    SW_CAUTION_CHARGE,         /* first: current, second: limit of the battery */
    SW_CAUTION_SLIPS,          /* first: wind above which a wet wheel slips */
    SW_CAUTION_HOPS,           /* first: rotor speed, second: wind, load lost */
    SW_CAUTION_BOUNCE,         /* first: rotor speed at which the carriage swings by itself */
    SW_CAUTION_ARM_LOCKS,      /* a leading arm draws itself in */
    SW_CAUTION_ARM_BITES,      /* first: contact force when the motor jams, second: what is borne */
    SW_CAUTION_INSIDE,         /* the wheel is too large to run inside; first: wheel */
    SW_CAUTION_MOTOR_BEARING,  /* first: its load, second: years it lasts */
    SW_CAUTION_HEAT_UNKNOWN,   /* first: heat in the hardest usual wind, second: that wind */
    SW_CAUTION_HEAT,           /* first: the same heat, second: likeliest that the motor sheds */
    SW_CAUTION_TWO_SPEEDS,     /* first: wind at which start and running differ */
    SW_CAUTION_START_AT_LEAST, /* cogging or drag not measured: first: start wind with usual ones,
                                  second: with stiff ones, INFINITY = it does not start */
    SW_CAUTION_STRUCTURE,
    SW_REMARK_COUNT
} sw_remark_code;

typedef struct sw_remark {
    sw_remark_code code;
    sw_quantity first;
    sw_quantity second;
} sw_remark;

enum { SW_REMARK_LIMIT = 32 };

typedef struct sw_remarks {
    size_t count;
    sw_remark item[SW_REMARK_LIMIT];
} sw_remarks;

/* Short name for files and programs ("guessed_wind"). */
const char *sw_remark_name(sw_remark_code code);

/* Add; nothing when the list is full. */
void sw_remark_add(sw_remarks *remarks, sw_remark_code code, sw_quantity first, sw_quantity second);
void sw_remark_add_plain(sw_remarks *remarks, sw_remark_code code);
bool sw_remarked(const sw_remarks *remarks, sw_remark_code code);

#endif
