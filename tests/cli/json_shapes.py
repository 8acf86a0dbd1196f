#!/usr/bin/python3
"""The two JSON shapes against their schemas, and the order replayed.

usage: json_shapes.py PROGRAM

The replay knows the JSON only: every part ends up in one whole, each join
closes joints between its two sides, each joint closes once, a joint is spread
before it is brought together, nobody does two things at once, and each step
of a stage is done by its stop-by time."""
import glob
import json
import os
import subprocess
import sys

from jsonschema import Draft7Validator

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from tally import expect, total  # noqa: E402: the path is set above

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))


def run(program, *args):
    done = subprocess.run([program, *args], capture_output=True, text=True)
    return done.returncode, done.stdout


def validator(name):
    with open(os.path.join(TOP, "tests/schemas", name)) as file:
        schema = json.load(file)
    Draft7Validator.check_schema(schema)
    return Draft7Validator(schema)


def replay_joins(name, plan):
    joints = {j["mark"]: j for j in plan["marks"]["joints"]}
    group = {part: {part} for part in plan["marks"]["parts"]}
    closed = set()
    for stage in plan["stages"]:
        for join in stage["joins"]:
            moving, onto = set(join["moving"]), set(join["onto"])
            expect(not moving & onto, f"{name}: join {join['join']} has a part on both sides")
            expect(moving == set.union(*(group[p] for p in moving)) and
                   onto == set.union(*(group[p] for p in onto)),
                   f"{name}: join {join['join']} breaks an assembly")
            for mark in join["joints"]:
                ends = {joints[mark]["entering"], joints[mark]["receiving"]}
                expect(len(ends & moving) == 1 and len(ends & onto) == 1,
                       f"{name}: joint {mark} is not between the sides of join {join['join']}")
                expect(mark not in closed, f"{name}: joint {mark} closes twice")
                closed.add(mark)
            for part in moving | onto:
                group[part] = moving | onto
    expect(closed == set(joints), f"{name}: joints left open: {set(joints) - closed}")
    expect(all(len(g) == len(group) for g in group.values()), f"{name}: the piece is not whole")


def replay_stage(name, plan, stage, hands):
    joints = {j["mark"]: j for j in plan["marks"]["joints"]}
    brought = {s["join"]: s for s in stage["steps"] if s["action"] == "bring-together"}
    spread = {s["joint"]: s for s in stage["steps"] if s["action"] == "spread"}
    widest = 0
    for join in stage["joins"]:
        glued = [m for m in join["joints"] if joints[m]["glued"]]
        for mark in glued:
            expect(mark in spread, f"{name}: joint {mark} is glued and never spread")
            expect(spread[mark]["end_s"] <= brought[join["join"]]["start_s"],
                   f"{name}: joint {mark} is brought together before it is spread")
            widest = max(widest, brought[join["join"]]["end_s"] - spread[mark]["start_s"])
    expect(len(spread) == sum(joints[m]["glued"] for j in stage["joins"] for m in j["joints"]),
           f"{name}: something is spread that is not glued in stage {stage['stage']}")
    expect(widest == stage["wet_s"], f"{name}: wet time {stage['wet_s']}, replayed {widest}")
    expect(widest <= stage["limit_s"], f"{name}: open time is passed")
    for step in stage["steps"]:
        expect(step["stop_by_s"] is None or step["end_s"] <= step["stop_by_s"],
               f"{name}: a step ends after its stop-by time")
    for moment in {s["start_s"] for s in stage["steps"]}:
        busy = sum(s["hands"] for s in stage["steps"] if s["start_s"] <= moment < s["end_s"])
        expect(busy <= hands, f"{name}: {busy} people at {moment} s, there are {hands}")


def hands_of(path):
    import xml.etree.ElementTree as tree
    shop = tree.parse(path).getroot().find("{urn:gluewright:piece:1}shop")
    return int(shop.get("hands", "1")) if shop is not None else 1


def main():
    program = sys.argv[1]
    check, order = validator("check.schema.json"), validator("order.schema.json")
    pieces = sorted(glob.glob(os.path.join(TOP, "projects/*.xml")))
    expect(len(pieces) >= 4, "fewer than four pieces")
    for path in pieces:
        name = os.path.basename(path)
        status, text = run(program, "check", "--json", path)
        found = json.loads(text)
        expect(status == 0 and found["verdict"] == "mates", f"{name}: does not mate")
        expect(not list(check.iter_errors(found)), f"{name}: check --json has another shape")
        status, text = run(program, "order", "--json", path)
        plan = json.loads(text)
        errors = [e.message for e in order.iter_errors(plan)]
        expect(not errors, f"{name}: order --json has another shape: {errors[:2]}")
        replay_joins(name, plan)
        for stage in plan["stages"]:
            replay_stage(name, plan, stage, hands_of(path))
    for path in sorted(glob.glob(os.path.join(TOP, "tests/broken/*.xml"))):
        status, text = run(program, "check", "--json", path)
        if status != 1:
            continue
        found = json.loads(text)
        expect(found["verdict"] == "will-not-mate", f"{path}: verdict")
        expect(not list(check.iter_errors(found)), f"{path}: check --json has another shape")
    return total()


sys.exit(main())
