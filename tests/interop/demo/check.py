#!/usr/bin/env python3
"""Compares the program with the independent computation of the demo season.

    check.py THRESH_BINARY [DEMO_FOLDER]

Counts must be equal, means agree to 1e-12 relative, SD and SE to 1e-12 of their mean; the accounting must equal the
one counted here; each planted case must be found and nothing else of its kind. Exit status 1 with a list otherwise.
"""

import json
import pathlib
import sys
import tempfile
from collections import defaultdict

import independent
import planted_cases
import season_drift
from season_verdicts import EFFECTIVE
from thresh_output import Thresh

TOLERANCE = 1e-12  # relative; offsets 1e-12 percent points
HERE = pathlib.Path(__file__).resolve().parent


class Report:
    def __init__(self):
        self.wrong, self.compared = [], {}

    def equal(self, what, place, have, want):
        self.compared[what] = self.compared.get(what, 0) + 1
        if have != want:
            self.wrong.append(f"{what} {place}: thresh {have!r}, independent {want!r}")

    def close(self, what, place, have, want, scale):
        self.compared[what] = self.compared.get(what, 0) + 1
        if (have is None) != (want is None):
            self.wrong.append(f"{what} {place}: thresh {have!r}, independent {want!r}")
        elif want is not None and abs(have - want) > TOLERANCE * abs(scale):
            self.wrong.append(
                f"{what} {place}: thresh {have!r}, independent {want!r}, off {abs(have - want):.2e}"
            )


def text(value):
    return "" if value is None else str(value)


def check_accounting(report, own, accounting):
    for name, want in own["total"].items():
        report.equal("accounting", f"total {name}", accounting["total"].get(name), want)
    theirs = {file["source"]: file for file in accounting["files"]}
    report.equal("accounting", "files", sorted(theirs), sorted(file["source"] for file in own["files"]))
    for file in own["files"]:
        for name, want in file.items():
            report.equal(
                "accounting", f"{file['source']} {name}", theirs.get(file["source"], {}).get(name), want
            )


def check_readings(report, own, rows):
    """Every row with its kind and verdict, and each converted value that is not excluded."""
    theirs = {(row["source"], row["row"]): row for row in rows}
    report.equal("readings", "rows", len(rows), len(own))
    for r in own:
        place = f"{r.source}:{r.row}"
        row = theirs.get((r.source, r.row))
        if row is None:
            report.equal("readings", place, None, "a row")
            continue
        report.equal("readings", place + " kind", row["kind"], r.kind)
        report.equal("readings", place + " verdict", text(row["verdict"]), r.verdict or "")
        if r.kind == "seed":
            report.equal("readings", place + " material", text(row["material"]), r.material)
            values = independent.values_of(r)
            for name in independent.OWN + list(independent.DERIVED):
                want = values.get(name)
                report.close("values of readings", f"{place} {name}", row.get(name), want, want or 1)


def check_samples(report, own, rows):
    theirs = {(text(row["material"]), text(row["sample"])): row for row in rows if row["readings"]}
    report.equal("samples", "rows", len(theirs), len(own))
    for place, want in own.items():
        row = theirs.get(place)
        if row is None:
            report.equal("samples", place, None, "a row")
            continue
        for name in ("readings", "readings_used"):
            report.equal("samples", f"{place} {name}", row[name], want[name])
        for name in independent.OWN + list(independent.DERIVED):
            mean, n = want["values"].get(name, (None, 0))
            report.equal("samples", f"{place} {name}_n", row.get(name + "_n") or 0, n)
            report.close("means of samples", f"{place} {name}", row.get(name), mean, mean or 1)


def check_lines(report, own, rows):
    theirs = {(text(row["material"]), text(row["trial"]), text(row["line"])): row for row in rows}
    report.equal("lines", "rows", len(rows), len(own))
    for place in sorted(set(theirs) - set(own)):
        report.equal("lines", place, "a row", None)
    for place, want in own.items():
        row = theirs.get(place)
        if row is None:
            report.equal("lines", place, None, "a row")
            continue
        for name in ("plots", "samples", "readings", "readings_used", "readings_review", "readings_excluded"):
            report.equal("lines", f"{place} {name}", row[name], want[name])
        for name in independent.OWN + list(independent.DERIVED) + ["oleic_linoleic"]:
            mean, sd, se, n = want["values"].get(name, (None, None, None, 0))
            report.close("means of lines", f"{place} {name}", row.get(name), mean, mean or 1)
            if name != "oleic_linoleic":
                report.equal("lines", f"{place} {name}_n", row.get(name + "_n") or 0, n)
                report.close("SD of lines", f"{place} {name}_sd", row.get(name + "_sd"), sd, mean or 1)
                report.close("SE of lines", f"{place} {name}_se", row.get(name + "_se"), se, mean or 1)


