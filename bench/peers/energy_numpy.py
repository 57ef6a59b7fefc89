"""The model of crates/models/src/energy in vectorised NumPy: all draws at once, day after day.

Reads parameters as JSON on stdin (bench/src/energy.rs writes them), prints JSON: median, p5, p95 of the run time
in s, last_soc (median over survivors), survivors, seconds_per_draw_year (of the days simulated; set-up included,
start of the interpreter not). Thresholds depend on the day only, because all draws share one build; so they are
worked out once for all draws, as a careful NumPy writer would.
"""

import json
import sys
import time

import numpy as np

DAY_S = 86400.0
MONTH_FIRST_DAY = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365]
GAS = 8.314462618


def daily_tables(p):
    """Per day lived: emptying threshold, kept share of charge, kept share of capacity, sun."""
    days = p["years"] * 365
    lived = np.arange(days)
    day = (p["start_day"] + lived) % 365
    month = np.searchsorted(MONTH_FIRST_DAY, day, side="right") - 1
    mean_k, min_k = np.array(p["mean_k"]), np.array(p["min_k"])
    speed_day = 2.0 ** ((mean_k - 298.15) / 10.0)
    speed = np.array([speed_day[a:b].mean() for a, b in zip(MONTH_FIRST_DAY, MONTH_FIRST_DAY[1:])])[month]
    kept_charge = 1.0 - p["self_discharge_month"] / 30.4375 * speed
    # Capacity falls in steps, a month's whole fade at its first day.
    starts = np.flatnonzero(np.r_[True, month[1:] != month[:-1]])
    block = np.searchsorted(starts, lived, side="right") - 1
    block_fade = np.add.reduceat(p["fade_year"] / 365.0 * speed, starts)
    kept_capacity = np.maximum(1.0 - np.cumsum(block_fade), 0.01)[block]

    cold = np.exp(p["activation_j_mol"] / GAS * (1.0 / min_k[day] - 1.0 / 298.15))
    factor = cold * (1.0 + (p["aged_factor"] - 1.0) * lived / 1095.0)
    soc, volt = np.array(p["ocv"]).T
    ohm = (p["cell_r25_ohm"] * p["series"] / p["parallel"] * factor)[:, None]
    ohm = ohm * (1.0 + p["growth_when_empty"] * (1.0 - soc)) + p["wire_ohm"]
    least = p["least_v"]
    need = np.where(
        least * least >= ohm * p["power_w"], least + ohm * p["power_w"] / least, 2.0 * np.sqrt(ohm * p["power_w"])
    )
    margin = volt * p["series"] - need - ohm * p["current_a"]
    burst = np.array([np.interp(0.0, row, soc) if row[-1] >= 0 else 1.0 - row[-1] for row in margin])
    temp_c, share = np.array(p["by_temp"]).T
    locked = 1.0 - np.interp(min_k[day] - 273.15, temp_c, share)
    sun = np.array(p["sun_j_m2"])[day] * p["charge_per_sun"]
    return np.maximum(burst, locked), kept_charge, kept_capacity, sun


def count_steps(mean, dispersion):
    """Cumulative distribution of a day's count: negative binomial, Poisson at dispersion 1.

    Searched with uniforms it is three times as fast as `rng.negative_binomial`, and the peer shall be at its best.
    """
    q = 1.0 - 1.0 / dispersion
    weights = [1.0]
    while weights[-1] > 1e-12 * max(weights) or len(weights) < mean:
        k = len(weights) - 1
        weights.append(weights[-1] * (k * q + mean / dispersion) / (k + 1))
    steps = np.cumsum(weights)
    return steps / steps[-1]


def lives(p, rng):
    """Run time of each draw in s, state of charge at its end."""
    empty, kept_charge, kept_capacity, sun = daily_tables(p)
    n = p["draws"]
    calls_steps = count_steps(p["calls_day"], p["calls_dispersion"])
    soc = np.ones(n)
    end_s = np.full(n, p["years"] * 365 * DAY_S)
    alive = np.ones(n, dtype=bool)
    state = rng.standard_normal(n)
    lag, fresh = p["sky_lag"], np.sqrt(1.0 - p["sky_lag"] ** 2)
    for lived in range(p["years"] * 365):
        soc_per_c = 1.0 / (p["capacity_c"] * kept_capacity[lived])
        calls = np.searchsorted(calls_steps, rng.random(n), side="right")
        wakes = rng.poisson(p["wakes_day"], n)
        before = soc
        soc = soc * kept_charge[lived] - soc_per_c * (
            p["steady_c_day"] + calls * p["call_c"] + wakes * p["wake_c"]
        )
        ending = alive & (soc < empty[lived])
        if ending.any():
            share = np.clip((before[ending] - empty[lived]) / (before[ending] - soc[ending]), 0.0, 1.0)
            end_s[ending] = (lived + share) * DAY_S
            alive &= ~ending
            if not alive.any():
                break
        if p["charge_per_sun"] > 0.0:
            sky = np.clip(1.0 + p["sky_sd"] * state, p["sky_low"], p["sky_high"])
            state = lag * state + fresh * rng.standard_normal(n)
            soc = np.minimum(soc + soc_per_c * sun[lived] * sky, 1.0)
    return end_s, soc, alive, lived + 1


def main():
    p = json.load(sys.stdin)
    rng = np.random.default_rng(p["seed"])
    start = time.perf_counter()
    end_s, soc, alive, days = lives(p, rng)
    took_s = time.perf_counter() - start
    p5, median, p95 = np.quantile(end_s, [0.05, 0.5, 0.95])
    print(json.dumps({
        "median": median,
        "p5": p5,
        "p95": p95,
        "last_soc": float(np.median(soc[alive])) if alive.any() else None,
        "survivors": int(alive.sum()),
        "seconds_per_draw_year": took_s / (p["draws"] * days / 365.0),
    }))


if __name__ == "__main__":
    main()
