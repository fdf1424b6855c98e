"""The JSON schemas against a general validator, and the program against the schemas.

Usage: schemas.py SOURCE_DIRECTORY SPINWORTH. Schemas must be valid (JSON Schema 2020-12); typed
documents must be taken or refused by the schema and by the program alike; what the program prints
must fit.
"""
import glob
import json
import math
import os
import struct
import subprocess
import sys
import tempfile
import wave

try:
    import jsonschema
except ImportError:
    print("skipped: python3-jsonschema is not installed")
    sys.exit(77)

SOURCE, PROGRAM = sys.argv[1:3]
KINDS = ["motor", "probe", "rotor", "site", "load", "match", "wires", "recording", "divider",
         "calibration"]
CUPS = {"kind": "cups", "vanes": 3, "vane_width": "300 mm", "vane_height": "0.9 m", "arm": "65 cm"}
SIZE = {"width": "1 m", "height": "1 m", "rim_diameter": "900 mm"}
POINTS = [
    {"tip_speed_ratio": 0.5, "power_coefficient": 0.1},
    {"tip_speed_ratio": 1.0, "power_coefficient": 0.2},
]
READINGS = {
    "units": {"wind": "m/s", "speed": "rpm", "pull": "kg"},
    "list": [
        {"wind": 5, "speed": 0, "pull": 0.6},
        {"wind": 5, "speed": 30, "pull": 0.3},
        {"wind": 5, "speed": 60, "pull": 0},
    ],
}

# kind, keys, fine?
TYPED = [
    ("rotor", {**CUPS, "shape": "cup"}, True),
    ("rotor", {**CUPS, "drag_front": 1.4, "drag_back": 0.4, "shielded": 0.5, **{"u": 1}}, False),
    ("rotor", {**CUPS, "shape": "cup", "curve": {"list": POINTS}}, False),
    ("rotor", {"kind": "cups", "vanes": 3}, False),
    ("rotor", {"kind": "curve", **SIZE, "curve": {"list": POINTS}}, True),
    ("rotor", {"kind": "curve", **SIZE, "curve": {"list": POINTS[:1]}}, False),
    ("rotor", {"kind": "curve", **SIZE, "curve": {"list": [{"tip_speed_ratio": 1}]}}, False),
    ("rotor", {"kind": "curve", **SIZE}, False),
    ("rotor", {"kind": "measured", **SIZE, "readings": READINGS}, True),
    ("rotor", {"kind": "measured", **SIZE, "readings": {"list": READINGS["list"]}}, False),
    ("rotor", {"kind": "published", "name": "savonius-2-bucket", **SIZE}, True),
    ("rotor", {"kind": "sail", **SIZE}, False),
    ("site", {"mean_wind": "4.5 m/s"}, True),
    ("site", {"mean_wind": {"value": 4.5, "unit": "m/s", "u": 0.5}, "weibull_k": 1.8}, True),
    ("site", {"mean_wind": {"value": 4.5, "units": "m/s"}}, False),
    ("site", {"monthly_mean_wind": {"unit": "m/s", "list": [4] * 12}}, True),
    ("site", {"monthly_mean_wind": {"unit": "m/s", "list": [4] * 11}}, False),
    ("site", {"weibull_k": 2}, False),
    ("site", {"mean_wind": "4 m/s", "weibull_k": 0.2}, False),
    ("site", {"mean_wind": "4 m/s", "class": 5}, False),
    ("load", {"kind": "battery"}, True),
    ("load", {"kind": "battery", "voltage": "12.6 V", "diode": {"drop": 0.4}}, True),
    ("load", {"kind": "battery", "diode": {"drop": 0.4, "is": 1e-9}}, False),
    ("load", {"kind": "resistor"}, False),
    ("load", {"kind": "converter", "input_window": [20, 60], "efficiency": 0.9}, True),
    ("load", {"kind": "converter", "input_window": [20]}, False),
    ("load", {"kind": "converter", "efficiency": 0.9}, False),
    ("motor", {"kind": "magnet-ac", "pole_pairs": 24, "voltage_constant": "0.12 V/rpm"}, True),
    ("motor", {"kind": "magnet-ac", "pole_pairs": 2.5}, False),
    ("motor", {"kind": "diesel"}, False),
    ("motor", {"kind": "magnet-ac", "warnings": [{"code": "nonsense"}]}, False),
    ("motor", {"kind": "magnet-ac", "phases": 5}, False),
]

MOTOR = {
    "kind": "magnet-ac",
    "phases": 3,
    "pole_pairs": 24,
    "voltage_constant": "0.12 V/rpm",
    "winding_resistance": "4 ohm",
    "winding_inductance": "20 mH",
}
DEFAULTS = {
    "motor": MOTOR,
    "rotor": {**CUPS, "shape": "cup", "rim_diameter": "1400 mm"},
    "site": {"mean_wind": "4.5 m/s"},
    "load": {"kind": "battery"},
}
WIRES = [
    ("3", "1-2 7.2, 2-3 7.1, 1-3 7.2"),
    ("6", "1-2 7.2 ± 0.1, 2-3 7.1, 1-3 7.2, 4-5 climbs, 4-6 0.2, 5-6 OL"),
    ("4", "1-2 7.2, 3-4 ?"),
    ("2", "1-2 open"),
]
DIVIDERS = [
    [],
    ["--hand", "3 V at 10 turns in 12 s", "--top", "800rpm"],
    ["--volts", "90V", "--input", "headset", "--capacitor", "1uF"],
    ["--volts", "0.2V", "--input", "usb", "--tolerance", "1%", "--coil", "900ohm"],
]
CALIBRATIONS = [
    (["--battery", "9.2V"], ["--battery", "9.2V", "--into", "probe.json"]),
    (["--battery", "9.2V", "--battery", "1.5V"], ["--battery", "9.2V", "--battery", "1.5V"]),
]
PROBLEMS = []


