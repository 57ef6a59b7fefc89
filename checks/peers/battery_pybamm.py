"""Constant-current discharges of one cell by a battery model library, for checks/tests/it/cells.rs.

Prints one JSON object: version, capacity_ah (between the library's own 0 and 100 %), r_mid_ohm (difference of
terminal voltage over difference of current between C/5 and C/50 at half charge), runs [{c_rate, stop_v, hours}] and
open-circuit voltages [[soc, V]] of the two parameter sets, every 2.5 % and 10 %. Parameter set Chen2020, single
particle model with electrolyte, 298.15 K, from full.
"""

import json

import numpy as np
import pybamm

RATED_AH = 5.0


def discharge(c_rate, stop_v):
    """Hours, volts of a discharge at `c_rate` (per hour) from full to `stop_v`."""
    values = pybamm.ParameterValues("Chen2020")
    values["Lower voltage cut-off [V]"] = stop_v
    simulation = pybamm.Simulation(pybamm.lithium_ion.SPMe(), parameter_values=values, C_rate=c_rate)
    end_s = 1.3 * 3600 / c_rate
    solution = simulation.solve(np.linspace(0.0, end_s, 400), initial_soc=1.0)
    return solution["Time [h]"].entries, solution["Terminal voltage [V]"].entries


def open_circuit(name, steps):
    """[[soc, V]] of a parameter set in equal steps of the charge between the library's own ends."""
    values = pybamm.ParameterValues(name)
    x0, x100, y100, y0 = pybamm.lithium_ion.get_min_max_stoichiometries(values)
    parameters = pybamm.LithiumIonParameters()
    temp = parameters.T_init
    curve = []
    for soc in np.linspace(0.0, 1.0, steps + 1):
        x, y = x0 + soc * (x100 - x0), y0 + soc * (y100 - y0)
        volt_v = values.evaluate(parameters.p.prim.U(y, temp)) - values.evaluate(parameters.n.prim.U(x, temp))
        curve.append([float(soc), float(volt_v)])
    return curve


def main():
    values = pybamm.ParameterValues("Chen2020")
    x0, x100, _y100, _y0 = pybamm.lithium_ion.get_min_max_stoichiometries(values)
    capacity_ah = float(values.evaluate(pybamm.LithiumIonParameters().n.Q_init) * (x100 - x0))
    runs, mid_v = [], {}
    for c_rate in (1 / 5, 1 / 50):
        for stop_v in (2.5, 3.0, 3.3):
            hours, volts = discharge(c_rate, stop_v)
            runs.append({"c_rate": c_rate, "stop_v": stop_v, "hours": float(hours[-1])})
            if stop_v == 2.5:
                mid_v[c_rate] = float(np.interp(0.5 * capacity_ah / (RATED_AH * c_rate), hours, volts))
    r_mid_ohm = (mid_v[1 / 50] - mid_v[1 / 5]) / (RATED_AH * (1 / 5 - 1 / 50))
    print(json.dumps({
        "version": pybamm.__version__,
        "capacity_ah": capacity_ah,
        "r_mid_ohm": r_mid_ohm,
        "runs": runs,
        "chen_2020": open_circuit("Chen2020", 40),
        "prada_2013": open_circuit("Prada2013", 10),
    }))


if __name__ == "__main__":
    main()
