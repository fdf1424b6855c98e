"""Brute-force reference of the torque balance and the year, with SciPy.

Reads one scenario a file (tables of torque over speed, sizes, wind), solves the balance by plain
bisection on a fine grid of speeds for every wind of a fine grid, integrates power over the Weibull
density by the trapezoid rule, and prints one line a file:
    start_wind cut_in_wind started_kwh running_kwh running_speed_at_8 running_speed_at_12
Shares no code and no method of integration with the program.
"""

import json
import sys

import numpy as np
from scipy.integrate import trapezoid
from scipy.stats import weibull_min

SPEEDS = 3000
WIND_STEP = 0.025


class Machine:
    def __init__(self, it):
        self.it = it
        self.table = {key: np.array(it[key]) for key in ("lambda", "ct", "rpm", "torque", "power")}
        self.no_load = it["lambda"][-1]

    def ct(self, lam):
        return np.interp(lam, self.table["lambda"], self.table["ct"])

    def torque(self, rpm):
        return np.interp(rpm, self.table["rpm"], self.table["torque"])

    def power(self, rpm):
        return np.interp(rpm, self.table["rpm"], self.table["power"])

    def rpm(self, w):
        return w * 30 / np.pi * self.it["ratio"] * (1 - self.it["creep"])

    def net(self, wind, w):
        it = self.it
        lam = np.minimum(w * it["radius"] / wind, self.no_load)
        drive = 0.5 * it["density"] * it["area"] * it["radius"] * wind ** 2 * self.ct(lam)
        load = it["ratio"] * (self.torque(self.rpm(w)) + it["rolling"]) + it["bearing"]
        return drive - load

    def bisect(self, wind, low, high):
        for _ in range(32):
            middle = 0.5 * (low + high)
            if self.net(wind, middle) > 0:
                low = middle
            else:
                high = middle
        return 0.5 * (low + high)

    def stable(self, wind):
        """Speeds where net falls through zero, rising."""
        w = np.linspace(1e-6, 1, SPEEDS) * self.no_load * wind / self.it["radius"]
        positive = self.net(wind, w) > 0
        falls = np.nonzero(positive[:-1] & ~positive[1:])[0]
        return positive[0], [self.bisect(wind, w[i], w[i + 1]) for i in falls]

    def both(self, wind):
        """Running, and from rest when it can move."""
        moves, roots = self.stable(wind)
        if not roots:
            return 0.0, 0.0
        return roots[-1], roots[0] if moves else 0.0

    def running(self, wind):
        return self.both(wind)[0]


def bisect_wind(true_above, low, high):
    for _ in range(50):
        middle = 0.5 * (low + high)
        if true_above(middle):
            high = middle
        else:
            low = middle
    return high


def look_closer(machine, winds, run, rest):
    jumps = np.zeros(len(winds) - 1, bool)
    for speed in (run, rest):
        power = machine.power(machine.rpm(speed))
        jumps |= np.abs(np.diff(power)) > 0.05 * power.max()
    more = np.concatenate([[]] + [np.linspace(winds[i], winds[i + 1], 42)[1:-1]
                                  for i in np.nonzero(jumps)[0]])
    if not len(more):
        return winds, run, rest
    more_run, more_rest = np.array([machine.both(v) for v in more]).T
    order = np.argsort(np.append(winds, more))
    return (np.append(winds, more)[order], np.append(run, more_run)[order],
            np.append(rest, more_rest)[order])


def solve(it):
    machine = Machine(it)
    start = bisect_wind(lambda v: it["start_per_v2"] * v * v > it["held"], 0.0, 100.0)
    winds = np.append(np.arange(WIND_STEP, it["top_wind"], WIND_STEP), [start, start * 1.000001])
    winds = np.sort(winds[winds < it["top_wind"]])
    run, rest = np.array([machine.both(v) for v in winds]).T
    for _ in range(2):  # where the rotor jumps between branches, look forty times closer
        winds, run, rest = look_closer(machine, winds, run, rest)
    rest[winds < start] = 0.0
    charging = np.nonzero(machine.rpm(run) > it["cut_in_rpm"])[0]
    cut_in = float("inf")
    if len(charging):
        first = charging[0]
        low = winds[first - 1] if first else 1e-3
        cut_in = bisect_wind(
            lambda v: machine.rpm(machine.running(v)) > it["cut_in_rpm"], low, winds[first])
    density = weibull_min.pdf(winds, it["weibull_k"], scale=it["weibull_c"])
    started = trapezoid(machine.power(machine.rpm(rest)) * density, winds) * 8.76
    running = trapezoid(machine.power(machine.rpm(run)) * density, winds) * 8.76
    return start, cut_in, started, running, machine.running(8.0), machine.running(12.0)


for name in sys.argv[1:]:
    with open(name) as file:
        print(" ".join("%.9g" % value for value in solve(json.load(file))))
