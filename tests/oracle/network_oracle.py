"""Compares the network room with python3-networkx on random systems.

usage: network_oracle.py [BUILD [COUNT]]

BUILD is the build folder.  Every solution is put into every
constraint; every cycle is walked and added up again; whether there is a
solution, the bounds from node 0, and the size and sum of the smallest cycle
are worked out here by other means.  Ends with `N passed, M failed`.
"""
import os
import random
import subprocess
import sys

import networkx

FAR = 1 << 61
TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))


def random_system(rng, number):
    """Every third system is built round a hidden solution; others are free.
    Some systems have equalities (opposite arcs) and parallel arcs."""
    n = rng.randint(1, 7) if number % 2 else rng.randint(5, 40)
    m = rng.randint(0, 3 * n)
    big = rng.choice((5, 100, 10 ** 9, 10 ** 15))
    hidden = [rng.randint(-big, big) for _ in range(n)] if number % 3 == 0 else None
    arcs = []
    for _ in range(m):
        i, j = rng.randrange(n), rng.randrange(n)
        if hidden:
            w = hidden[j] - hidden[i] + rng.choice((0, 0, rng.randint(0, big)))
            arcs.append((i, j, w))
            if rng.random() < 0.3:
                arcs.append((j, i, hidden[i] - hidden[j] + rng.choice((0, 1))))
        else:
            arcs.append((i, j, rng.randint(-big // 2, big)))
    return n, arcs


def graph_of(n, arcs):
    """The tightest arc of each pair, and a source that reaches all."""
    graph = networkx.DiGraph()
    graph.add_nodes_from(range(n))
    for i, j, w in arcs:
        if not graph.has_edge(i, j) or graph[i][j]["weight"] > w:
            graph.add_edge(i, j, weight=w)
    for v in range(n):
        graph.add_edge("source", v, weight=0)
    return graph


def distances(n, arcs, root):
    """Shortest distances from root by plain repetition."""
    dist = [None] * n
    dist[root] = 0
    for _ in range(n):
        for i, j, w in arcs:
            if dist[i] is not None and (dist[j] is None or dist[i] + w < dist[j]):
                dist[j] = dist[i] + w
    return dist


def smallest_cycle(n, arcs):
    """(size, sum) of the smallest negative cycle: least sums of closed walks
    of 1, 2, 3 ... arcs by matrix products, no pruning."""
    none = None
    one = [[none] * n for _ in range(n)]
    for i, j, w in arcs:
        if one[i][j] is none or w < one[i][j]:
            one[i][j] = w
    power = one
    for size in range(1, n + 1):
        closed = [power[v][v] for v in range(n) if power[v][v] is not none]
        if closed and min(closed) < 0:
            return size, min(closed)
        after = [[none] * n for _ in range(n)]
        for i in range(n):
            for k in range(n):
                if power[i][k] is none:
                    continue
                for j in range(n):
                    if one[k][j] is none:
                        continue
                    total = power[i][k] + one[k][j]
                    if after[i][j] is none or total < after[i][j]:
                        after[i][j] = total
        power = after
    return None


def cycle_fault(arcs, total, cycle):
    """What is wrong with a reported cycle, or None."""
    if not cycle:
        return "empty cycle"
    if any(c < 0 or c >= len(arcs) for c in cycle):
        return "constraint that is not in the input"
    for one, after in zip(cycle, cycle[1:] + cycle[:1]):
        if arcs[one][1] != arcs[after][0]:
            return "cycle that does not join up"
    starts = [arcs[c][0] for c in cycle]
    if len(set(starts)) != len(starts):
        return "cycle that passes a node twice"
    if starts[0] != min(starts):
        return "cycle that does not start at its lowest node"
    if sum(arcs[c][2] for c in cycle) != total:
        return "sum that is not the sum of the cycle"
    if total >= 0:
        return "cycle that is not negative"
    return None


def solution_fault(n, arcs, lines):
    if not lines or lines[0][0] != "solution":
        return "no solution where there is one"
    x = lines[0][1]
    if len(x) != n or any(x[j] - x[i] > w for i, j, w in arcs):
        return "solution that breaks a constraint"
    graph = graph_of(n, arcs)
    expect = networkx.single_source_bellman_ford_path_length(graph, "source")
    if x != [expect[v] for v in range(n)]:
        return "solution that is not the largest at or below 0"
    most = distances(n, arcs, 0)
    least = distances(n, [(j, i, w) for i, j, w in arcs], 0)
    ranges = []
    for v in range(n):
        ranges.append(-FAR if least[v] is None else -least[v])
        ranges.append(FAR if most[v] is None else most[v])
    if lines[1] != ("range", ranges):
        return "wrong bounds from node 0"
    return None


def failure_fault(n, arcs, lines):
    if not lines or lines[0][0] != "cycle":
        return "a solution where there is none"
    if lines[1][0] != "smallest" or lines[1][1][1] != 1:
        return "no proof of the smallest cycle"
    used = set()
    for word, numbers in lines:
        cycle = numbers[2:] if word == "smallest" else numbers[1:]
        fault = cycle_fault(arcs, numbers[0], cycle)
        if fault:
            return word + ": " + fault
        if word == "apart":
            if used & set(cycle):
                return "cycles that share a constraint"
            used |= set(cycle)
    aparts = [numbers for word, numbers in lines if word == "apart"]
    if not aparts:
        return "no list of cycles apart"
    if len(aparts) < 5:
        rest = [arc for k, arc in enumerate(arcs) if k not in used]
        if networkx.negative_edge_cycle(graph_of(n, rest)):
            return "a negative cycle left out of the list"
    if n <= 20:
        numbers = lines[1][1]
        if (len(numbers) - 2, numbers[0]) != smallest_cycle(n, arcs):
            return "smallest cycle that is not the smallest"
    return None


def fault_of(n, arcs, lines):
    if networkx.negative_edge_cycle(graph_of(n, arcs)):
        return failure_fault(n, arcs, lines)
    return solution_fault(n, arcs, lines)


def answers(text):
    """The lines of each system, as (word, numbers)."""
    lines = []
    for line in text.splitlines():
        word, *numbers = line.split()
        if word == "end":
            yield lines
            lines = []
        else:
            lines.append((word, [int(v) for v in numbers]))


def main():
    build = sys.argv[1] if len(sys.argv) > 1 else os.path.join(TOP, "build")
    program = os.path.abspath(os.path.join(build, "bench/netsolve"))
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 10000
    rng = random.Random(20117)
    systems = [random_system(rng, k) for k in range(count)]
    text = "".join(
        "%d %d\n" % (n, len(arcs)) + "".join("%d %d %d\n" % arc for arc in arcs)
        for n, arcs in systems)
    run = subprocess.run([program], input=text, capture_output=True, text=True)
    results = list(answers(run.stdout))
    passed = failed = bad = 0
    for number, (n, arcs) in enumerate(systems):
        lines = results[number] if number < len(results) else []
        fault = fault_of(n, arcs, lines)
        bad += bool(lines) and lines[0][0] == "cycle"
        if fault:
            failed += 1
            print("system %d: %s" % (number, fault))
        else:
            passed += 1
    if run.returncode != 0:
        failed += 1
        print("the program ended with status %d: %s" % (run.returncode, run.stderr.strip()))
    print("%d systems, %d without a solution" % (count, bad))
    print("%d passed, %d failed" % (passed, failed))
    return 1 if failed or passed == 0 else 0


if __name__ == "__main__":
    sys.exit(main())
