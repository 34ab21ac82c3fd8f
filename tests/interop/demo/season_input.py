"""The independent computation, part 1: exports, sample list and rules of the demo season as plain records.

Written from the contract of the files alone, never from the program's source. It understands the headings that the
demo season uses and stops at any other, so that nothing is left out silently.
"""

import csv
import json
import pathlib
import re
from decimal import Decimal, InvalidOperation
from fnmatch import fnmatchcase

# Plain heading (unit, share and basis cut off) -> meaning.
FACTS = {
    "sample id": "sample",
    "packet id": "sample",
    "probe": "sample",
    "date time": "time",
    "read at": "time",
    "datum zeit": "time",
    "analysis": "analysis",
    "product": "analysis",
    "produkt": "analysis",
    "instrument": "instrument",
    "gerät": "instrument",
    "operator": "operator",
    "user": "operator",
    "bediener": "operator",
    "calibration": "calibration",
    "calibration version": "calibration",
    "kalibration": "calibration",
}
CONSTITUENTS = {
    "moisture": "moisture",
    "feuchte": "moisture",
    "protein": "protein",
    "crude protein": "protein",
    "oil": "oil",
    "crude oil": "oil",
    "öl": "oil",
    "ash": "ash",
    "fiber": "fiber",
    "sucrose": "sucrose",
    "saccharose": "sucrose",
    "raffinose": "raffinose",
    "stachyose": "stachyose",
    "lysine": "lysine",
    "methionine": "methionine",
    "cysteine": "cysteine",
    "threonine": "threonine",
    "tryptophan": "tryptophan",
    "palmitic": "palmitic",
    "stearic": "stearic",
    "oleic": "oleic",
    "linoleic": "linoleic",
    "linolenic": "linolenic",
    "c16:0": "palmitic",
    "c18:0": "stearic",
    "c18:1": "oleic",
    "c18:2": "linoleic",
    "c18:3": "linolenic",
    "c20:0": "arachidic",
    "c20:1": "gondoic",
    "c22:0": "behenic",
    "c24:0": "lignoceric",
    "peak": "peak",
    "polystyrene peak": "peak",
    "wellenlänge": "peak",
    "calibration distance": "calibration_distance",
}
OF_OIL = {
    "palmitic",
    "stearic",
    "oleic",
    "linoleic",
    "linolenic",
    "arachidic",
    "gondoic",
    "behenic",
    "lignoceric",
}
INSTRUMENT_FACTS = {"peak", "calibration_distance"}
UNITS = {"%": 0, "g/kg": 1, "mg/g": 1, "nm": 0}


class Column:
    def __init__(self, name, fact=False, basis=None, shift=0):
        self.name, self.fact, self.basis, self.shift = name, fact, basis, shift

    def converts(self):
        return self.name != "moisture" and self.name not in OF_OIL and self.name not in INSTRUMENT_FACTS


class Reading:
    """A row of an export. `values`: constituent -> Decimal; `missing` cells are not in it."""

    def __init__(self, source, row):
        self.source, self.row = source, row
        self.facts, self.values, self.basis, self.bad = {}, {}, {}, {}
        self.kind = "seed"
        self.levels = []  # levels of findings about the reading, its sample and its session
        self.fault = False  # a measurement fault that a later clean reading can supersede
        self.outranked = False  # by a reading of the same sample in another presentation
        self.lost = set()  # constituents whose value is excluded
        self.verdict = None
        self.material = self.session = None

    def fact(self, name):
        return self.facts.get(name, "")

    def key(self):
        return tuple(self.fact(name) for name in ("time", "instrument", "sample", "analysis"))


def matches(pattern, text):
    return fnmatchcase(text.casefold(), pattern.casefold())


def read_rules(path):
    """JSON with // comments; none of the demo's strings holds two slashes."""
    text = pathlib.Path(path).read_text(encoding="utf-8")
    return json.loads(re.sub(r"//[^\n]*", "", text))


def understand(heading, rules):
    """Heading -> Column, or None when it is to be left out. Unknown headings are returned as a fact of that name."""
    columns = rules.get("columns", {})
    if any(matches(p, heading) for p in columns.get("ignore", [])):
        return None
    for name, rule in columns.items():
        if name != "ignore" and any(matches(p, heading) for p in rule["headings"]):
            return Column(name, basis=rule.get("basis"))
    text, basis, shift = heading, None, 0
    for pattern, found in (
        (r"% of oil", None),
        (r"as[- ]is", "as-is"),
        (r"\bDM\b", "dry"),
        (r"(\d+)% mb", "fixed"),
    ):
        hit = re.search(pattern, text)
        if hit:
            basis = hit.group(1) if found == "fixed" else found
            text = text.replace(hit.group(0), " ")
    for unit, digits in UNITS.items():
        if re.search(r"(^|[\s\[(])" + re.escape(unit) + r"($|[\s\])])", text):
            shift = digits
            text = text.replace(unit, " ")
    plain = re.sub(r"[\s()\[\]]+", " ", text).strip().casefold()
    if plain in FACTS:
        return Column(FACTS[plain], fact=True)
    if plain in CONSTITUENTS:
        return Column(CONSTITUENTS[plain], basis=basis, shift=shift)
    return Column("unknown: " + heading, fact=True)


def records(path):
    """(physical line where the record starts, cells) of a comma-separated file; blank records are left out."""
    with open(path, encoding="utf-8", newline="") as file:
        reader = csv.reader(file)
        start = 1
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield start, cells
            start = reader.line_num + 1


def read_export(path, source, rules):
    """(readings, rejected physical lines, unknown headings) of one export."""
    rows = records(path)
    _, headings = next(rows)
    columns = [understand(h, rules) for h in headings]
    readings, rejected = [], []
    for line, cells in rows:
        if any(cell.strip() for cell in cells[len(headings) :]):
            rejected.append(line)
            continue
        reading = Reading(source, line)
        for column, cell in zip(columns, cells):
            if column is None:
                continue
            cell = cell.strip()
            if column.fact:
                reading.facts[column.name] = cell
            elif cell:
                reading.basis[column.name] = column.basis or "as-is"
                try:
                    reading.values[column.name] = Decimal(cell).scaleb(-column.shift)
                except InvalidOperation:
                    reading.bad[column.name] = cell
        readings.append(reading)
    return readings, rejected, [c.name for c in columns if c and c.name.startswith("unknown: ")]


def read_exports(folder, rules, name="exports"):
    """Readings of every export in canonical order (source bytewise, row), and rejected lines by source."""
    readings, rejected = [], {}
    for path in sorted(pathlib.Path(folder).glob("*.csv"), key=lambda p: p.name.encode()):
        source = f"{name}/{path.name}"
        some, refused, _ = read_export(path, source, rules)
        readings += some
        rejected[source] = refused
    return readings, rejected


def read_list(path):
    """sample -> row of the sample list, in file order."""
    with open(path, encoding="utf-8", newline="") as file:
        return {row["sample"]: row for row in csv.DictReader(file)}
