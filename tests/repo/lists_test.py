"""docs/lists.md names every column of sample lists, decisions and reference files with every heading, and no other.

lists_test.py --update writes the columns of headings anew from the tables of src/batch; what a column is for is written
by hand.
"""
import re
import sys

from repo import finish, root, text_of

page = "docs/lists.md"
tables = {"sample list": ("src/batch/list_headings.cpp", "sample_list_headings"),
          "decisions file": ("src/batch/list_headings.cpp", "decision_headings"),
          "reference results": ("src/batch/reference.cpp", "reference_headings")}


def headings_of(path, function):
    """{column: headings} in the order of the table that the function holds."""
    body = re.search(rf"{function}\(\) \{{.*?kHeadings = \{{\n(.*?)\n    \}};", text_of(path), flags=re.S)[1]
    found = {}
    for name, rest in re.findall(r'\{"([^"]+)",\s*\{(.*?)\}\}', body, flags=re.S):
        found[name] = re.findall(r'"([^"]*)"', rest)
    return found


lines = text_of(page).split("\n")
problems, checked, written = [], 0, {}
kind = None
for number, line in enumerate(lines):
    if line.startswith("## "):
        kind = line.removeprefix("## The ").strip()
    row = re.match(r"\| `(\w+)` \| (.*) \| (.*) \|$", line)
    if not row or kind not in tables:
        continue
    name, what, shown = row.groups()
    written.setdefault(kind, []).append(name)
    known = headings_of(*tables[kind])
    if name not in known:
        problems.append(f"{page}:{number + 1}: the {kind} has no column {name}")
        continue
    checked += 1
    wanted = ", ".join(known[name])
    if shown != wanted:
        problems.append(f"{page}:{number + 1}: the headings of {name} are {wanted}")
    lines[number] = f"| `{name}` | {what} | {wanted} |"
for kind, table in tables.items():
    for name in headings_of(*table):
        if name not in written.get(kind, []):
            problems.append(f"{page}: the column {name} of the {kind} is missing")
if "--update" in sys.argv:
    (root / page).write_text("\n".join(lines), encoding="utf-8")
finish(problems, f"{page}: {checked} columns with their headings")
