#!/usr/bin/python3
"""Plans of small glue-ups against an exact model of their own.

usage: clock_oracle.py BUILD

Random stages and small orders of joins are planned by BUILD/bench/plan and, from
the same numbers, by a mixed-integer program solved with glpsol (Debian package
glpk-utils).  The model knows nothing of how the planner works: every task has a
start, every pair of tasks that one person does has an order, and the longest
open time is the least number that is no less than each joint's.  The best cut
into stages is found by trying all.  Compared are: whether a plan exists, the
open time of the joint that is open longest, the number of stages, and the least
margin.  Ends "N passed, M failed"."""
import concurrent.futures
import itertools
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time

STAGES, ORDERS = 300, 60


def random_problem(rng, joins, most_spreads):
    people = rng.choice([1, 1, 1, 2, 2, 3])
    problem = {"people": people, "joins": [], "clamp": rng.choice([0, 20, 40])}
    spreads_left = most_spreads
    for i in range(joins):
        last = i == joins - 1
        parent = -1 if last else rng.randint(i + 1, joins - 1)
        count = min(spreads_left, rng.choice([0, 1, 1, 2, 2, 3]))
        if last and count == 0:
            count = 1
        spreads_left = max(0, spreads_left - count)
        problem["joins"].append({
            "parent": parent, "hands": rng.choice([1, 1, 1, 2]),
            "bring": rng.randint(2, 6) * 5, "pressure": rng.random() < 0.6,
            "clamp": rng.choice([0, 15, 20]),
            "spreads": [rng.randint(2, 12) * 5 for _ in range(count)]})
    total = sum(sum(j["spreads"]) + j["bring"] + j["clamp"] for j in problem["joins"])
    longest = max(sum(j["spreads"]) + j["bring"] for j in problem["joins"])
    problem["open"] = rng.choice([longest + rng.randint(-20, 60), rng.randint(40, total + 40)])
    problem["open"] = max(10, problem["open"])
    problem["closed"] = rng.choice([0, rng.randint(40, total + 40), rng.randint(40, total // 2 + 60)])
    problem["pot"] = rng.choice([0, 0, rng.randint(60, total + 40)])
    return problem


def part_of(problem, first, last):
    """The joins [first, last) as a stage: tasks, what follows what, limits."""
    tasks, after, opens, closes = [], [], [], []
    joins = problem["joins"][first:last]
    clamp = problem["clamp"] + sum(j["clamp"] for j in joins)
    brings = []
    for j in joins:
        spreads = []
        for seconds in j["spreads"]:
            spreads.append(len(tasks))
            tasks.append((seconds, 1))
        brings.append(len(tasks))
        tasks.append((j["bring"], min(j["hands"], problem["people"])))
        after += [(s, brings[-1]) for s in spreads]
        opens += [(s, brings[-1]) for s in spreads]
    for i, j in enumerate(joins[:-1]):
        after.append((brings[i], brings[j["parent"] - first]))
    if clamp > 0:
        after.append((brings[-1], len(tasks)))
        closes = [b for b, j in zip(brings, joins) if j["pressure"]]
        tasks.append((clamp, 1))
    return tasks, after, opens, closes


def reachable(count, after):
    before = [[False] * count for _ in range(count)]
    for a, b in after:
        before[a][b] = True
    for k in range(count):
        for i in range(count):
            for j in range(count):
                before[i][j] = before[i][j] or (before[i][k] and before[k][j])
    return before


def write_model(problem, tasks, after, opens, closes):
    people, horizon = problem["people"], 2 * sum(t[0] for t in tasks) + 10
    rows, binaries = ["z >= 0"], ["z"]  # one whole number at least: one form of answer
    before = reachable(len(tasks), after)
    for a, b in after:
        rows.append(f"s{b} - s{a} >= {tasks[a][0]}")
    for s, b in opens:
        rows.append(f"w - s{b} + s{s} >= {tasks[b][0]}")
        if problem["pot"]:
            for _, other in opens:
                rows.append(f"s{other} - s{s} <= {problem['pot'] - tasks[other][0]}")
    clamp = len(tasks) - 1
    for b in closes:
        if problem["closed"]:
            rows.append(f"s{clamp} - s{b} <= {problem['closed'] - tasks[clamp][0] + tasks[b][0]}")
    if people > 1:
        for t, (_, hands) in enumerate(tasks):
            rows.append(" + ".join(f"y{t}_{k}" for k in range(people)) + f" = {hands}")
            binaries += [f"y{t}_{k}" for k in range(people)]
    for a, b in itertools.combinations(range(len(tasks)), 2):
        if before[a][b] or before[b][a]:
            continue
        binaries += [f"o{a}_{b}", f"o{b}_{a}"]
        for i, j in ((a, b), (b, a)):
            rows.append(f"s{j} - s{i} - {horizon} o{i}_{j} >= {tasks[i][0] - horizon}")
        rows.append(f"o{a}_{b} + o{b}_{a} <= 1")
        if people == 1:
            rows.append(f"o{a}_{b} + o{b}_{a} >= 1")
        for k in range(people if people > 1 else 0):
            rows.append(f"o{a}_{b} + o{b}_{a} - y{a}_{k} - y{b}_{k} >= -1")
    text = ["Minimize", " obj: w", "Subject To"]
    text += [f" r{i}: {row}" for i, row in enumerate(rows)]
    text += ["Bounds"] + [f" 0 <= s{t} <= {horizon}" for t in range(len(tasks))]
    text += [f" 0 <= w <= {problem['open']}"]
    text += ["Binary"] + [" " + b for b in binaries]
    return "\n".join(text + ["End", ""])


def solve_model(args):
    """The least longest open time within the limits, None when there is no
    plan, False when the solver gave up; and the seconds it took."""
    problem, first, last = args
    tasks, after, opens, closes = part_of(problem, first, last)
    with tempfile.TemporaryDirectory() as folder:
        model, out = os.path.join(folder, "m.lp"), os.path.join(folder, "m.sol")
        with open(model, "w") as file:
            file.write(write_model(problem, tasks, after, opens, closes))
        began = time.monotonic()
        done = subprocess.run(["glpsol", "--lp", model, "--tmlim", "20", "-w", out],
                              capture_output=True, text=True)
        took = time.monotonic() - began
        if not os.path.exists(out) or "TIME LIMIT" in done.stdout:
            return False, took
        status, value = None, None
        with open(out) as file:
            for line in file:
                if line.startswith("s "):
                    status, value = line.split()[-2], line.split()[-1]
    if status in ("n", "i") or (status == "u" and "NO PRIMAL FEASIBLE" in done.stdout) \
            or "HAS NO" in done.stdout:
        return None, took
    return (round(float(value)) if status == "o" else False), took


def possible(problem, first, last):
    return all(j["parent"] < last for j in problem["joins"][first:last - 1])


def runs_of(problem):
    count = len(problem["joins"])
    return [(a, b) for a in range(count) for b in range(a + 1, count + 1) if possible(problem, a, b)]


def best_cut(problem, answers):
    """(stages, margin in thousandths) by trying every way to cut, or None."""
    count, best = len(problem["joins"]), None
    for marks in itertools.product([0, 1], repeat=count - 1):
        ends = [i + 1 for i, m in enumerate(marks) if m] + [count]
        runs = list(zip([0] + ends[:-1], ends))
        if any(r not in answers or answers[r] is None for r in runs):
            continue
        margin = min((problem["open"] - answers[r]) * 1000 // problem["open"] for r in runs)
        if best is None or (len(runs), -margin) < (best[0], -best[1]):
            best = (len(runs), margin)
    return best


def as_text(problem):
    words = [problem[k] for k in ("people", "open", "closed", "pot", "clamp")] + [len(problem["joins"])]
    for j in problem["joins"]:
        words += [j["parent"], j["hands"], j["bring"], int(j["pressure"]), j["clamp"],
                  len(j["spreads"])] + j["spreads"]
    return " ".join(map(str, words)) + "\n"


def compare_stage(ours, answer):
    fits, proven, open_s = ours[:3]
    if answer is None:
        return fits == 0
    return fits == 1 and proven == 1 and open_s == answer


def compare_order(ours, problem, answers):
    failing, stages, margin = ours[3:6]
    best = best_cut(problem, answers)
    if best is None:
        return failing > 0
    return failing == 0 and (stages, margin) == best


def main():
    if shutil.which("glpsol") is None:
        print("glpsol is missing: apt-get install glpk-utils\n0 passed, 1 failed")
        return 1
    rng = random.Random(20240229)
    problems = [random_problem(rng, rng.choice([1, 2, 2, 3]), 5) for _ in range(STAGES)]
    orders = [random_problem(rng, rng.choice([3, 4]), 5) for _ in range(ORDERS)]
    done = subprocess.run([os.path.join(sys.argv[1], "bench/plan")], check=True, text=True,
                          capture_output=True, input="".join(map(as_text, problems + orders)))
    ours = [list(map(int, line.split())) for line in done.stdout.splitlines()]
    asked = [(p, 0, len(p["joins"])) for p in problems]
    asked += [(p, a, b) for p in orders for a, b in runs_of(p)]
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        solved = list(pool.map(solve_model, asked))
    passed = failed = unknown = 0
    none = 0
    for i, problem in enumerate(problems):
        answer = solved[i][0]
        if answer is False:
            unknown += 1
            continue
        none += answer is None
        good = compare_stage(ours[i], answer)
        passed, failed = passed + good, failed + (not good)
        if not good:
            print("FAILED stage:", as_text(problem).strip(), "| ours", ours[i][:3], "model", answer)
    by_order = {}
    for (problem, a, b), (answer, _) in zip(asked[STAGES:], solved[STAGES:]):
        by_order.setdefault(id(problem), {})[(a, b)] = answer
    for i, problem in enumerate(orders):
        answers = by_order[id(problem)]
        if any(a is False for a in answers.values()):
            unknown += 1
            continue
        good = compare_order(ours[STAGES + i], problem, answers)
        passed, failed = passed + good, failed + (not good)
        if not good:
            print("FAILED order:", as_text(problem).strip(), "| ours", ours[STAGES + i][3:6], "model",
                  best_cut(problem, answers))
    ours_s = sum(o[7] for o in ours) / 1e6
    model_s = sum(took for _, took in solved)
    print(f"{len(asked)} models in {model_s:.1f} s, {none} of {STAGES} stages without a plan, "
          f"{unknown} left open by the solver; ours {ours_s * 1000:.1f} ms, "
          f"ratio ours : model = 1 : {model_s / max(ours_s, 1e-6):.0f}")
    if unknown > (STAGES + ORDERS) // 20:
        failed += 1
    print(f"{passed} passed, {failed} failed")
    return failed != 0


sys.exit(main())
