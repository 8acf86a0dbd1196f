#!/usr/bin/python3
"""Parts lists in, tables out.

usage: lists.py PROGRAM"""
import csv
import glob
import io
import json
import os
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as tree

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from tally import expect, total  # noqa: E402: the path is set above

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
SPACE = "{urn:gluewright:piece:1}"


def run(program, *args, given=None):
    done = subprocess.run([program, *args], capture_output=True, check=False, input=given)
    return done.returncode, done.stdout.decode(), done.stderr.decode()


def from_list(program, text, *options):
    data = text if isinstance(text, bytes) else text.encode()
    return run(program, "new", "--from-list=-", *options, given=data)


def parts_of(xml):
    return [dict(p.attrib) for p in tree.fromstring(xml.encode()).iter(SPACE + "part")]


def valid(xml, folder, schema):
    path = os.path.join(folder, "list.xml")
    with open(path, "w", encoding="utf-8") as file:
        file.write(xml)
    return path, subprocess.run(["xmllint", "--noout", "--schema", schema, path],
                                capture_output=True, check=False).returncode == 0


def good_lists(program, folder, schema):
    plain = ("id,name,length,width,thickness,material,count\n"
             "front,\"Front, upper\",412.5,180,20,\"oak, white\",1\n\n"
             ",Side <&> \"left\",1 3/8in,16 mm,20,,2\n"
             ",Side,300,16,20,,1\n")
    status, xml, err = from_list(program, plain)
    if not expect(status == 0 and not err, f"a plain list: {status} {err}"):
        return
    path, is_valid = valid(xml, folder, schema)
    expect(is_valid, f"a plain list gives a file against the schema:\n{xml}")
    got = parts_of(xml)
    expect([p["id"] for p in got] == ["front", "side-left-1", "side-left-2", "side"], f"ids: {got}")
    expect(got[0]["name"] == "Front, upper" and got[0]["length"] == "412.5" and
           got[0]["material"] == "oak, white", f"fields: {got[0]}")
    expect(got[1]["name"] == 'Side <&> "left" 1' and got[2]["like"] == "side-left-1" and
           got[1]["length"] == "1 3/8in", f"several of one kind: {got[1:3]}")
    status, _, err = run(program, "check", path)
    codes = set(re.findall(r"error: .*\[([a-z-]+)\]", err))
    expect(status == 1 and codes <= {"part-alone", "not-connected"} and codes,
           f"check asks for joints and nothing else: {codes}")
    same = {"semicolons": plain.replace('"Front, upper"', "Front; upper").replace(",", ";"),
            "a mark in front": "\ufeff" + plain, "line ends of other systems": plain.replace("\n", "\r\n"),
            "other columns": plain.replace("id,", "price,id,").replace("front,", "9,front,", 1)
            .replace("\n,", "\n8,,")}
    same["semicolons"] = ("id;name;length;width;thickness;material;count\n"
                          "front;\"Front, upper\";412,5;180;20;oak, white;1\n"
                          ";\"Side <&> \"\"left\"\"\";1 3/8in;16 mm;20;;2\n;Side;300;16;20;;1\n")
    same["tabs"] = same["semicolons"].replace(";", "\t")
    for what, text in same.items():
        status, other, err = from_list(program, text)
        expect(status == 0 and parts_of(other) == got, f"{what}: {err}\n{other}")
    status, xml, _ = from_list(program, "Name,Length,Width,THICKNESS\nÄ家,\"16 1/4\",3,1\n9 to 5,2,2,1\n",
                               "--units=in")
    got = parts_of(xml)
    expect(status == 0 and tree.fromstring(xml.encode()).get("units") == "in" and
           [p["id"] for p in got] == ["part", "p-9-to-5"], f"inches, and names that are no ids: {got}")
    expect(valid(xml, folder, schema)[1], "names that are no ids: against the schema")
    many = "name,length,width,thickness,count\n" + "Leg,700,40,40,999\n" + "Leg,700,40,40,5\n"
    status, xml, _ = from_list(program, many)
    ids = [p["id"] for p in parts_of(xml)]
    expect(status == 0 and len(ids) == len(set(ids)) == 1004, "many of one name")
    expect(valid(xml, folder, schema)[1], "many of one name: against the schema")


