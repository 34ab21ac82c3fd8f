"""check.py THRESH FOLDER: reads every file that the programs saved, without an option, and compares with the truth.

Each file must give the 200 readings: the same IDs, times and the same doubles, with no finding that asks how the file
is meant. All of them given at once must count every reading once. What a file cannot tell (days up to 12 as text, a
text opened in another language) must be asked, and no value may come out that is not in the table.
"""
import collections
import glob
import json
import os
import subprocess
import sys

QUESTIONS = {"decimal-doubtful", "date-doubtful", "unit-doubtful", "layout-doubtful", "heading-unknown",
             "heading-repeated", "text-repaired", "formula-uncomputed", "cell-unreadable", "below-limit", "id-blank",
             "id-altered", "row-rejected", "file-refused", "reading-repeated", "reading-changed"}
thresh, folder = sys.argv[1:3]
failures = []


def table(command, *paths):
    done = subprocess.run([thresh, command, *paths, "--format", "json", "-q"] +
                          (["--as-read", "--digits", "full"] if command == "readings" else []),
                          capture_output=True, encoding="utf-8")
    if done.returncode not in (0, 1, 2) or not done.stdout:
        raise SystemExit(f"{command} {paths}: status {done.returncode}: {done.stderr[-500:]}")
    return json.loads(done.stdout)


def questions(path):
    return collections.Counter(f["code"] for f in table("findings", path) if f["code"] in QUESTIONS)


def minute(time):
    return (time or "").removesuffix(":00") if (time or "").count(":") == 2 else time or ""


def values(reading, names):
    return {name: reading.get(name + "_as_read") for name in names}


def fail(path, text):
    failures.append(path)
    print(f"FAILED {os.path.basename(path)}: {text}")


def differences(readings, truth):
    if len(readings) != len(truth):
        yield f"{len(readings)} readings"
    for got, want in zip(readings, truth):
        names = [name for name in want if name not in ("sample", "time")]
        if got["sample"] != want["sample"]:
            yield f"row {got['row']}: sample {got['sample']!r}, not {want['sample']!r}"
        if minute(got["time"]) != want["time"]:
            yield f"row {got['row']}: time {got['time']}, not {want['time']}"
        for name, value in values(got, names).items():
            if value != (None if want[name] is None else float(want[name])):
                yield f"row {got['row']}: {name} {value}, not {want[name]}"


def check_equal(path, truth):
    found = list(differences(table("readings", path), truth))
    asked = questions(path)
    # A text that is not UTF-8 is taken for Windows-1252, and that is told.
    told = {"text-repaired"} if path.endswith("-cp1252.csv") else set()
    if found or set(asked) != told:
        fail(path, f"{len(found)} differences, questions {dict(asked)}; " + "; ".join(found[:3]))


def check_doubtful_days(path, truth):
    readings, asked = table("readings", path), questions(path)
    if asked["date-doubtful"] == 0 or any(reading["time"] for reading in readings):
        fail(path, f"the days were not asked: {dict(asked)}, {readings[0]['time']}")
    for reading in readings:
        reading["time"] = None
    without_time = [{**want, "time": ""} for want in truth]
    found = list(differences(readings, without_time))
    if found or set(asked) != {"date-doubtful"}:
        fail(path, f"{len(found)} differences, questions {dict(asked)}; " + "; ".join(found[:3]))


def check_wrong_language(path, truth):
    """The office suite took `21.896` for 21 896 there; such a value must be marked or absent, never used."""
    wrong = unmarked = 0
    for got, want in zip(table("readings", path), truth):
        for name in [name for name in want if name not in ("sample", "time")]:
            used = got[name + "_as_read"]
            if used is not None and used != (want[name] and float(want[name])):
                wrong += 1
                unmarked += f"impossible-value:{name}" not in got["findings"]
    print(f"{os.path.basename(path)}: {wrong} values altered by the language, {unmarked} of them not marked")
    if unmarked:
        fail(path, "an altered value is used")


def check_refused(path, reason):
    done = subprocess.run([thresh, "readings", path], capture_output=True, encoding="utf-8")
    if done.returncode != 2 or reason not in done.stderr or "help: " not in done.stderr:
        fail(path, f"status {done.returncode}, not refused for `{reason}`: {done.stderr}")


def check_together(paths, truth):
    readings = table("readings", *paths)
    counts = collections.Counter(reading["kind"] for reading in readings)
    if counts != {"seed": len(truth), "repeated": len(truth) * (len(paths) - 1)}:
        fail("all files together", dict(counts))


def load(name):
    with open(os.path.join(folder, name), encoding="utf-8") as text:
        return json.load(text)


def found(*patterns):
    return sorted(path for pattern in patterns for path in glob.glob(os.path.join(folder, pattern)))


truth, small_days = load("truth.json"), load("small_days_truth.json")
right = [path for path in found("*.xlsx", "*.csv") if not os.path.basename(path).startswith(("small", "doubt", "wrong", "refused"))]
for path in right:
    check_equal(path, truth)
for path in found("small_days-*.xlsx"):
    check_equal(path, small_days)
for path in found("doubtful-en-US.csv", "doubtful-fr-FR.csv"):
    check_doubtful_days(path, small_days)
for path in found("doubtful-de-DE.csv"):  # points between the numbers stand for day, month, year
    check_equal(path, small_days)
for path in found("wrong-*.xlsx"):
    check_wrong_language(path, truth)
check_refused(os.path.join(folder, "refused-xls.xlsx"), "older .xls kind")
check_refused(os.path.join(folder, "refused-ods.xlsx"), "OpenDocument")
check_together(right, truth)
print(f"{len(right)} files of {len(truth)} readings compared, {len(failures)} failures")
sys.exit(1 if failures else 0)
