"""Sums of times by Fourier transform on a fine uniform grid, and a whole house by draws, for checks/tests/it/timing.rs.

stdin: {"chains": [{"steps": [dist], "at": [probability]}], "house": {...} or absent}, dist being {"point": s},
{"uniform": [low, high]}, {"lognormal": [median, sigma]}, {"two_piece": [p5, p50, p95]} or {"mixture": [[share, dist]]}.
stdout: {"chains": [{"quantiles": [..]}], "house": {"delivered", "heard", "seen": [quantiles], "shares": [heard, seen]}}.
Distribution functions come from SciPy; the sum is a product of transforms of 2^19 cells each.
"""

import json
import sys

import numpy as np
from scipy import fft, stats

Z90 = stats.norm.ppf(0.95)
CELLS = 1 << 19


def cdf(dist, t):
    kind, what = next(iter(dist.items()))
    if kind == "point":
        return (t >= what).astype(float)
    if kind == "uniform":
        return stats.uniform.cdf(t, what[0], what[1] - what[0])
    if kind == "lognormal":
        return stats.lognorm.cdf(t, what[1], scale=what[0])
    if kind == "two_piece":
        p5, p50, p95 = what
        below, above = np.log(p50 / p5) / Z90, np.log(p95 / p50) / Z90
        return np.where(t < p50, stats.lognorm.cdf(t, below, scale=p50), stats.lognorm.cdf(t, above, scale=p50))
    return sum(share * cdf(part, t) for share, part in what)


def draw(dist, n, luck):
    kind, what = next(iter(dist.items()))
    if kind == "point":
        return np.full(n, what)
    if kind == "uniform":
        return luck.uniform(what[0], what[1], n)
    if kind == "lognormal":
        return luck.lognormal(np.log(what[0]), what[1], n)
    if kind == "two_piece":
        p5, p50, p95 = what
        z = luck.standard_normal(n)
        return p50 * np.exp(z * np.where(z < 0, np.log(p50 / p5), np.log(p95 / p50)) / Z90)
    out = np.full(n, np.inf)
    u, upto = luck.random(n), 0.0
    for share, part in what:
        chosen = (u >= upto) & (u < upto + share)
        out[chosen] = draw(part, int(chosen.sum()), luck)
        upto += share
    return out


def longest(dist):
    """A time that all but 1e-7 are shorter than."""
    t = 1e-3
    while cdf(dist, np.array([t]))[0] < 1 - 1e-7:
        t *= 1.3
    return t


def chain(asked):
    steps = asked["steps"]
    width = 1.05 * sum(longest(step) for step in steps) / CELLS
    edges = (np.arange(CELLS) + 0.5) * width
    product = 1.0
    for step in steps:
        mass = np.diff(cdf(step, edges), prepend=0.0)
        product = product * fft.rfft(mass, 2 * CELLS)
    done = np.cumsum(fft.irfft(product, 2 * CELLS)[:CELLS])
    return {"quantiles": np.interp(asked["at"], np.maximum.accumulate(done), edges).tolist()}


def house(asked):
    luck, n = np.random.default_rng(asked["seed"]), asked["draws"]
    u = luck.random(n)
    poor = u < asked["poor_share"]
    down = (u >= asked["poor_share"]) & (u < asked["poor_share"] + asked["down_share"])

    def total(steps):
        sum_ = np.zeros(n)
        for step in steps:
            sum_ += draw(step["takes"], n, luck) * np.where(poor & step["lengthened"], asked["poor_factor"], 1.0)
        return sum_

    delivered = total(asked["shared"]) + np.where(down, draw(asked["down_rest"], n, luck), 0.0)
    heard, seen = np.full(n, np.inf), np.full(n, np.inf)
    for way in asked["ways"]:
        way_heard = total(way["heard"])
        heard = np.minimum(heard, way_heard)
        if way["seen"]:
            seen = np.minimum(seen, way_heard + total(way["seen"]))
    heard, seen = delivered + heard, delivered + seen
    waits = draw({"mixture": asked["waits"]}, n, luck)
    quantiles = lambda times: np.quantile(times, asked["at"]).tolist()
    return {
        "delivered": quantiles(delivered), "heard": quantiles(heard), "seen": quantiles(seen),
        "shares": [float(np.mean(heard < waits)), float(np.mean(seen < waits))],
    }


def main():
    asked = json.load(sys.stdin)
    answer = {"chains": [chain(one) for one in asked.get("chains", [])]}
    if "house" in asked:
        answer["house"] = house(asked["house"])
    print(json.dumps(answer))


if __name__ == "__main__":
    main()