def problem(*words):
    PROBLEMS.append(" ".join(str(word) for word in words))


def validators():
    found = {}
    for kind in KINDS:
        with open(f"{SOURCE}/reference/schema/{kind}.schema.json", encoding="utf-8") as file:
            schema = json.load(file)
        jsonschema.Draft202012Validator.check_schema(schema)
        found[kind] = jsonschema.Draft202012Validator(schema)
    return found


def save(directory, kind, keys):
    path = os.path.join(directory, kind + ".json")
    with open(path, "w", encoding="utf-8") as file:
        json.dump({"document": kind, "version": 1, **keys}, file)
    return path


def run(*words):
    done = subprocess.run([PROGRAM, *words], capture_output=True, text=True)
    return done.returncode, done.stdout, done.stderr


def run_match(directory, **replaced):
    paths = {k: save(directory, k, replaced.get(k, keys)) for k, keys in DEFAULTS.items()}
    return run("match", paths["motor"], "--rotor", paths["rotor"], "--site", paths["site"],
               "--load", paths["load"], "--json")


def check_typed(valid, directory):
    for kind, keys, fine in TYPED:
        document = {"document": kind, "version": 1, **keys}
        if valid[kind].is_valid(document) != fine:
            problem("schema says", not fine, "of", json.dumps(document))
        status, _, errors = run_match(directory, **{kind: keys})
        if (status == 0) != fine or status not in (0, 3):
            problem("program says", status, errors.strip(), "of", json.dumps(document))


def check_printed(valid, kind, text):
    for error in valid[kind].iter_errors(json.loads(text)):
        problem("printed", kind, error.json_path, error.message[:200])


def write_sine(path):
    with wave.open(path, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(8000)
        for i in range(16000):
            value = 12000 * math.sin(2 * math.pi * 60 * i / 8000)
            file.writeframes(struct.pack("<h", round(value)))


def check_outputs(valid, directory):
    status, text, errors = run_match(directory)
    if status != 0:
        problem("match", status, errors)
    else:
        check_printed(valid, "match", text)
    for motor in ({**MOTOR, "kind": "none"}, {"kind": "magnet-ac"}):
        status, text, errors = run_match(directory, motor=motor)
        if status != 0:
            problem("match", status, errors)
        else:
            check_printed(valid, "match", text)
    for typed, ohms in WIRES:
        status, text, errors = run("wires", "--wires", typed, "--ohms", ohms, "--json")
        if status != 0:
            problem("wires", ohms, status, errors)
            continue
        check_printed(valid, "wires", text)
    path = os.path.join(directory, "live.wav")
    status, text, errors = run("record", path, "--simulate", "drum-48", "--fast", "--for", "1s",
                               "--json")
    if status != 0:
        problem("record", status, errors)
    else:
        check_printed(valid, "recording", text)
        with open(path + ".json", encoding="utf-8") as file:
            check_printed(valid, "recording", file.read())
    path = os.path.join(directory, "sine.wav")
    write_sine(path)
    status, text, errors = run("measure", path, "--json")
    if status != 0:
        problem("measure", status, errors)
    else:
        check_printed(valid, "motor", text)


def check_run(valid, kind, *words):
    status, text, errors = run(*words, "--json")
    if status != 0:
        problem(*words, status, errors)
    else:
        check_printed(valid, kind, text)


def check_probes(valid, directory):
    """divider, calibrate by taps and by a reference, and the documents that they save."""
    probe = os.path.join(directory, "probe.json")
    taps = os.path.join(directory, "taps.wav")
    for options in DIVIDERS:
        check_run(valid, "divider", "divider", *options, "--probe-out", probe, "--force")
    for recorded, options in CALIBRATIONS:
        run("simulate", "--taps", *recorded, "--probe", probe, "-o", taps, "--force")
        words = [probe if word == "probe.json" else word for word in options]
        check_run(valid, "calibration", "calibrate", taps, *words)
    sine = os.path.join(directory, "sine.wav")
    check_run(valid, "calibration", "calibrate", sine, "--reference", "2.3 V", "--frequency",
              "60 Hz", "--into", probe)
    with open(probe, encoding="utf-8") as file:
        check_printed(valid, "probe", file.read())


def check_examples(valid):
    paths = glob.glob(f"{SOURCE}/examples/**/*.json", recursive=True)
    for path in paths:
        with open(path, encoding="utf-8") as file:
            document = json.load(file)
        kind = document.get("document") if isinstance(document, dict) else None
        if kind not in valid:
            continue
        for error in valid[kind].iter_errors(document):
            problem(path, error.json_path, error.message[:200])
    return len(paths)


def main():
    valid = validators()
    with tempfile.TemporaryDirectory() as directory:
        check_typed(valid, directory)
        check_outputs(valid, directory)
        check_probes(valid, directory)
    examples = check_examples(valid)
    print(f"{len(valid)} schemas, {len(TYPED)} typed documents, {examples} example files")
    for line in PROBLEMS:
        print("problem:", line)
    return 1 if PROBLEMS else 0


if __name__ == "__main__":
    sys.exit(main())
