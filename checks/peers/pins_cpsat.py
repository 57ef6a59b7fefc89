"""The pin search as a model for CP-SAT (OR-Tools), written from the facts of each case, not from our search.

Usage: pins_cpsat.py FILE, where FILE holds a JSON list of cases as models::pins::sample::instance_json writes them.
Prints {"results": [{"cost": least cost or null, "build_s": ..., "solve_s": ...}, ...]}.
"""

import json
import sys
import time

from ortools.sat.python import cp_model


def build(case):
    """The model of one case."""
    m = cp_model.CpModel()
    prices = case["prices"]
    demands, pins = range(len(prices)), range(len(case["channel"]))
    x = {(d, p): m.new_bool_var("") for d in demands for p in pins if prices[d][p] >= 0}
    cost = [prices[d][p] * var for (d, p), var in x.items()]
    for d in demands:
        m.add_exactly_one([x[d, p] for p in pins if (d, p) in x])
    for p in pins:
        m.add_at_most_one([x[d, p] for d in demands if (d, p) in x])

    # A touch channel serves one pin at a time.
    touched = [d for d in demands if case["touch"][d]]
    for channel in {c for c in case["channel"] if c >= 0}:
        m.add_at_most_one(
            [x[d, p] for d in touched for p in pins if case["channel"][p] == channel and (d, p) in x]
        )

    # A timer runs at one rate; a rate that changes is a rate of its own.
    dimmed = [d for d in demands if case["rate"][d] >= 0]
    if len(dimmed) > case["channels"]:
        m.add_bool_or([])
    rate = {d: case["rate"][d] or f"moving {d}" for d in dimmed}
    camera_timer, camera_hz = case["camera"]
    rates = set(rate.values()) | ({camera_hz} if camera_timer >= 0 else set())
    runs = {(t, r): m.new_bool_var("") for t in range(case["timers"]) for r in rates}
    for t in range(case["timers"]):
        m.add_at_most_one([runs[t, r] for r in rates])
    if camera_timer >= 0:
        m.add(runs[camera_timer, camera_hz] == 1)
    for d in dimmed:
        on = [m.new_bool_var("") for _ in range(case["timers"])]
        m.add_exactly_one(on)
        for t, var in enumerate(on):
            m.add_implication(var, runs[t, rate[d]])
        for p in pins:
            if (d, p) in x and case["route"][p] >= 0:
                m.add_implication(x[d, p], on[case["route"][p]])

    # Wake sources: each waker has one; sources have room, and some exclude each other.
    kinds = range(len(case["room"]))
    used = [m.new_bool_var("") for _ in kinds]
    wakers = [d for d in demands if case["wake"][d]]
    takes = {(d, k): m.new_bool_var("") for d in wakers for k in case["wake"][d]}
    for d in wakers:
        m.add_exactly_one([takes[d, k] for k in case["wake"][d]])
        for k in case["wake"][d]:
            m.add_implication(takes[d, k], used[k])
            m.add(takes[d, k] <= sum(x[d, p] for p in pins if (d, p) in x and k in case["pin_wakes"][p]))
    for k in kinds:
        m.add(sum(var for (_, kind), var in takes.items() if kind == k) <= case["room"][k])
    for a, b in case["excludes"]:
        m.add_at_most_one([used[a], used[b]])

    # A plate beside a dimmed pin costs, once a pair.
    for d in touched:
        for e in dimmed:
            if d == e:
                continue
            noisy = m.new_bool_var("")
            cost.append(case["noise"] * noisy)
            # As clauses: CP-SAT proves these far faster than the same as inequalities.
            for p in pins:
                for q in case["beside"][p]:
                    if (d, p) in x and (e, q) in x:
                        m.add_bool_or([~x[d, p], ~x[e, q], noisy])
    m.minimize(sum(cost))
    return m


def solve(case):
    """Least cost, or None when there is no wiring; with the times for building and solving."""
    start = time.perf_counter()
    model = build(case)
    built = time.perf_counter()
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    # With all its linear relaxations it proves in 20 ms what takes it minutes by default: the core is an assignment.
    solver.parameters.linearization_level = 2
    status = solver.solve(model)
    solved = time.perf_counter()
    if status not in (cp_model.OPTIMAL, cp_model.INFEASIBLE):
        raise RuntimeError(solver.status_name(status))
    cost = round(solver.objective_value) if status == cp_model.OPTIMAL else None
    return {"cost": cost, "build_s": built - start, "solve_s": solved - built}


if __name__ == "__main__":
    with open(sys.argv[1], encoding="utf-8") as file:
        print(json.dumps({"results": [solve(case) for case in json.load(file)]}))
