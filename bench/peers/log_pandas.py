"""A log of two columns to arrays by pandas' C parser: the peer of bench/src/log.rs.

Reads {"lines": n} from standard input, makes the same log as the bench in memory, and prints JSON: seconds (of the parsing alone)
and sum, the sum of all counts.
"""

import io
import json
import sys
import time

import pandas as pd

lines = json.load(sys.stdin)["lines"]
state, rows = 12345, ["time_s,count"]
for at in range(lines):
    state = (state * 1664525 + 1013904223) % 2**32
    rows.append(f"{at // 20}.{at % 20 * 50:03d},{940 + (state >> 24) % 20}")
text = io.BytesIO(("\n".join(rows) + "\n").encode())
begin = time.perf_counter()
frame = pd.read_csv(text, engine="c", dtype={"time_s": "float64", "count": "uint16"})
seconds = time.perf_counter() - begin
json.dump({"seconds": seconds, "sum": int(frame["count"].to_numpy().sum(dtype="uint64"))}, sys.stdout)
