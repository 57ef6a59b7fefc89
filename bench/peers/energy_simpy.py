"""The model of crates/models/src/energy as processes in SimPy: callers ring one by one, a cell is judged at dawn.

Reads the same JSON as energy_numpy.py on stdin and prints the same keys. Use few draws: a draw-year costs
milliseconds. The day's thresholds come from the NumPy peer, so that only the simulation itself differs.
"""

import json
import random
import sys
import time

import simpy

from energy_numpy import daily_tables

DAY_S = 86400.0


class Station:
    """One life: processes that take charge, and a day that judges and gives the sun."""

    def __init__(self, env, p, tables, rng):
        self.env, self.p, self.rng = env, p, rng
        self.empty, self.kept_charge, self.kept_capacity, self.sun = tables
        self.soc, self.before, self.end_s = 1.0, 1.0, None
        self.taken_c = 0.0
        self.state = rng.gauss(0.0, 1.0)
        self.over = env.event()
        env.process(self.days())

    def arrivals(self, rate_day, charge_c, start_s):
        """Arrivals of one day, each an event of its own."""
        if rate_day <= 0.0:
            return
        gap_s = DAY_S / rate_day
        while True:
            wait_s = self.rng.expovariate(1.0 / gap_s)
            if self.env.now + wait_s >= start_s + DAY_S:
                return
            yield self.env.timeout(wait_s)
            self.taken_c += charge_c

    def days(self):
        p, rng = self.p, self.rng
        lag, fresh = p["sky_lag"], (1.0 - p["sky_lag"] ** 2) ** 0.5
        over = p["calls_dispersion"] - 1.0
        for lived in range(p["years"] * 365):
            start_s = lived * DAY_S
            # A day's rate is gamma-distributed about the mean.
            rate = rng.gammavariate(p["calls_day"] / over, over) if over > 0.0 else p["calls_day"]
            self.taken_c = 0.0
            self.env.process(self.arrivals(rate, p["call_c"], start_s))
            self.env.process(self.arrivals(p["wakes_day"], p["wake_c"], start_s))
            # The same instant as the next day's start; events of this day come first.
            yield self.env.timeout(start_s + DAY_S - self.env.now)
            soc_per_c = 1.0 / (p["capacity_c"] * self.kept_capacity[lived])
            before = self.soc
            self.soc = before * self.kept_charge[lived] - soc_per_c * (p["steady_c_day"] + self.taken_c)
            if self.soc < self.empty[lived]:
                share = (before - self.empty[lived]) / (before - self.soc)
                self.end_s = (lived + min(max(share, 0.0), 1.0)) * DAY_S
                break
            if p["charge_per_sun"] > 0.0:
                sky = min(max(1.0 + p["sky_sd"] * self.state, p["sky_low"]), p["sky_high"])
                self.state = lag * self.state + fresh * rng.gauss(0.0, 1.0)
                self.soc = min(self.soc + soc_per_c * self.sun[lived] * sky, 1.0)
        self.over.succeed()


def quantile(ordered, share):
    """Linear between order statistics, as NumPy's default."""
    place = share * (len(ordered) - 1)
    low = int(place)
    high = min(low + 1, len(ordered) - 1)
    return ordered[low] + (place - low) * (ordered[high] - ordered[low])


def main():
    p = json.load(sys.stdin)
    tables = [table.tolist() for table in daily_tables(p)]
    rng = random.Random(p["seed"])
    horizon_s = p["years"] * 365 * DAY_S
    ends, last, years = [], [], 0.0
    start = time.perf_counter()
    for _ in range(p["draws"]):
        env = simpy.Environment()
        station = Station(env, p, tables, rng)
        env.run(until=station.over)
        ends.append(horizon_s if station.end_s is None else station.end_s)
        if station.end_s is None:
            last.append(station.soc)
        years += ends[-1] / DAY_S / 365.0
    took_s = time.perf_counter() - start
    ends.sort()
    last.sort()
    print(json.dumps({
        "median": quantile(ends, 0.5),
        "p5": quantile(ends, 0.05),
        "p95": quantile(ends, 0.95),
        "last_soc": quantile(last, 0.5) if last else None,
        "survivors": len(last),
        "seconds_per_draw_year": took_s / years,
    }))


if __name__ == "__main__":
    main()
