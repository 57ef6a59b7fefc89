"""The generalised Pareto law, for checks/tests/it/tails.rs.

stdin: {"peaks": [[..], ..], "pairs": [[scale, shape], ..], "beyond": [distance, ..]}.
stdout: {"likelihoods": for each list of peaks one for each pair, null where a peak is impossible,
"beyond": for each pair one for each distance, "fits": for each list the most likely [scale, shape, log-likelihood]}.
All by scipy.stats.genpareto: logpdf, sf, and fit with the place held at 0, polished by Nelder and Mead.
"""

import json
import math
import sys

import numpy as np
from scipy import optimize
from scipy.stats import genpareto


def likelihood(peaks, scale, shape):
    value = float(np.sum(genpareto.logpdf(peaks, shape, scale=scale)))
    return value if math.isfinite(value) else None


def fit(peaks):
    shape, _, scale = genpareto.fit(peaks, floc=0)
    cost = lambda at: -np.sum(genpareto.logpdf(peaks, at[1], scale=math.exp(at[0])))
    best = optimize.minimize(cost, [math.log(scale), shape], method="Nelder-Mead",
                             options={"xatol": 1e-10, "fatol": 1e-12, "maxiter": 10_000})
    return [math.exp(best.x[0]), float(best.x[1]), -float(best.fun)]


def main():
    asked = json.load(sys.stdin)
    print(json.dumps({
        "likelihoods": [[likelihood(peaks, *pair) for pair in asked["pairs"]] for peaks in asked["peaks"]],
        "beyond": [[float(genpareto.sf(x, shape, scale=scale)) for x in asked["beyond"]]
                   for scale, shape in asked["pairs"]],
        "fits": [fit(peaks) for peaks in asked["peaks"]],
    }))


if __name__ == "__main__":
    main()
