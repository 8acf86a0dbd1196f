#!/usr/bin/python3
"""The tables of a rehearsal, the hours, and the ways to win time.

usage: rehearse.py PROGRAM"""
import csv
import io
import json
import os
import re
import subprocess
import sys
import tempfile

from jsonschema import Draft7Validator

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from tally import expect, total  # noqa: E402: the path is set above

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
PIECES = ["projects/lantern-chest.xml", "projects/side-table.xml", "projects/study-bookcase.xml",
          "projects/pantry-door.xml", "tests/pieces/carcass-16.xml"]


def run(program, *args):
    done = subprocess.run([program, *args], capture_output=True, text=True, cwd=TOP)
    return done.returncode, done.stdout, done.stderr


def plan_of(program, *args):
    return json.loads(run(program, "order", "--json", *args)[1])


def steps_of(plan):
    return [s for stage in plan["stages"] for s in stage["steps"]]


def table_of(program, piece, folder):
    path = os.path.join(folder, "table.csv")
    status, _, err = run(program, "order", "--rehearse", "-o", path, piece)
    expect(status == 0, f"{piece}: --rehearse: {err}")
    with open(path, newline="") as file:
        return list(csv.DictReader(file)), path


def write_table(path, rows):
    with open(path, "w", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)


def rehearsal(program, piece, folder, schema):
    rows, path = table_of(program, piece, folder)
    plain = plan_of(program, piece)
    steps = steps_of(plain)
    expect([r["words"] for r in rows] == [s["words"] for s in steps], f"{piece}: a row for each step")
    expect(all(int(r["planned_s"]) == s["end_s"] - s["start_s"] for r, s in zip(rows, steps)),
           f"{piece}: planned seconds")
    expect(all(r["real_s"] == "" for r in rows), f"{piece}: blanks for the real ones")
    # An untouched table changes nothing.
    again = plan_of(program, "--times", path, piece)
    expect(again["stages"] == plain["stages"] and again["rehearsal"] == [], f"{piece}: an empty table")
    # Everything as planned: the same times, said to be rehearsed.
    for row in rows:
        row["real_s"] = row["planned_s"]
    write_table(path, rows)
    again = plan_of(program, "--times", path, piece)
    expect(not list(schema.iter_errors(again)), f"{piece}: the shape with a rehearsal")
    expect(len(again["stages"]) == len(plain["stages"]), f"{piece}: as planned, as many stages")
    expect(all(s["rate"] == "rehearsed" for s in steps_of(again)), f"{piece}: all are rehearsed")
    expect(all(r["planned_s"] == r["real_s"] for r in again["rehearsal"]), f"{piece}: planned is real")
    # Twice as fast: never more stages, and a larger margin.
    for row in rows:
        row["real_s"] = f"{max(1, int(row['planned_s']) // 2)} s"
    write_table(path, rows)
    fast = plan_of(program, "--times", path, piece)
    expect(len(fast["stages"]) <= len(plain["stages"]), f"{piece}: faster hands, no more stages")
    if len(fast["stages"]) == len(plain["stages"]):
        expect(fast["margin"] >= plain["margin"], f"{piece}: faster hands, no less margin")


def forms_of_time(program, folder):
    rows, path = table_of(program, PIECES[0], folder)
    for text, seconds in (("95", 95), ("95 s", 95), ("1:35", 95), ("94.6", 95), ("94,4", 94), ("0", 1)):
        rows[0]["real_s"] = text
        write_table(path, rows)
        found = plan_of(program, "--times", path, PIECES[0])["rehearsal"]
        expect([r["real_s"] for r in found] == [seconds], f"{text} is {seconds} s, not {found}")
    for text in ("soon", "1:5", "-3", "1:75", "5 min", "99999999"):
        rows[0]["real_s"] = text
        write_table(path, rows)
        status, _, err = run(program, "order", "--times", path, PIECES[0])
        expect(status == 2 and f"{path}:2:" in err, f"{text} is no time: {status} {err}")
    rows[0]["real_s"], rows[0]["number"] = "40", "77"
    write_table(path, rows)
    status, _, err = run(program, "order", "--times", path, PIECES[0])
    expect(status == 0 and f"{path}:2: the piece has no glued joint 77" in err, "an unknown joint is said")
    with open(path, "w") as file:
        file.write("a,b,c\n1,2,3\n")
    status, _, err = run(program, "order", "--times", path, PIECES[0])
    expect(status == 2 and "no columns" in err, "a table without the columns")
    expect(run(program, "order", "--times", path + ".nowhere", PIECES[0])[0] == 2, "no such table")


def minutes(words):
    """Minutes after the first midnight."""
    hour, minute, day = re.fullmatch(r"(\d+):(\d\d)(.*)", words).groups()
    days = 0 if not day else 1 if "after" in day else int(day.split()[1])
    return days * 1440 + int(hour) * 60 + int(minute)


