"""Where the level of a plate's counts changes, by a kernel change-point search: the peer of bench/src/plate.rs.

Reads {"counts": [...], "penalty": p} from standard input and prints JSON: seconds (of the search alone) and changes, the
samples at which the level changes. Linear kernel, pruned search; told a penalty that suits the log, which ours is not.
"""

import json
import sys
import time

import numpy as np
import ruptures

asked = json.load(sys.stdin)
signal = np.asarray(asked["counts"], dtype=float).reshape(-1, 1)
begin = time.perf_counter()
changes = ruptures.KernelCPD(kernel="linear", min_size=2).fit(signal).predict(pen=asked["penalty"])
seconds = time.perf_counter() - begin
json.dump({"seconds": seconds, "changes": [int(at) for at in changes[:-1]]}, sys.stdout)
