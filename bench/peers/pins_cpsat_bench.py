"""CP-SAT on the same boards, timed in its own process: the model is the one of checks/peers/pins_cpsat.py.

Usage: pins_cpsat_bench.py FILE. Prints the same as that script; the first case is solved once more before, unmeasured.
"""

import json
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[2] / "checks" / "peers"))
from pins_cpsat import solve  # noqa: E402

with open(sys.argv[1], encoding="utf-8") as file:
    cases = json.load(file)
solve(cases[0])
print(json.dumps({"results": [solve(case) for case in cases]}))