def hours(program, piece, schema):
    plan = plan_of(program, "--start=22:30", piece)
    expect(not list(schema.iter_errors(plan)), f"{piece}: the shape with hours")
    for stage in plan["stages"]:
        began = minutes(stage["hours"]["begins"])
        expect(began == -(-(22 * 3600 + 30 * 60 + stage["begins_s"]) // 60), f"{piece}: begins")
        if stage["glue"] is None:
            continue
        end = 22 * 3600 + 1800 + stage["begins_s"] + stage["lead_s"] + stage["end_s"]
        expect(minutes(stage["hours"]["clamps_off"]) == -(-(end + stage["clamp_s"]) // 60),
               f"{piece}: clamps off")
        expect(minutes(stage["hours"]["cured"]) == -(-(end + stage["cure_s"]) // 60), f"{piece}: cured")
    text = run(program, "order", "--start=22:30", piece)[1]
    expect(text.count("Begins ") == len(plan["stages"]), f"{piece}: an hour for each stage")
    wet = [stage for stage in plan["stages"] if stage["glue"] is not None]
    clamped = sum(bool(stage["clamps"]) for stage in wet)
    expect((text.count("clamps off"), text.count("In clamps for")) == (clamped, clamped),
           f"{piece}: clamps only where there are some")
    expect((text.count("left alone till"), text.count("Leave it alone for")) ==
           (len(wet) - clamped,) * 2, f"{piece}: without clamps it is left alone")
    expect(run(program, "order", "--start=25:00", piece)[0] == 2, "25:00 is no hour")


def ways(program, piece, schema):
    plan = plan_of(program, "--ways", piece)
    expect(not list(schema.iter_errors(plan)), f"{piece}: the shape with ways")
    found = {w["way"]: w for w in plan["ways"]}
    expect("helper" in found and "cooler" in found, f"{piece}: ways {list(found)}")
    now = (plan["failing"], len(plan["stages"]), -plan["margin"])
    for way in plan["ways"]:
        better = way["failing"] < plan["failing"] or (way["failing"] == plan["failing"] and (
            way["stages"] < len(plan["stages"]) or way["margin"] > plan["margin"] or
            way["whole_s"] < plan["whole_s"]))
        expect(way["helps"] == better, f"{piece}: whether {way['way']} helps")
    helper = (found["helper"]["failing"], found["helper"]["stages"], -found["helper"]["margin"])
    expect(helper <= now, f"{piece}: a helper makes nothing worse")
    # The helper's answer is that of the project with one more pair of hands.
    with open(os.path.join(TOP, piece)) as file:
        text = file.read()
    count = int(re.search(r'hands="(\d+)"', text).group(1))
    with tempfile.NamedTemporaryFile("w", suffix=".xml") as file:
        file.write(text.replace(f'hands="{count}"', f'hands="{count + 1}"'))
        file.flush()
        other = plan_of(program, file.name)
    if [j["joints"] for s in other["stages"] for j in s["joins"]] == \
       [j["joints"] for s in plan["stages"] for j in s["joins"]]:
        expect((other["failing"], len(other["stages"]), -other["margin"]) == helper,
               f"{piece}: the helper's answer is that of the project with a helper")
    text = run(program, "order", "--ways", piece)[1]
    expect(all(w["words"] in text for w in plan["ways"]), f"{piece}: all ways in the text")


def own_rates(program):
    with open(os.path.join(TOP, PIECES[0])) as file:
        text = file.read()
    rate = '<rate action="spread" joint="through-dovetail" time="100 s"/><part id="front"'
    with tempfile.NamedTemporaryFile("w", suffix=".xml") as file:
        file.write(text.replace('<part id="front"', rate, 1))
        file.flush()
        plan = plan_of(program, file.name)
        words = run(program, "order", file.name)[1]
    expect(plan["rates"] == [{"action": "spread", "joint": "through-dovetail", "time_s": 100}], "rates")
    for step in steps_of(plan):
        own = step["action"] == "spread"
        expect(step["rate"] == ("own" if own else "typical"), f"rate of {step['words']}")
        if own:  # seven tails at 100 s for five
            expect(step["end_s"] - step["start_s"] == 140, f"seconds of {step['words']}")
    expect("Your own times: spread through dovetail 100 s" in words, "the text says which are own")
    expect(words.count("(your own time)") == 4, "and marks the steps")


def main():
    program = os.path.abspath(sys.argv[1])
    with open(os.path.join(TOP, "tests/schemas/order.schema.json")) as file:
        schema = Draft7Validator(json.load(file))
    with tempfile.TemporaryDirectory() as folder:
        for piece in PIECES:
            rehearsal(program, piece, folder, schema)
            hours(program, piece, schema)
            ways(program, piece, schema)
        forms_of_time(program, folder)
    own_rates(program)
    head = io.StringIO(run(program, "order", "-R", PIECES[0])[1]).readline().strip()
    expect(head == "stage,step,action,number,words,planned_s,real_s", f"head of the table: {head}")
    return total()


sys.exit(main())
