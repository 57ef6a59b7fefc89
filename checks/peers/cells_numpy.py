"""A second derivation of the burst's end and of the callers' distribution, for checks/tests/it/cells.rs and energy.rs.

stdin: {"packs": [{curve, series, parallel, r25_ohm, activation_j_mol, aged_factor, wire_ohm, growth, temp_k, age_s,
current_a, power_w, least_v}], "counts": [{mean, dispersion, upto}]}.
stdout: {"end_soc": [..], "probabilities": [[..]]}. The end is found by a root finder on the *working point* (voltage
at the board with the power's own current there), not on the inverted condition that our code uses.
"""

import json
import sys

import numpy as np
from scipy import optimize, stats

GAS = 8.31446261815324


def board_v(pack, soc):
    """Voltage at the board under the burst: upper branch of the power's two; NaN after collapse."""
    curve = np.array(pack["curve"])
    cold = np.exp(pack["activation_j_mol"] / GAS * (1.0 / pack["temp_k"] - 1.0 / 298.15))
    aged = 1.0 + (pack["aged_factor"] - 1.0) * pack["age_s"] / (3 * 365 * 86400)
    cell = pack["r25_ohm"] * cold * aged * (1.0 + pack["growth"] * (1.0 - soc))
    ohm = cell * pack["series"] / pack["parallel"] + pack["wire_ohm"]
    open_v = np.interp(soc, curve[:, 0], curve[:, 1]) * pack["series"] - ohm * pack["current_a"]
    root = open_v * open_v - 4.0 * ohm * pack["power_w"]
    return 0.5 * (open_v + np.sqrt(root)) if root >= 0.0 and open_v > 0.0 else -1.0


def end_soc(pack):
    """0 when even an empty pack carries the burst, 2 when a full one does not."""
    margin = lambda soc: board_v(pack, soc) - pack["least_v"]
    if margin(0.0) >= 0.0:
        return 0.0
    if margin(1.0) < 0.0:
        return 2.0
    return float(optimize.bisect(margin, 0.0, 1.0, xtol=1e-12))


def probabilities(wanted):
    k = np.arange(wanted["upto"])
    if wanted["dispersion"] == 1.0:
        return stats.poisson.pmf(k, wanted["mean"]).tolist()
    shape = wanted["mean"] / (wanted["dispersion"] - 1.0)
    return stats.nbinom.pmf(k, shape, 1.0 / wanted["dispersion"]).tolist()


def main():
    asked = json.load(sys.stdin)
    print(json.dumps({
        "end_soc": [end_soc(pack) for pack in asked.get("packs", [])],
        "probabilities": [probabilities(wanted) for wanted in asked.get("counts", [])],
    }))


if __name__ == "__main__":
    main()
