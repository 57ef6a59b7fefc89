"""The heat network of `models::heat` over a day by SciPy's LSODA: the peer of bench/src/heat.rs.

Reads from standard input {capacity, conductance, start, times (s), load (W, n by times), air (C), ask (s), bent: null or the
last node's faces as in checks/peers/heat_scipy.py}. Loads and air run straight between times. Prints JSON: temps at each
time of `ask`, seconds (of the solving alone). Written as a careful user would: the solver restarts where the inputs jump,
inputs are interpolated by hand within a piece, tolerances just fine enough for a thousandth of a kelvin.
"""

import json
import sys
import time

import numpy as np
from scipy.integrate import solve_ivp

SIGMA = 5.670374419e-8


def outward(bent, surface, ambient):
    """Natural convection (Churchill and Chu; McAdams) and radiation, W."""
    rise = surface - ambient
    film = (surface + ambient) / 2 + 273.15
    density = 101325.0 / (287.053 * film)
    nu = 1.458e-6 * film**1.5 / (film + 110.4) / density
    k = 2.64638e-3 * film**1.5 / (film + 245.4 * 10 ** (-12 / film))
    alpha = k / (density * (1006.4 + 0.057 * (film - 300)))
    quarter = (9.80665 / film * abs(rise) / (nu * alpha)) ** 0.25
    tall = 0.68 + 0.670 * quarter * bent["height"] ** 0.75 / (1 + (0.492 * alpha / nu) ** (9 / 16)) ** (4 / 9)
    flat = 0.81 * quarter * bent["flat_length"] ** 0.75
    convection = k * (tall / bent["height"] * bent["vertical_area"] + flat / bent["flat_length"] * bent["flat_area"])
    radiation = bent["emissivity"] * SIGMA * bent["area"] * ((surface + 273.15) ** 4 - (ambient + 273.15) ** 4)
    return convection * rise + radiation


def solve(problem):
    capacity = np.array(problem["capacity"])
    matrix = np.array(problem["conductance"]) / capacity[:, None]
    times = problem["times"]
    load = np.array(problem["load"]).T / capacity
    air, bent, ask = problem["air"], problem["bent"], problem["ask"]
    temps, found = np.array(problem["start"], dtype=float), []
    for i, (begin, end) in enumerate(zip(times[:-1], times[1:])):
        span, base, slope = end - begin, load[i], load[i + 1] - load[i]

        def rate(t, y):
            share = (t - begin) / span
            flow = base + share * slope - matrix @ y
            if bent:
                flow[-1] -= outward(bent, y[-1], air[i] + share * (air[i + 1] - air[i])) / capacity[-1]
            return flow

        inside = [t for t in ask if begin < t <= end]
        solved = solve_ivp(rate, (begin, end), temps, method="LSODA", rtol=1e-7, atol=1e-5, t_eval=[end])
        temps = solved.y[:, -1]
        found.extend(temps.tolist() for _ in inside)
    return found


def main():
    problem = json.load(sys.stdin)
    began = time.perf_counter()
    found = solve(problem)
    print(json.dumps({"temps": found, "seconds": time.perf_counter() - began}))


main()
