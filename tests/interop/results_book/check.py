"""check.py RESULTS READ READER...: compares what each reader saw in RESULTS/results.xlsx with the csv files of RESULTS."""
import csv
import datetime
import pathlib
import re
import sys

import openpyxl

results, read = map(pathlib.Path, sys.argv[1:3])
readers = sys.argv[3:]
csv.field_size_limit(1 << 24)
TABLES = {"Lines": "lines.csv", "Samples": "samples.csv", "Readings": "readings.csv", "To do": "todo.csv", "Drift": "drift.csv"}
failures = []


def fail(text):
    failures.append(text)
    if len(failures) <= 10:
        print(f"FAILED {results.name}: {text}")


def own_number(text):
    """What the workbook stores of a number of a csv file: 16 significant digits."""
    return float(f"{float(text):.16G}")


def is_number(text):
    return re.fullmatch(r"-?\d+(\.\d+)?(e[-+]?\d+)?", text) is not None


def text_of(text):
    return text[1:] if text[:2] in ("'=", "'@", "'+", "'-", "'\t", "'\r") or text.startswith("''") else text


def wanted_tables():
    """Rows of the csv files by sheet; of readings those that are flagged, found by verdict and marks of `samples` alone."""
    tables = {}
    for sheet, name in TABLES.items():
        with open(results / name, newline="", encoding="utf-8") as file:
            tables[sheet] = list(csv.DictReader(file))
    return tables


def as_time(text):
    return datetime.datetime.fromisoformat(text) if re.fullmatch(r"\d{4}-\d\d-\d\d(T\d\d:\d\d(:\d\d)?)?", text) else None


def same(seen, wanted):
    """Whether a cell as a reader gives it (number, text or time) is that of the csv file."""
    if isinstance(seen, datetime.datetime):
        time = as_time(wanted)
        return time is not None and abs(seen - time) < datetime.timedelta(milliseconds=2)
    if isinstance(seen, (int, float)) and not isinstance(seen, bool):
        return is_number(wanted) and float(seen) == own_number(wanted)
    if wanted == "":
        return re.fullmatch(r"[~×]-?\d+(\.\d+)?", seen) is not None  # a provisional mean, an excluded value
    return seen.replace("\n", " ") == text_of(wanted).replace("\r\n", "\n").replace("\n", " ")


class Cells:
    """Cells of the sheets as one reader saw them: {(sheet, row, column name): value}."""

    def __init__(self, who, whole=True):
        self.who, self.whole, self.cells = who, whole, {}


def from_openpyxl():
    found = Cells("openpyxl")
    book = openpyxl.load_workbook(results / "results.xlsx", read_only=True)
    for sheet in TABLES:
        rows = book[sheet].iter_rows(values_only=True)
        names = next(rows)
        for number, row in enumerate(rows, 1):
            for name, value in zip(names, row):
                if value is not None:
                    found.cells[sheet, number, name] = value
    return found


def lines_of(name):
    # str.splitlines would break at characters that IDs may hold
    return (read / name).read_text(encoding="utf-8").split("\n")[:-1]


def from_own():
    found = Cells("our own reader")
    names = {}
    for line in lines_of("own.tsv"):
        sheet, place, kind, text = line.split("\t", 3)
        if sheet not in TABLES:
            continue
        column, row = re.fullmatch(r"([A-Z]+)(\d+)", place).groups()
        text = re.sub(r"\\(x[0-9a-f]{2}|\\)", lambda m: "\\" if m[1] == "\\" else chr(int(m[1][1:], 16)), text)
        if row == "1":
            names[sheet, column] = text
        else:
            value = float(text) if kind == "number" else as_time(text) if kind == "date" else text
            found.cells[sheet, int(row) - 1, names[sheet, column]] = value
    return found


def from_r(who):
    found = Cells(who, whole=who == "readxl")
    for line in lines_of(f"{who}.tsv"):
        sheet, row, name, text = line.split("\t", 3)
        text = text.replace("\\\\", "\\")
        time = as_time(text[:19]) if re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}", text) else None
        value = time + datetime.timedelta(milliseconds=int(text[20:])) if time else float(text) if is_number(text) else text
        found.cells[sheet, int(row), name] = value
    return found


