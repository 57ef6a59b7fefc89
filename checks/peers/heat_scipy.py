"""The heat network of `models::heat` in time, by SciPy's LSODA: the judge of `models::heat::transient`.

Reads from standard input {capacity (J/K, n), conductance (W/K, n by n, symmetric, with what leads outside at constant
coefficients on the diagonal), bent: null or {vertical_area, height, flat_area, flat_length (m2, m), emissivity, area (m2)
of a last node that loses heat to air by natural convection and radiation}, start (C, n), times (s), load (W, n by
times), air (C, by times), ask (s)}. Loads and air run straight between times. Prints the temperatures at each time of `ask`.

The convection laws are written anew here from the books (Churchill and Chu; McAdams; U.S. Standard Atmosphere), evaluated in
full at every call, so that nothing is shared with ours but the problem.
"""
import json
import sys

import numpy as np
from scipy.integrate import solve_ivp

SIGMA = 5.670374419e-8


def air(film):
    """Kinematic viscosity, conductivity, diffusivity: U.S. Standard Atmosphere 1976, eqs. 51 and 53, at sea level."""
    density = 101325.0 / (287.053 * film)
    viscosity = 1.458e-6 * film**1.5 / (film + 110.4)
    conductivity = 2.64638e-3 * film**1.5 / (film + 245.4 * 10 ** (-12 / film))
    return viscosity / density, conductivity, conductivity / (density * (1006.4 + 0.057 * (film - 300)))


def outward(bent, surface, ambient):
    rise = surface - ambient
    film = (surface + ambient) / 2 + 273.15
    nu, k, alpha = air(film)
    prandtl = nu / alpha

    def rayleigh(length):
        return 9.80665 / film * abs(rise) * length**3 / (nu * alpha)

    tall = 0.68 + 0.670 * rayleigh(bent["height"]) ** 0.25 / (1 + (0.492 / prandtl) ** (9 / 16)) ** (4 / 9)
    flat = (0.54 + 0.27) * rayleigh(bent["flat_length"]) ** 0.25
    convection = k * (tall / bent["height"] * bent["vertical_area"] + flat / bent["flat_length"] * bent["flat_area"])
    radiation = bent["emissivity"] * SIGMA * bent["area"] * ((surface + 273.15) ** 4 - (ambient + 273.15) ** 4)
    return convection * rise + radiation


problem = json.load(sys.stdin)
capacity = np.array(problem["capacity"])
conductance = np.array(problem["conductance"])
times = np.array(problem["times"])
load = np.array(problem["load"])
ambient = np.array(problem["air"])
bent = problem["bent"]


def rate(t, temps):
    flow = np.array([np.interp(t, times, row) for row in load]) - conductance @ temps
    if bent:
        flow[-1] -= outward(bent, temps[-1], np.interp(t, times, ambient))
    return flow / capacity


# Piece by piece, so that the solver never steps over a corner of the inputs.
temps = np.array(problem["start"], dtype=float)
found = []
ask = list(problem["ask"])
for begin, end in zip(times[:-1], times[1:]):
    inside = [t for t in ask if begin < t <= end]
    solved = solve_ivp(rate, (begin, end), temps, method="LSODA", rtol=1e-10, atol=1e-10, t_eval=sorted({*inside, end}))
    temps = solved.y[:, -1]
    for t in inside:
        found.append(solved.y[:, list(solved.t).index(t)].tolist())
print(json.dumps(found))
