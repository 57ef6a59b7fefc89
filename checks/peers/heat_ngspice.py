"""The same heat network as a circuit, by ngspice: temperatures are volts, watts are amperes.

Reads from standard input {capacity (J/K, n), conductance (W/K, n by n, symmetric, what leads outside on the diagonal), start
(C, n), load (W, n), ask (s)}; the outside is at 0 C. Prints the temperatures at each time of `ask`.
"""
import json
import os
import shutil
import subprocess
import sys
import tempfile

problem = json.load(sys.stdin)
if shutil.which("ngspice") is None:
    sys.exit("ngspice is missing: apt-get install ngspice (Debian's package of that name) brings it")
n = len(problem["capacity"])
conductance = problem["conductance"]
lines = ["heat"]
for i in range(n):
    lines.append(f"C{i} n{i} 0 {problem['capacity'][i]!r} IC={problem['start'][i]!r}")
    if problem["load"][i]:
        lines.append(f"I{i} 0 n{i} DC {problem['load'][i]!r}")
    outward = sum(conductance[i])
    if outward > 1e-12:
        lines.append(f"RO{i} n{i} 0 {1 / outward!r}")
    for j in range(i + 1, n):
        if conductance[i][j]:
            lines.append(f"R{i}_{j} n{i} n{j} {-1 / conductance[i][j]!r}")
ask = problem["ask"]
lines += [
    ".options reltol=1e-7 abstol=1e-12 vntol=1e-9 trtol=1 method=gear maxord=4",
    f".tran {min(ask) / 50!r} {max(ask)!r} 0 {min(ask) / 50!r} UIC",
]
for k, t in enumerate(ask):
    for i in range(n):
        lines.append(f".meas tran m{k}_{i} FIND v(n{i}) AT={t!r}")
lines.append(".end")
with tempfile.TemporaryDirectory() as folder:
    path = os.path.join(folder, "heat.cir")
    with open(path, "w", encoding="ascii") as file:
        file.write("\n".join(lines) + "\n")
    run = subprocess.run(["ngspice", "-b", path], capture_output=True, text=True, cwd=folder)
measured = {}
for line in run.stdout.splitlines():
    name, _, rest = line.partition("=")
    if name.strip().startswith("m") and rest.split():
        measured[name.strip()] = float(rest.split()[0])
try:
    print(json.dumps([[measured[f"m{k}_{i}"] for i in range(n)] for k in range(len(ask))]))
except KeyError as missing:
    sys.exit(f"ngspice measured no {missing}:\n{run.stdout[-2000:]}\n{run.stderr[-2000:]}")