def from_office():
    found = Cells("the office suite")
    for sheet in TABLES:
        with open(read / "office" / f"results-{sheet}.csv", newline="", encoding="utf-8") as file:
            rows = csv.reader(file)
            names = next(rows)
            for number, row in enumerate(rows, 1):
                for name, text in zip(names, row):
                    if text != "":
                        found.cells[sheet, number, name] = text
    return found


def same_in_text(seen, wanted):
    """The office suite writes all as text."""
    if seen == text_of(wanted).replace("\r\n", "\n"):
        return True
    if is_number(wanted):
        # it prints 15 digits, of small numbers 20 decimals
        wanted_number = own_number(wanted)
        return is_number(seen.lower()) and abs(float(seen) - wanted_number) <= max(1e-14 * abs(wanted_number), 1e-19)
    if as_time(wanted):
        return seen.replace(" ", "T") == wanted
    return wanted == "" and seen[:1] in ("~", "×")


def same_in_r(value, wanted):
    """R has no type of its own for an ID that is all digits, and openxlsx leaves times as the days that they are stored as."""
    if not isinstance(value, float):
        return False
    time = as_time(wanted)
    if time is not None:
        return abs(value - (time - datetime.datetime(1899, 12, 30)) / datetime.timedelta(days=1)) < 1e-8
    return is_number(wanted.strip()) and float(wanted) == value


def same_to_15_digits(value, wanted):
    """Our own reader of exports takes 15 digits of a number, because that is what spreadsheets keep."""
    return isinstance(value, float) and is_number(wanted) and f"{value:.15G}" == f"{own_number(wanted):.15G}"


def compare(found, tables):
    compared = {}
    for sheet, rows in tables.items():
        seen_rows = max((row for name, row, _ in found.cells if name == sheet), default=0)
        if found.whole and seen_rows != len(rows):
            fail(f"{found.who}: {sheet} has {seen_rows} rows of {len(rows)}")
            continue
        count = 0
        for number, row in enumerate(rows, 1):
            for name, wanted in row.items():
                value = found.cells.get((sheet, number, name))
                if value is None:
                    if wanted != "" and found.whole:
                        fail(f"{found.who}: {sheet} row {number} {name}: nothing, not {wanted!r}")
                    continue
                good = same_in_text(value, wanted) if found.who == "the office suite" else same(value, wanted)
                if not good and found.who in ("readxl", "openxlsx"):
                    good = same_in_r(value, wanted)
                if not good and found.who == "our own reader":
                    good = same_to_15_digits(value, wanted)
                if not good:
                    fail(f"{found.who}: {sheet} row {number} {name}: {value!r}, not {wanted!r}")
                count += 1
        compared[sheet] = count
    print(f"{results.name}, {found.who}: " + ", ".join(f"{sheet} {count}" for sheet, count in compared.items()) + " cells")
    if found.whole and sum(map(len, tables.values())) > 0 and sum(compared.values()) == 0:
        fail(f"{found.who}: nothing compared")


def flagged_only(tables, found):
    """The sheet of readings: which rows they are is taken from source and row; all with a verdict of their own must be there."""
    keys = {}
    for (sheet, number, name), value in found.cells.items():
        if sheet == "Readings" and name in ("source", "row"):
            keys.setdefault(number, {})[name] = value
    shown = {(key["source"], int(key["row"])) for key in keys.values()}
    all_rows = tables["Readings"]
    for row in all_rows:
        if row["verdict"] in ("review", "exclude", "superseded") and (text_of(row["source"]), int(row["row"])) not in shown:
            fail(f"a reading of verdict {row['verdict']} is not among the flagged ones: {row['source']}:{row['row']}")
    tables["Readings"] = [row for row in all_rows if (text_of(row["source"]), int(row["row"])) in shown]
    if len(tables["Readings"]) != len(shown):
        fail("Readings holds a row that readings.csv does not")


tables = wanted_tables()
book = from_openpyxl()
flagged_only(tables, book)
compare(book, tables)
others = {"own": from_own, "readxl": lambda: from_r("readxl"), "openxlsx": lambda: from_r("openxlsx"), "office": from_office}
for reader in readers:
    compare(others[reader](), tables)
if len(failures) > 10:
    print(f"FAILED {results.name}: {len(failures)} in all")
sys.exit(1 if failures else 0)
