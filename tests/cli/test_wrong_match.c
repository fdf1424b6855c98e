/* What deliver, match and rank refuse: calls and documents. */
#include "tests/cli/support_wrong.h"
#include "tests/support.h"

#define MOTOR(members)                                                                             \
    "{\"document\": \"motor\", \"version\": 1, \"kind\": \"magnet-ac\", \"phases\": 3, " members   \
    "}\n"
#define ROTOR(members) "{\"document\": \"rotor\", \"version\": 1, " members "}\n"
#define SITE(members) "{\"document\": \"site\", \"version\": 1, " members "}\n"
#define LOAD(members) "{\"document\": \"load\", \"version\": 1, " members "}\n"
#define CUPS                                                                                       \
    "\"kind\": \"cups\", \"vanes\": 6, \"vane_height\": \"1200mm\", \"arm\": \"700mm\", "          \
    "\"drag_front\": 1.8, \"drag_back\": 0.8, "

static void deliver_calls(void **state) {
    static const wrong_use ROWS[] = {
        {"deliver", 2, "motor"},
        {"deliver motor.json", 2, "--speed"},
        {"deliver motor.json --speed 300rpm", 2, "--battery|--resistor|--converter"},
        {"deliver motor.json --speed 300 --battery 24V", 2, "--speed|no unit|rpm"},
        {"deliver motor.json --speed=-300rpm --battery 24V", 2, "--speed|-300"},
        {"deliver motor.json --speed 300rpm --battery 24A", 2, "--battery|A"},
        {"deliver motor.json --speed 300rpm --battery=-24V", 2, "--battery|-24"},
        {"deliver motor.json --speed 300rpm --resistor 0ohm", 2, "--resistor|0"},
        {"deliver motor.json --speed 300rpm --battery 24V --resistor 9ohm", 2,
         "--battery|--resistor"},
        {"deliver motor.json --speed 300rpm --resistor 9ohm --battery-ohms 0.1ohm", 2,
         "--battery-ohms|--battery"},
        {"deliver motor.json --speed 300rpm --battery 24V --connection triangle", 2,
         "--connection|triangle|star, delta"},
        {"deliver motor.json --speed 300rpm --battery 24V --rectifier magic", 2,
         "--rectifier|magic|bridge"},
        {"deliver motor.json --speed 300rpm --battery 24V --diode magic", 2, "--diode|magic"},
        {"deliver motor.json --speed 300rpm --battery 24V --diode '{\"is\": }'", 2, "--diode"},
        {"deliver motor.json --speed 300rpm --battery 24V --capacitor 5V", 2, "--capacitor|V"},
        {"deliver motor.json motor.json --speed 300rpm --battery 24V", 2, "motor"},
        {"deliver no.json --speed 300rpm --battery 24V", 3, "no.json: no such file"},
        {"deliver site.json --speed 300rpm --battery 24V", 3, "site.json|\"site\"|\"motor\""},
        {"deliver m.json --speed 300rpm --battery 24V", 3, "m.json|winding_resistance", "m.json",
         MOTOR("\"pole_pairs\": 7, \"voltage_constant\": \"0.1 V/rpm\"")},
        {"deliver m.json --speed 300rpm --battery 24V", 3, "m.json|voltage_constant", "m.json",
         MOTOR("\"pole_pairs\": 7, \"winding_resistance\": \"1 ohm\"")},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

static void match_calls(void **state) {
    static const wrong_use ROWS[] = {
        {"match", 2, "motor"},
        {"match motor.json", 2, "--rotor|ask rotor -o rotor.json"},
        {"match motor.json --rotor rotor.json", 2, "--site"},
        {"match motor.json --rotor rotor.json --site no.json", 3,
         "no.json: no such file|ask site -o no.json"},
        {"match motor.json --rotor no.json --site site.json", 3, "ask rotor -o no.json"},
        {"match motor.json --rotor rotor.json --site site.json --load no.json", 3,
         "ask load -o no.json"},
        {"match motor.json --rotor . --site site.json", 3, "directory"},
        {"match motor.json --rotor site.json --site site.json", 3, "\"site\"|\"rotor\""},
        {"match motor.json --rotor rotor.json --site rotor.json", 3, "\"rotor\"|\"site\""},
        {"match rotor.json --rotor rotor.json --site site.json", 3, "\"rotor\"|\"motor\""},
        {"match motor.json --rotor rotor.json --site site.json --load site.json", 3,
         "\"site\"|\"load\""},
        {"match motor.json --rotor rotor.json --site site.json --wheel 70", 2,
         "--wheel|no unit|mm"},
        {"match motor.json --rotor rotor.json --site site.json --wheel=-70mm", 2, "--wheel|-70"},
        {"match motor.json --rotor rotor.json --site site.json --wheel 0mm", 2, "--wheel|0"},
        {"match motor.json --rotor rotor.json --site site.json --wheel 5V", 2, "--wheel|V"},
        {"match motor.json --rotor rotor.json --site site.json --load-voltages '12;24'", 2,
         "--load-voltages|12;24|12,24,48"},
        {"match motor.json --rotor rotor.json --site site.json --load-voltages 12,24,36,48,60", 2,
         "--load-voltages|up to 4"},
        {"match motor.json --rotor rotor.json --site site.json --drives wheel,gear", 2,
         "--drives|wheel,gear|chain"},
        {"match motor.json --rotor rotor.json --site site.json --machines 9", 2, "--machines|9"},
        {"match motor.json --rotor rotor.json --site site.json --machines 1.5", 2,
         "--machines|whole number"},
        {"match motor.json --rotor rotor.json --site site.json --start-by 4", 2,
         "--start-by|no unit"},
        {"match motor.json --rotor rotor.json --site site.json --worth 20", 2, "--worth|no unit"},
        {"match motor.json --rotor rotor.json --site site.json --load l.json", 3,
         "l.json: possible_voltages|[12, 24, 48]", "l.json",
         LOAD("\"kind\": \"battery\", \"possible_voltages\": [0]")},
        {"match motor.json --rotor rotor.json --site site.json -o there.json", 2,
         "there.json: exists already|--force"},
        {"match motor.json --rotor rotor.json --site site.json -o no/such.json", 4,
         "no/such.json: cannot be written"},
        {"match good.wav --rotor rotor.json --site site.json", 3, "good.wav"},
        {"match motor.json --rotor rotor.json --site site.json", 4, "standard output", NULL, NULL,
         ">/dev/full"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

static void rank_calls(void **state) {
    static const wrong_use ROWS[] = {
        {"rank", 2, "motor"},
        {"rank motor.json", 2, "--rotor"},
        {"rank motor.json --rotor rotor.json", 2, "--site"},
        {"rank no --rotor rotor.json --site site.json", 3, "no"},
        {"rank none --rotor rotor.json --site site.json", 3, "none|.json"},
        {"rank motor.json --rotor no.json --site site.json", 3,
         "no.json: no such file|ask rotor -o no.json"},
        {"rank motor.json --rotor rotor.json --site no.json", 3, "ask site -o no.json"},
        {"rank motor.json site.json --rotor rotor.json --site site.json", 3,
         "site.json|\"site\"|\"motor\""},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

#define WITH_ROTOR "match motor.json --rotor r.json --site site.json", 3

static void rotors(void **state) {
    static const wrong_use ROWS[] = {
        {WITH_ROTOR, "r.json: version: found 2, expected 1", "r.json",
         "{\"document\": \"rotor\", \"version\": 2, \"kind\": \"cups\"}"},
        {WITH_ROTOR, "\"kind\" is missing", "r.json", ROTOR("\"vanes\": 6")},
        {WITH_ROTOR, "kind: found \"kite\", expected one of", "r.json",
         ROTOR("\"kind\": \"kite\"")},
        {WITH_ROTOR, "vane_width", "r.json", ROTOR(CUPS "\"vane_width\": \"-400mm\"")},
        {WITH_ROTOR, "r.json: vane_width: 400 has no unit|mm", "r.json",
         ROTOR(CUPS "\"vane_width\": 400")},
        {WITH_ROTOR, "\"vane_width\" is missing", "r.json", ROTOR(CUPS "\"shielded\": 0")},
        {WITH_ROTOR, "\"vane_wdith\"|did you mean \"vane_width\"?", "r.json",
         ROTOR(CUPS "\"vane_wdith\": \"400mm\"")},
        {WITH_ROTOR, "\"kind\" stands twice", "r.json",
         ROTOR(CUPS "\"kind\": \"cups\", \"vane_width\": \"400mm\"")},
        {WITH_ROTOR, "shielded: found 2, expected 0 to 1", "r.json",
         ROTOR(CUPS "\"vane_width\": \"400mm\", \"shielded\": 2")},
        {WITH_ROTOR, "rim_diameter", "r.json",
         ROTOR(CUPS "\"vane_width\": \"400mm\", \"rim_diameter\": \"-1900mm\"")},
        {WITH_ROTOR, "line 1, column", "r.json", "{\"document\": \"rotor\", \"version\": 1,,}"},
        {WITH_ROTOR, "r.json: name: \"no-such-table\" is not known; known are|savonius", "r.json",
         ROTOR("\"kind\": \"published\", \"name\": \"no-such-table\"")},
        {WITH_ROTOR, "curve.list[1]", "r.json",
         ROTOR("\"kind\": \"curve\", \"swept_area\": \"2 m2\", \"radius\": \"0.7 m\", \"curve\": "
               "{\"list\": [{\"tip_speed_ratio\": 0.5, \"power_coefficient\": 0.1}, "
               "{\"tip_speed_ratio\": \"x\", \"power_coefficient\": 0.1}]}")},
        {WITH_ROTOR, "curve|power coefficient 0.9 at tip-speed ratio 1", "r.json",
         ROTOR("\"kind\": \"curve\", \"swept_area\": \"2 m2\", \"radius\": \"0.7 m\", \"curve\": "
               "{\"list\": [{\"tip_speed_ratio\": 0.5, \"power_coefficient\": 0.1}, "
               "{\"tip_speed_ratio\": 1, \"power_coefficient\": 0.9}]}")},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

#define WITH_SITE "match motor.json --rotor rotor.json --site s.json", 3

static void sites(void **state) {
    static const wrong_use ROWS[] = {
        {WITH_SITE, "s.json|\"mean_wind\" is missing", "s.json", SITE("\"altitude\": \"100 m\"")},
        {WITH_SITE, "s.json: mean_wind: 5 has no unit|m/s", "s.json", SITE("\"mean_wind\": 5")},
        {WITH_SITE, "s.json: mean_wind: found -5 m/s", "s.json", SITE("\"mean_wind\": \"-5 m/s\"")},
        {WITH_SITE, "s.json: mean_wind: found 0 m/s|sheltered yard", "s.json",
         SITE("\"mean_wind\": \"0 m/s\"")},
        {WITH_SITE, "s.json: mean_wind", "s.json", SITE("\"mean_wind\": \"5 V\"")},
        {WITH_SITE, "weibull_k: found 0", "s.json",
         SITE("\"mean_wind\": \"5 m/s\", \"weibull_k\": 0")},
        {WITH_SITE, "\"wibull_k\"|did you mean \"weibull_k\"?", "s.json",
         SITE("\"mean_wind\": \"5 m/s\", \"wibull_k\": 2")},
        {WITH_SITE, "no.csv", "s.json", SITE("\"wind_file\": \"no.csv\"")},
        {WITH_SITE, "terrain|\"moon\"", "s.json",
         SITE("\"mean_wind\": \"5 m/s\", \"measured_height\": \"10 m\", \"hub_height\": \"6 m\", "
              "\"terrain\": \"moon\"")},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

#define CLAIM(text) "match motor.json --rotor rotor.json --site site.json --claimed " text, 2

static void claims(void **state) {
    static const wrong_use ROWS[] = {
        {CLAIM("lots"), "--claimed: |\"lots\""},
        {CLAIM("''"), "--claimed"},
        {CLAIM("'500W at fast'"), "--claimed: |\"fast\""},
        {CLAIM("'500W at 800'"), "--claimed: |800|rpm"},
        {CLAIM("'500V at 800rpm'"), "--claimed: |V"},
        {CLAIM("'-5W at 800rpm'"), "--claimed: found -5 W"},
        {CLAIM("'500W at 0rpm'"), "--claimed: found 0 rpm"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

#define WITH_LOAD "match motor.json --rotor rotor.json --site site.json --load l.json", 3

static void loads(void **state) {
    static const wrong_use ROWS[] = {
        {WITH_LOAD, "\"kind\" is missing", "l.json", LOAD("\"voltage\": \"24 V\"")},
        {WITH_LOAD, "kind: found \"toaster\"", "l.json", LOAD("\"kind\": \"toaster\"")},
        {WITH_LOAD, "voltage: found -24 V", "l.json",
         LOAD("\"kind\": \"battery\", \"voltage\": \"-24 V\"")},
        {WITH_LOAD, "full_voltage", "l.json",
         LOAD("\"kind\": \"battery\", \"voltage\": \"24 V\", \"full_voltage\": \"12 V\"")},
        {WITH_LOAD, "resistance", "l.json", LOAD("\"kind\": \"resistor\"")},
        {WITH_LOAD, "input_window", "l.json",
         LOAD("\"kind\": \"converter\", \"input_window\": [60, 20]")},
        {WITH_LOAD, "efficiency: found 1.5", "l.json",
         LOAD("\"kind\": \"converter\", \"input_voltage\": \"24 V\", \"efficiency\": 1.5")},
        {WITH_LOAD, "diode", "l.json",
         LOAD("\"kind\": \"battery\", \"voltage\": \"24 V\", \"diode\": \"magic\"")},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(deliver_calls), cmocka_unit_test(match_calls),
        cmocka_unit_test(rank_calls),    cmocka_unit_test(rotors),
        cmocka_unit_test(sites),         cmocka_unit_test(loads),
        cmocka_unit_test(claims),
    };
    return cmocka_run_group_tests(tests, support_wrong_setup, support_wrong_teardown);
}
