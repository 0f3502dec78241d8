"""Holds the allocation against CP-SAT (OR-Tools): all four levels on small problems, levels 1 and 2 on a large one.

usage: compare.py PROGRAM small FROM TO      every seed must agree on all four levels
       compare.py PROGRAM large SEED SECONDS ROUNDS   SECONDS of processor time for CP-SAT, both workers together
PROGRAM is the engine's example `allocate`, built in release.
"""

import json
import resource
import subprocess
import sys
import threading
import time

from ortools import __version__
from ortools.sat.python import cp_model


def given(program, *words):
    out = subprocess.run([program, *words], check=True, capture_output=True, text=True).stdout
    return json.loads(out)


def best(model, expression, most, seconds=None):
    """Makes one level best and holds it; the value and CP-SAT's bound. Seconds are of processor time, on both workers together."""
    (model.maximize if most else model.minimize)(expression)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.symmetry_level = 2
    watch = stop_after(solver, seconds) if seconds else None
    status = solver.solve(model)
    if watch:
        watch.set()
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    value, bound = round(solver.objective_value), solver.best_objective_bound
    return value, bound, status == cp_model.OPTIMAL, solver


def stop_after(solver, seconds):
    """Stops a search after so much processor time, so that a machine that is shared takes nothing from it."""
    done, start = threading.Event(), time.process_time()

    def watch():
        while not done.wait(0.05):
            if time.process_time() - start > seconds:
                solver.stop_search()

    threading.Thread(target=watch, daemon=True).start()
    return done


def options(model, problem):
    """A switch for every option; an order takes one at most."""
    takes = []
    for order in problem["orders"]:
        mine = [model.new_bool_var("") for _ in order[2]]
        model.add_at_most_one(mine)
        takes.append(mine)
    return takes


def served(problem, takes):
    """By priority: the sum of what is taken."""
    out = {}
    for order, mine in zip(problem["orders"], takes):
        out.setdefault(order[0], []).extend(mine)
    return [sum(out[p]) for p in sorted(out)]


def small_model(problem):
    """Every module to every set, with parts and dies counted: nothing is taken from our way of solving it."""
    model = cp_model.CpModel()
    takes = options(model, problem)
    cost, broken, days = [], [], []
    given_out = [[] for _ in problem["stock"]]
    for order, mine in zip(problem["orders"], takes):
        for choice, take in zip(order[2], mine):
            cost.append(choice[0] * take)
            for _machine in range(order[1]):
                for _group, sort, count in choice[1]:
                    fits = [i for i, piece in enumerate(problem["stock"]) if piece[0] == sort]
                    has = {i: model.new_bool_var("") for i in fits}
                    model.add(sum(has.values()) == count * take)
                    for i, x in has.items():
                        given_out[i].append(x)
                        model.add_implication(x, take)
                    broken += breaks(model, problem, has)
    for piece, xs in zip(problem["stock"], given_out):
        model.add_at_most_one(xs)
        cost.append(piece[3] * sum(xs))
        days.append(piece[4] * sum(xs))
    return model, takes, sum(cost), sum(broken), sum(days)


def breaks(model, problem, has):
    """1 where two parts are in a set, and 1 more where two dies are."""
    out = []
    for field in (1, 2):
        kinds = {}
        for i, x in has.items():
            kinds.setdefault(problem["stock"][i][field], []).append(x)
        there = []
        for xs in kinds.values():
            any_of = model.new_bool_var("")
            for x in xs:
                model.add_implication(x, any_of)
            there.append(any_of)
        if there:
            bad = model.new_bool_var("")
            model.add(sum(there) <= 1 + (len(there) - 1) * bad)
            out.append(bad)
    return out


