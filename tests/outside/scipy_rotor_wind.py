"""Rotor and wind integrals once more, with SciPy.

Usage: scipy_rotor_wind.py PROGRAM [SEED]. PROGRAM prints random rotors and sites with what the
library computes; here the same definitions are integrated by adaptive quadrature (a rotor without
shadows), on a grid 40 times finer (with shadows) and with SciPy's Weibull distribution.
"""
import json
import subprocess
import sys

try:
    import numpy as np
    from scipy import integrate, stats
except ImportError:
    print("skipped: SciPy is not installed")
    sys.exit(77)


def pushed(rotor, wind, azimuth, speed):
    """Force over 1/2 rho of a strip per area, and so the torque's sign."""
    across = -wind * np.sin(azimuth) - speed
    drag = np.where(across > 0, rotor["front"], rotor["back"])
    return drag * np.sqrt(across**2 + (wind * np.cos(azimuth)) ** 2) * across


def strip(rotor, azimuth, radius, rate, wind):
    force = pushed(rotor, wind, azimuth, rate * radius)
    hidden = pushed(rotor, 0 * wind, azimuth, rate * radius)
    share = np.where(np.sin(azimuth) > 0, rotor["shielded"], 0)
    return ((1 - share) * force + share * hidden) * radius


def wind_behind(rotor, azimuth, radius):
    """Wind that the strips see: a plane wake 0.7 / (1 + 0.2 d / b) behind each other vane."""
    inner, outer = rotor["arm"] - rotor["width"] / 2, rotor["arm"] + rotor["width"] / 2
    x, y = radius * np.cos(azimuth), radius * np.sin(azimuth)
    wind = np.ones_like(x)
    for k in range(1, rotor["vanes"]):
        other = azimuth + 2 * np.pi * k / rotor["vanes"]
        across = np.sin(other)
        with np.errstate(divide="ignore", invalid="ignore"):
            met = y / across
            gap = x - met * np.cos(other)
            shown = rotor["width"] * np.abs(across)
            slow = 1 - 0.7 / (1 + 0.2 * gap / shown)
        hit = (np.abs(across) > 1e-9) & (met >= inner) & (met <= outer) & (gap > 0)
        wind = np.where(hit, np.minimum(wind, slow), wind)
    return wind


def torque_grid(rotor, ratio, azimuths, strips=160):
    tip = rotor["arm"] + rotor["width"] / 2
    radii = rotor["arm"] - rotor["width"] / 2 + (np.arange(strips) + 0.5) * rotor["width"] / strips
    azimuth, radius = np.meshgrid(azimuths, radii, indexing="ij")
    torque = strip(rotor, azimuth, radius, ratio / tip, wind_behind(rotor, azimuth, radius))
    return torque.mean(axis=1) * rotor["width"] / (2 * tip * tip)


def torque_quad(rotor, ratio):
    """A single vane has no shadows: nested adaptive quadrature."""
    tip = rotor["arm"] + rotor["width"] / 2
    inner = tip - rotor["width"]

    def over_radius(azimuth):
        return integrate.quad(
            lambda r: float(strip(rotor, azimuth, r, ratio / tip, np.float64(1))), inner, tip
        )[0]

    total = integrate.quad(over_radius, 0, np.pi, limit=200)[0]
    total += integrate.quad(over_radius, np.pi, 2 * np.pi, limit=200)[0]
    return total / (2 * np.pi) / (2 * tip * tip)


def check_rotor(entry, worst):
    rotor = entry["rotor"]
    scale = max(abs(t) for t in entry["torque"])
    turn = 2 * np.pi * (np.arange(1800) + 0.5) / 1800
    for ratio, found in zip(entry["ratio"], entry["torque"]):
        fine = rotor["vanes"] * torque_grid(rotor, ratio, turn).mean()
        worst["turn"] = max(worst["turn"], abs(found - fine) / scale)
        if rotor["vanes"] == 1:
            exact = torque_quad(rotor, ratio)
            worst["quad"] = max(worst["quad"], abs(found - exact) / scale)
    for i, found in enumerate(entry["at_rest"]):
        arms = np.deg2rad(37.0 * i) + 2 * np.pi * np.arange(rotor["vanes"]) / rotor["vanes"]
        fine = torque_grid(rotor, 0.0, arms, 1000).sum()
        worst["rest"] = max(worst["rest"], abs(found - fine) / scale)


def check_site(entry, worst):
    site = entry["site"]
    scale = site["mean"] / stats.weibull_min(site["k"]).mean()
    worst["scale"] = max(worst["scale"], abs(site["scale"] / scale - 1))
    below = stats.weibull_min(site["k"], scale=scale * site["factor"]).cdf(np.arange(26))
    worst["hours"] = max(worst["hours"], np.abs(np.array(entry["hours"]) - 8760 * np.diff(below)).max())
    cube = stats.weibull_min(site["k"], scale=scale).moment(3)
    worst["cube"] = max(worst["cube"], abs(entry["cube"] / cube - 1))


# Largest difference allowed, with its reason.
BOUNDS = {
    "turn": 0.005,  # of the largest torque: 360 steps of azimuth and 20 strips against 1800 and 160;
    # edges of shadows move by half a strip
    "quad": 0.001,  # midpoint rule on 20 strips
    "rest": 0.05,  # one angle: the edge of a shadow falls within one of 20 strips of each vane
    "scale": 1e-12,
    "hours": 1e-7,  # of 8760
    "cube": 1e-5,  # bins of 2 mm/s up to 200 m/s
}


def main():
    seed = sys.argv[2] if len(sys.argv) > 2 else "20"
    print("seed", seed)
    text = subprocess.run([sys.argv[1], seed], check=True, capture_output=True, text=True).stdout
    worst = dict.fromkeys(BOUNDS, 0.0)
    counts = {"rotor": 0, "site": 0}
    for line in text.splitlines():
        entry = json.loads(line)
        kind = "rotor" if "rotor" in entry else "site"
        counts[kind] += 1
        (check_rotor if kind == "rotor" else check_site)(entry, worst)
    bad = [name for name, bound in BOUNDS.items() if not worst[name] <= bound]
    for name, bound in BOUNDS.items():
        print(f"{name:6} worst {worst[name]:.2e}, allowed {bound:.0e}")
    if counts["rotor"] < 20 or counts["site"] < 20 or bad:
        print("failed:", bad or counts)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