def check_drift(report, own, rows, planted):
    """Offsets of sessions, differences of instruments and slopes on moisture, in the table `drift`."""
    sessions = planted_cases.Sessions(own)
    off = {(sessions.of(case), case["constituent"]) for case in planted["session-offset"]}
    disagreeing = defaultdict(set)
    for case in planted["repeats-disagree"]:
        disagreeing[case["sample"]].add(case["constituent"])
    for reading in own:
        reading.disagrees = disagreeing.get(reading.fact("sample"), ())
    offsets = season_drift.session_offsets(own, off)
    labels = {}
    for row in rows:
        if row["kind"] == "session":
            labels[row["session"]] = sessions.by_time[row["instrument"], row["from"].replace("T", " ")[:16]]
    theirs = {
        (labels[row["session"]], row["material"], row["constituent"]): row
        for row in rows
        if row["kind"] == "session"
    }
    for place, (offset, links) in offsets.items():
        row = theirs[place]
        report.equal("drift", f"{place} links", row["links"], links)
        if row["state"] != "not estimable":
            report.close("offsets", place, row["offset"], offset, 1)
        report.equal("drift", f"{place} is off", row["state"] == "offset", (place[0], place[2]) in off)
    for place, row in theirs.items():
        if place not in offsets:
            report.equal("drift", f"{place} state", row["state"], "not estimable")
    pairs = season_drift.instrument_differences(own, off)
    theirs = {
        (row["against"], row["instrument"], row["material"], row["constituent"]): row
        for row in rows
        if row["kind"] == "instruments"
    }
    report.equal("drift", "pairs of instruments", sorted(theirs), sorted(pairs))
    for place, (difference, samples) in pairs.items():
        report.equal("drift", f"{place} samples", theirs[place]["links"], samples)
        report.close("offsets", place, theirs[place]["offset"], difference, 1)
    slopes = season_drift.moisture_slopes(own, offsets, off)
    theirs = {
        (row["instrument"], row["material"], row["constituent"]): row
        for row in rows
        if row["kind"] == "moisture"
    }
    report.equal("drift", "slopes on moisture", sorted(theirs), sorted(slopes))
    for place, (slope, samples) in slopes.items():
        report.equal("drift", f"{place} samples", theirs[place]["links"], samples)
        report.close("offsets", place, theirs[place]["offset"], slope, 1)


def check_planted(report, thresh, demo, codes, readings, short_lines):
    planted = json.loads((demo / "planted.json").read_text(encoding="utf-8"))
    # The demo list is sound; a list with two lines on a plot is tests/cli/findings/plot-shared.
    planted["plot-shared"] = []
    known = {code for code in planted if thresh.knows(code)}
    if codes == EFFECTIVE:
        report.equal("planted", "few-samples", sorted(c["line"] for c in planted["few-samples"]), short_lines)
    # How many plots a line has left depends on the rules in force.
    planted["few-samples"] = [{"source": "", "row": None, "line": line} for line in short_lines]
    sessions = planted_cases.Sessions(readings)
    runs = {
        "": {},
        "decisions": {"more": ("--decisions", "decisions.csv")},
        "doubtful": {"exports": ("doubtful",)},
        "damaged": {"exports": ("damaged",)},
    }
    for where, how in runs.items():
        findings = thresh.table("findings", *how.get("more", ()), exports=how.get("exports", ("exports",)))
        report.wrong += planted_cases.compare(planted, findings, known, sessions, where)
    report.compared["planted codes"] = len(known)
    # Every code of the program is planted somewhere.
    report.equal("planted", "codes without a case", sorted(set(thresh.codes()) - known), [])
    return sorted(set(planted) - known)


def main():
    binary = pathlib.Path(sys.argv[1]).resolve()
    demo = pathlib.Path(sys.argv[2] if len(sys.argv) > 2 else HERE / "../../../demo-data").resolve()
    thresh, report = Thresh(binary, demo), Report()
    codes = {code for code in EFFECTIVE if thresh.knows(code)}
    own = independent.compute(demo, codes)
    with tempfile.TemporaryDirectory() as folder:
        thresh.season("run", "--into", folder + "/results")
        run = json.loads(pathlib.Path(folder, "results/run.json").read_text(encoding="utf-8"))
    check_accounting(report, own["accounting"], run["accounting"])
    check_readings(report, own["readings"], thresh.table("readings"))
    check_samples(report, own["samples"], thresh.table("samples"))
    check_lines(report, own["lines"], thresh.table("lines"))
    planted = json.loads((demo / "planted.json").read_text(encoding="utf-8"))
    check_drift(report, own["readings"], thresh.table("drift"), planted)
    unknown = check_planted(report, thresh, demo, codes, own["readings"], own["short_lines"])
    print("compared: " + ", ".join(f"{count} {what}" for what, count in report.compared.items()))
    if unknown:
        print("planted, but not known to this thresh: " + " ".join(unknown))
    for line in report.wrong:
        print("DIFFERS " + line)
    return 1 if report.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
