#!/usr/bin/python3
"""The other forms of what the program knows: the schema as RELAX NG, the manual
pages, completions, the lists in the READMEs.  They must say the same.

usage: forms.py PROGRAM"""
import glob
import os
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as tree

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from tally import expect, run, total  # noqa: E402: the path is set above

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
XS = "{http://www.w3.org/2001/XMLSchema}"


def judged_by_jing(schema, files):
    """The files that jing refuses: it names the file of each complaint."""
    bad = {f for f in files if run("xmllint", "--noout", f)[0] != 0}  # jing ends at such a file
    _, out, err = run("jing", schema, *[f for f in files if f not in bad])
    return bad | {f for f in files if f + ":" in out or f + ":" in err}


def judged_by_xmllint(option, schema, files):
    _, _, err = run("xmllint", "--noout", option, schema, *files)
    good = {m for m in re.findall(r"^(.*) validates$", err, re.M)}
    return {f for f in files if f not in good}


MADE = {  # small files that try one rule each
    "empty-list": '<first parts=""/>', "unknown": '<nail/>', "nested": '<part id="a"><part id="b"/></part>',
    "two-shops": "<shop/><shop/>", "blank-words": '<part id="a" name=" "/>',
    "time": '<glue id="g" kind="pva" open=""/>', "time-2": '<glue id="g" kind="pva" open="1 h 30 min"/>',
    "fraction": '<part id="a" length="16 1/4in"/>', "inch-mark": "<part id='a' length='16\"'/>",
    "open": '<part id="a"><groove id="g" at="left" open="left none"/></part>',
    "open-2": '<part id="a"><groove id="g" at="left" open="left up"/></part>',
    "open-3": '<part id="a"><groove id="g" at="left" open="none"/></part>',
    "blanks": '<part id=" a " length=" 12  mm "/>', "degree": '<shop temperature="18.55"/>',
    "percent": '<shop humidity="101"/>', "percent-2": '<shop humidity="+7"/>',
    "slope": '<part id="a"><tail at="left" into="b/c" slope="1:8.25"/></part>',
    "half-without": '<part id="a"><tail at="left"/></part>',
    "group-half": '<group id="g"><slide at="left" into="a/b"/></group>',
    "group-half-2": '<group id="g"><slide at="left" part="x" into="a/b"/></group>',
    "id": '<part id="1a"/>', "id-2": '<part id="%s"/>' % ("a" * 41), "text": "words",
    "long-name": '<part id="a" name="%s"/>' % ("n" * 81),
}


def schemas(program, folder):
    xsd, rng = os.path.join(folder, "piece.xsd"), os.path.join(folder, "piece.rng")
    expect(run(program, "schema", "-o", xsd)[0] == 0, "schema")
    expect(run(program, "schema", "--relaxng", "-o", rng)[0] == 0, "schema --relaxng")
    files = sorted(glob.glob(os.path.join(TOP, "projects/*.xml")) +
                   glob.glob(os.path.join(TOP, "tests/broken/*.xml")) +
                   glob.glob(os.path.join(TOP, "tests/noted/*.xml")) +
                   glob.glob(os.path.join(TOP, "tests/codes/*.xml")))
    for name, inside in MADE.items():
        path = os.path.join(folder, name + ".xml")
        with open(path, "w", encoding="utf-8") as file:
            file.write('<piece xmlns="urn:gluewright:piece:1" version="1" name="X">'
                       f'{inside}</piece>')
        files.append(path)
    by_xsd = judged_by_xmllint("--schema", xsd, files)
    by_rng = judged_by_xmllint("--relaxng", rng, files)
    by_jing = judged_by_jing(rng, files)
    for path in files:
        name = os.path.relpath(path, TOP) if path.startswith(TOP) else os.path.basename(path)
        expect((path in by_xsd) == (path in by_jing) == (path in by_rng),
               f"{name}: W3C schema refuses: {path in by_xsd}; RELAX NG by jing: {path in by_jing}, "
               f"by xmllint: {path in by_rng}")
    projects = {f for f in files if "/projects/" in f}
    expect(projects and not projects & by_xsd, f"projects are refused: {projects & by_xsd}")
    refused = {os.path.basename(f) for f in by_xsd}
    expect("door--unknown-attribute.xml" in refused and "half-without.xml" in refused and
           len(refused) > 15, f"few files are refused: {refused}")
    return xsd


def documented(xsd):
    """Each element and attribute of the schema has words, and the page has them."""
    root = tree.parse(xsd).getroot()
    types = {t.get("name"): t for t in root.iter(XS + "complexType") if t.get("name")}
    words = {}
    for kind in ("element", "attribute"):
        for node in root.iter(XS + kind):
            here = node.find(f"{XS}annotation/{XS}documentation")
            if here is None and kind == "element":
                here = types[node.get("type")].find(f"{XS}annotation/{XS}documentation")
            expect(here is not None and len(here.text) > 3, f"{kind} {node.get('name')}: no words")
            words.setdefault(kind, set()).add(node.get("name"))
    return words