def small(program, seeds):
    wrong = 0
    for seed in seeds:
        case = given(program, "small", str(seed))
        problem, ours = case["problem"], case["answer"]
        model, takes, cost, broken, days = small_model(problem)
        values, proved = [], True
        for level, most in [(s, True) for s in served(problem, takes)] + [(cost, False), (broken, False), (days, False)]:
            value, _, sure, _ = best(model, level, most, 60)
            model.add(level == value)
            values.append(value)
            proved &= sure
        mine = [*ours["served"], ours["cost"], ours["broken"], ours["days"]]
        same = values == mine and proved and ours["proof"] == "Complete"
        wrong += not same
        if not same:
            print("seed", seed, "CP-SAT", values, proved, "ours", mine, ours["proof"])
    print(f"{len(seeds) - wrong} of {len(seeds)} problems alike on all four levels, proved by both (OR-Tools {__version__})")
    return wrong


def large_model(problem):
    """Orders and totals by sort; modules of a sort and cost are one integer variable, as the cheapest go first in any optimum."""
    model = cp_model.CpModel()
    takes = options(model, problem)
    used, steps = {}, {}
    for piece in problem["stock"]:
        steps.setdefault(piece[0], {}).setdefault(piece[3], 0)
        steps[piece[0]][piece[3]] += 1
    cost = []
    for order, mine in zip(problem["orders"], takes):
        for choice, take in zip(order[2], mine):
            cost.append(choice[0] * take)
            for _group, sort, count in choice[1]:
                used.setdefault(sort, []).append(order[1] * count * take)
    for sort, terms in used.items():
        levels = [(each, model.new_int_var(0, n, "")) for each, n in sorted(steps.get(sort, {}).items())]
        model.add(sum(terms) == sum(n for _, n in levels))
        cost += [each * n for each, n in levels]
    return model, takes, sum(cost)


def large(program, seed, seconds, rounds):
    start = time.time()
    case = given(program, "large", str(seed), str(rounds))
    wall = time.time() - start
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    ours = case["answer"]
    print(f"ours: served {ours['served']} of at most {ours['served_bound']}, cost {ours['cost']} of at least "
          f"{ours['cost_bound']}, {ours['seconds']} s ({wall:.1f} s with printing), peak {peak:.0f} MiB, {ours['proof']}")
    cp(case["problem"], seconds, ours, False)
    cp(case["problem"], seconds, ours, True)


def cp(problem, seconds, ours, weighted):
    """Levels one after another in what is left of the time, each from the answer of the one before; or all in one weighted sum."""
    clock, start = time.time(), time.process_time()
    model, takes, cost = large_model(problem)
    tallies = served(problem, takes)
    flat = [x for mine in takes for x in mine]
    if weighted:
        weight, sum_of_all = 1, 0
        for tally in reversed(tallies):
            weight *= 1_000 if weight > 1 else 1_000_000_000
            sum_of_all += weight * tally
        levels = [(sum_of_all - cost, True)]
    else:
        levels = [(s, True) for s in tallies] + [(cost, False)]
    bounds = []
    for at, (level, most) in enumerate(levels):
        left = seconds - (time.process_time() - start)
        found = best(model, level, most, max(left / (len(levels) - at), 1))
        if found is None:
            print("CP-SAT: no answer on level", at)
            return
        value, bound, _, solver = found
        if most:
            model.add(level >= value)
        model.clear_hints()
        for x in flat:
            model.add_hint(x, solver.value(x))
        bounds.append(round(bound))
    out = [solver.value(tally) for tally in tallies], -solver.value(cost)
    print(f"CP-SAT {__version__}, {'weighted' if weighted else 'by levels'}: served {out[0]}, cost {-out[1]}, bounds {bounds}, "
          f"{time.process_time() - start:.0f} s of processor time, {time.time() - clock:.0f} s by the clock, 2 workers")
    mine = ours["served"], -ours["cost"]
    print("ours is", "better" if mine > out else "worse" if mine < out else "equal")


if __name__ == "__main__":
    program, kind = sys.argv[1:3]
    if kind == "small":
        sys.exit(1 if small(program, range(int(sys.argv[3]), int(sys.argv[4]))) else 0)
    large(program, int(sys.argv[3]), float(sys.argv[4]), int(sys.argv[5]))
