"""compare.py OURS THEIRS WHO: two dumps of one book; prints what differs and ends with 1 when anything does.

Cells that only one side has differ too, except where the other reader by design has none: error cells (readxl)
and formulas without a stored result (both).
"""
import sys


def read(path):
    cells = {}
    with open(path, encoding="utf-8", newline="\n") as lines:
        for line in lines:
            sheet, place, kind, text = line.rstrip("\n").split("\t", 3)
            cells[sheet, place] = (kind, text)
    return cells


def seconds(text):
    """Our calendar text in the one form that the others print."""
    day, _, time = text.partition("T") if "T" in text or "-" in text else ("", "", text)
    time = (time or "00:00").split(".")[0]
    time += ":00" if time.count(":") == 1 else ""
    return f"{day}T{time}" if day else time


def same(ours, theirs, who):
    (kind, text), (other_kind, other) = ours, theirs
    if kind == "number" and other_kind == "number":
        return float(text) == float(other)
    if kind == "date" and other_kind == "date":
        text = seconds(text)
        # A time of day: readxl puts it on the day before the first.
        return text == other or (who == "readxl" and "-" not in text and other == "1899-12-31T" + text)
    # openpyxl takes [h]:mm for a length of time, and so would a reader of the sheet; it is no point in time.
    return (kind, text) == (other_kind, other) or (kind == "date" and other_kind == "elapsed")


ours, theirs, who = read(sys.argv[1]), read(sys.argv[2]), sys.argv[3]
differences = []
for place in sorted(ours.keys() | theirs.keys()):
    mine, other = ours.get(place), theirs.get(place)
    if mine and not other and (mine[0] == "uncomputed" or (mine[0] == "error" and who == "readxl")):
        continue
    if not mine or not other or not same(mine, other, who):
        differences.append((place, mine, other))
for place, mine, other in differences[:10]:
    print(f"   {place}: ours {mine}, {who} {other}")
if len(differences) > 10:
    print(f"   and {len(differences) - 10} more")
sys.exit(1 if differences else 0)