def bad_lists(program):
    head = "id,name,length,width,thickness,count\n"
    for what, text, words in [
            ("nothing", "", "empty"), ("no parts", head, "no parts"),
            ("no sizes", "id,name,length,width\na,b,1,2\n", "thickness"),
            ("no names", "length,width,thickness\n1,2,3\n", "id or name"),
            ("no length", head + "a,A,ten,2,3,1\n", "line 2: length \"ten\""),
            ("nought", head + "\na,A,0,2,3,1\n", "line 3: length"),
            ("too long", head + "a,A,1000001,2,3,1\n", "line 2: length"),
            ("a count", head + "a,A,1,2,3,two\n", "line 2: count"),
            ("too many", head + "a,A,1,2,3,1000\n", "line 2: count"),
            ("an id twice", head + "a,A,1,2,3,1\na,B,1,2,3,1\n", "line 3: the id a stands on line 2"),
            ("an open quotation", head + "a,\"A,1,2,3,1\n", "quotation"),
            ("a long name", head + "a," + "A" * 81 + ",1,2,3,1\n", "line 2: name"),
            ("a row too short", head + "a,A,1\n", "line 2: width"),
            ("Latin-1", (head + "a,\xc4,1,2,3,1\n").encode("latin-1"), "UTF-8"),
            ("no text", b"PK\x03\x04\0\0\0", "text")]:
        status, out, err = from_list(program, text)
        expect(status == 2 and not out and words in err, f"{what}: {status} {out!r} {err!r}")
    status, out, err = run(program, "new", "--from-list=nowhere.csv")
    expect(status == 2 and not out and "nowhere.csv" in err, f"a list that is not there: {status} {err}")
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "there.xml")
        status, _, _ = from_list(program, head + "a,A,ten,2,3,1\n", "-o", path)
        expect(status == 2 and not os.path.exists(path), "a bad list leaves no file")
        status, _, _ = from_list(program, head + "a,A,10,2,3,1\n", "-o", path)
        expect(status == 0 and os.path.exists(path), "a good list leaves one")
        status, _, _ = from_list(program, head + "a,A,10,2,3,1\n", "-o", path)
        expect(status == 2, "no file is written over")


def tables(program, folder, schema):
    for path in sorted(glob.glob(os.path.join(TOP, "projects/*.xml"))):
        name = os.path.basename(path)
        if name == "chest-of-drawers.xml":
            continue  # takes long, shows nothing else
        status, out, _ = run(program, "list", path)
        expect(status == 0, f"{name}: {status}")
        found = [list(csv.DictReader(io.StringIO(t))) for t in out.split("\n\n")]
        if not expect(len(found) == 3, f"{name}: three tables"):
            continue
        parts, joints, order = found
        plan = json.loads(run(program, "order", "--json", path)[1])
        expect({p["id"]: p["mark"] for p in parts} == plan["marks"]["parts"], f"{name}: marks")
        expect([j["mark"] for j in joints] == [j["mark"] for j in plan["marks"]["joints"]],
               f"{name}: joints")
        expect([j["bar"] == "yes" for j in joints] == [j["bar"] for j in plan["marks"]["joints"]],
               f"{name}: bars")
        steps = [(s["stage"], t) for s in plan["stages"] for t in s["steps"]]
        expect([(int(r["stage"]), int(r["start"]), int(r["end"]), r["done by"], r["words"])
                for r in order] ==
               [(n, t["start_s"], t["end_s"],
                 "" if t["stop_by_s"] is None else str(t["stop_by_s"]), t["words"])
                for n, t in steps], f"{name}: order")
        for table, rows in zip(("parts", "joints", "order"), found):
            one = run(program, "list", f"--table={table}", path)[1]
            expect(list(csv.DictReader(io.StringIO(one))) == rows, f"{name}: table {table}")
        units = tree.parse(path).getroot().get("units", "mm")
        status, xml, err = from_list(program, out.split("\n\n")[0] + "\n", f"--units={units}")
        expect(status == 0 and len(parts_of(xml)) >= len(parts) and valid(xml, folder, schema)[1],
               f"{name}: its own table is a parts list: {err}")
    path = os.path.join(TOP, "projects/lantern-chest.xml")
    into = os.path.join(folder, "tables")
    status, out, _ = run(program, "list", path, "-o", into)
    expect(status == 0 and not out and sorted(os.listdir(into)) ==
           ["joints.csv", "order.csv", "parts.csv"], "tables into a folder")
    expect(run(program, "list", "--table=legs", path)[0] == 2, "a table that is not there")
    broken = os.path.join(TOP, "tests/broken/chest--loop-open.xml")
    expect(run(program, "list", broken)[0] == 1, "a piece that does not mate")


def main():
    program = os.path.abspath(sys.argv[1])
    with tempfile.TemporaryDirectory() as folder:
        schema = os.path.join(folder, "piece.xsd")
        expect(run(program, "schema", "-o", schema)[0] == 0, "the schema")
        good_lists(program, folder, schema)
        bad_lists(program)
        tables(program, folder, schema)
    return total()


sys.exit(main())