def pages(build, folder, words):
    one, five = os.path.join(TOP, "src/cli/man/gluewright.1"), os.path.join(build, "gluewright.5")
    for path in (one, five):
        _, out, err = run("mandoc", "-Tlint", "-Wstyle", path)
        said = [line for line in (out + err).splitlines() if "referenced manual not found" not in line]
        expect(not said, "\n".join(said[:10]))
    text = run("mandoc", "-Tutf8", five)[1]
    text = re.sub(".\b", "", text)
    for name in words["element"] | words["attribute"]:
        expect(re.search(r"(?<![\w-])%s(?![\w-])" % re.escape(name), text), f"gluewright(5): {name}")
    return re.sub(".\b", "", run("mandoc", "-Tascii", "-Owidth=300", one)[1])


def options(program, page):
    usage = run(program, "--help")[1]
    wanted = set(re.findall(r"--[a-z-]+", usage))
    expect(len(wanted) > 10, f"few options: {wanted}")
    with open(os.path.join(TOP, "src/cli/main.c"), encoding="utf-8") as file:
        source = file.read()
    known = {"--" + name for name in re.findall(r'\{"([a-z-]+)", (?:no|required|optional)_argument', source)}
    expect(known == wanted, f"--help differs from what is read: {known ^ wanted}")
    expect(set(re.findall(r"--[a-z-]+", page)) == wanted,
           f"gluewright(1) differs: {set(re.findall(r'--[a-z-]+', page)) ^ wanted}")
    commands = set(re.findall(r'\{"([a-z]+)", gw_cli_', source))
    for command in commands:
        expect(re.search(r"gluewright %s\b" % command, usage), f"--help: {command}")
        expect(re.search(r"^ +gluewright %s\b" % command, page, re.M), f"gluewright(1): {command}")
    for name in ("gluewright.bash", "_gluewright"):
        with open(os.path.join(TOP, "src/cli/completion", name), encoding="utf-8") as file:
            text = file.read()
        found = set(re.findall(r"--[a-z-]+", text))
        expect(found == wanted, f"{name} differs: {found ^ wanted}")
        for command in commands:
            expect(re.search(r"\b%s\b" % command, text), f"{name}: {command}")
    return commands, wanted


def complete(program, *words):
    """What bash offers for the last word."""
    script = (f"source {TOP}/src/cli/completion/gluewright.bash\n"
              "COMP_WORDS=(\"$@\"); COMP_CWORD=$(($# - 1)); _gluewright; "
              "printf '%s\\n' \"${COMPREPLY[@]}\"")
    done = subprocess.run(["bash", "-c", script, "bash", program, *words], text=True, check=False,
                          capture_output=True, cwd=os.path.join(TOP, "projects"))
    return set(done.stdout.split()), done.stderr


def shells(program, commands, wanted):
    for words, answer in [([""], commands), (["--"], wanted), (["ch"], {"check"}),
                          (["new", ""], {"box", "door", "table", "stool", "bookcase"}),
                          (["print", "--paper", "="], {"a4", "letter"}),
                          (["print", "-p", "l"], {"letter"}),
                          (["explain", "loop-o"], {"loop-open"}),
                          (["check", "lantern"], {"lantern-chest.xml"})]:
        got, err = complete(program, *words)
        expect(got == answer and not err, f"bash offers {got} for {words}: {err}")
    if expect(shutil.which("zsh"), "zsh is not there"):
        path = os.path.join(TOP, "src/cli/completion/_gluewright")
        status, _, err = run("zsh", "-n", path)
        expect(status == 0 and not err, f"zsh cannot read its completion: {err}")


def lists(build):
    """The README names every element of kinds.def and every kind of glue, the
    schema's words the latter too, projects/README.md every piece."""
    with open(os.path.join(TOP, "README.md"), encoding="utf-8") as file:
        readme = file.read()
    with open(os.path.join(TOP, "src/model/kinds.def"), encoding="utf-8") as file:
        table = re.sub(r"/\*.*?\*/", "", file.read(), flags=re.S)
    rows = [re.findall(r'"([^"]*)"', row) for row in table.split("KIND(")[1:]]
    expect(len(rows) > 10 and all(len(row) == 4 for row in rows), f"kinds.def: {rows}")
    for _, _, entering, receiving in rows:
        expect(re.search(f"^\\| .*`{entering}`.* \\| .*`{receiving}`", readme, re.M),
               f"README.md: {entering} goes into {receiving}")
    with open(os.path.join(TOP, "src/clock/glues.c"), encoding="utf-8") as file:
        glues = re.findall(r'\.name = "([a-z-]+)"', file.read())
    with open(os.path.join(build, "gluewright.xsd"), encoding="utf-8") as file:
        schema = file.read()
    expect(len(glues) > 5, f"glues.c: {glues}")
    for name in glues:
        expect(f"`{name}`" in readme, f"README.md: the glue {name}")
        expect(re.search(f"A generic kind: (?:[^<]* )?{name}[ ,<]", schema), f"piece.xsd.in: the glue {name}")
    with open(os.path.join(TOP, "projects/README.md"), encoding="utf-8") as file:
        shelf = file.read()
    for path in glob.glob(os.path.join(TOP, "projects/*.xml")):
        expect(f"**{os.path.basename(path)}**" in shelf, f"projects/README.md: {path}")


def main():
    program = os.path.abspath(sys.argv[1])
    lists(os.path.dirname(program))
    with tempfile.TemporaryDirectory() as folder:
        words = documented(schemas(program, folder))
        page = pages(os.path.dirname(program), folder, words)
        shells(program, *options(program, page))
    return total()


sys.exit(main())
