"""Transmission through one layer by characteristic matrices, for checks/tests/it/radio.rs: a second derivation.

stdin: {"slabs": [{a, b, c, d (P.2040 coefficients), thickness_m, freq_hz, angle_rad}]}.
stdout: {"loss_db": [[TE, TM], ..]}. The layer's matrix links tangential fields at both faces (thin-film optics); no
reflection of a face is ever computed, so it shares no step with the closed formula.
"""

import json
import sys

import numpy as np
from scipy import constants


def loss_db(slab, tm):
    ghz = slab["freq_hz"] / 1e9
    eta = slab["a"] * ghz ** slab["b"] - 1j * slab["c"] * ghz ** slab["d"] / (
        2 * np.pi * slab["freq_hz"] * constants.epsilon_0
    )
    cos = np.cos(slab["angle_rad"])
    inner = np.sqrt(eta - np.sin(slab["angle_rad"]) ** 2)  # index times cosine inside
    phase = 2 * np.pi * slab["freq_hz"] / constants.c * slab["thickness_m"] * inner
    # Admittances over that of free space: outside and inside.
    outside, inside = (1 / cos, eta / inner) if tm else (cos, inner)
    matrix = np.array([
        [np.cos(phase), 1j * np.sin(phase) / inside],
        [1j * inside * np.sin(phase), np.cos(phase)],
    ])
    electric, magnetic = matrix @ np.array([1.0, outside])
    passed = 2 * outside / (outside * electric + magnetic)
    return float(-20 * np.log10(abs(passed)))


asked = json.load(sys.stdin)
print(json.dumps({"loss_db": [[loss_db(slab, False), loss_db(slab, True)] for slab in asked["slabs"]]}))
