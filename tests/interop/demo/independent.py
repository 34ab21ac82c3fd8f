#!/usr/bin/env python3
"""An independent computation of the demo season: accounting, `samples` and `lines`, from the contract alone.

    independent.py DEMO_FOLDER [CODE...]     prints the results as JSON; CODEs are the findings in force (all)

Plain Python, no library beyond the standard one, and no line taken from the program under test.
"""

import json
import math
import pathlib
import sys
from collections import defaultdict

from season_input import read_exports, read_list, read_rules
from season_verdicts import EFFECTIVE, converted, judge

KINDS = (
    "use",
    "review",
    "exclude",
    "superseded",
    "standard",
    "control",
    "repeated",
    "ignored",
    "outside_selection",
    "rejected",
    "not_a_reading",
)
BASIS = {"soybean": "13", "peanut": "dry"}
OWN = (
    "moisture protein oil ash fiber sucrose raffinose stachyose lysine methionine cysteine threonine tryptophan "
    "palmitic stearic oleic linoleic linolenic arachidic gondoic behenic lignoceric"
).split()
# Derived traits: (needed, taken when present, function of a dict of converted inputs and percent dry matter).
IODINE = {"palmitoleic": 0.950, "oleic": 0.860, "linoleic": 1.732, "linolenic": 2.616, "gondoic": 0.785}
DERIVED = {
    "protein_plus_oil": (("protein", "oil"), (), lambda v, solids: v["protein"] + v["oil"]),
    "saturates": (
        ("palmitic", "stearic"),
        ("arachidic", "behenic", "lignoceric"),
        lambda v, s: sum(v.values()),
    ),
    "monounsaturates": (("oleic",), ("gondoic",), lambda v, s: sum(v.values())),
    "polyunsaturates": (("linoleic", "linolenic"), (), lambda v, s: sum(v.values())),
    "iodine_value": (
        ("oleic", "linoleic", "linolenic"),
        ("gondoic",),
        lambda v, s: sum(IODINE[name] * value for name, value in v.items()),
    ),
    "raffinose_family": (("raffinose", "stachyose"), (), lambda v, s: sum(v.values())),
    "critical_amino_acids": (
        ("lysine", "cysteine", "methionine", "threonine", "tryptophan"),
        (),
        lambda v, s: sum(v.values()),
    ),
    "defatted_meal_protein": (
        ("protein", "oil"),
        (),
        lambda v, solids: v["protein"] * solids / (solids - v["oil"]),
    ),
}


def wanted_basis(material):
    return BASIS.get(material.split("-")[0], "dry")


def values_of(reading):
    """Every constituent and derived trait of one reading on its material's basis."""
    basis = wanted_basis(reading.material)
    values = {name: converted(reading, name, basis) for name in OWN}
    values = {name: value for name, value in values.items() if value is not None}
    solids = 100.0 - (0.0 if basis == "dry" else float(basis))
    for name, (needed, optional, formula) in DERIVED.items():
        if all(n in values for n in needed):
            values[name] = formula({n: values[n] for n in needed + optional if n in values}, solids)
    return values


def mean(values):
    return sum(values) / len(values)


def spread(values):
    """SD with n - 1, and SE; None for a single value."""
    if len(values) < 2:
        return None, None
    centre = mean(values)
    sd = math.sqrt(sum((v - centre) ** 2 for v in values) / (len(values) - 1))
    return sd, sd / math.sqrt(len(values))


def accounting(readings, rejected):
    files = {source: dict.fromkeys(KINDS, 0) for source in rejected}
    for r in readings:
        files[r.source][r.verdict if r.kind == "seed" else r.kind] += 1
    for source, lines in rejected.items():
        files[source]["rejected"] = len(lines)
    for counts in files.values():
        counts["rows"] = sum(counts.values())
    total = {key: sum(counts[key] for counts in files.values()) for key in ("rows",) + KINDS}
    return {"total": total, "files": [{"source": source, **files[source]} for source in files]}


def sample_table(readings):
    """(material, sample) -> {"readings", "readings_used", constituent: (mean, n)}."""
    groups = defaultdict(list)
    for r in readings:
        if r.kind == "seed" and r.fact("sample"):
            groups[r.material, r.fact("sample")].append(r)
    table = {}
    for key, rows in groups.items():
        used = [values_of(r) for r in rows if r.verdict in ("use", "review")]
        row = {
            "readings": len(rows),
            "readings_used": len(used),
            "readings_review": sum(r.verdict == "review" for r in rows),
            "values": {},
        }
        for name in OWN + list(DERIVED):
            values = [v[name] for v in used if name in v]
            if values:
                row["values"][name] = (mean(values), len(values))
        row["outranked"] = any(r.outranked for r in rows)
        table[key] = row
    return table


def plot_key(sample, listed):
    """Where a sample grew; a duplicate belongs to its original, a sample without plot is its own."""
    row = listed[sample]
    if row["duplicate_of"]:
        return plot_key(row["duplicate_of"], listed)
    if not row["plot"]:
        return ("", "", "", "", sample)
    return tuple(row[name] for name in ("environment", "rep", "block", "plot")) + ("",)


def line_table(samples, listed):
    """(material, trial, line) -> counts and {constituent: (mean, sd, se, n)}."""
    members = defaultdict(list)
    for sample, row in listed.items():
        members[row["trial"], row["line"]].append(sample)
    read_as = defaultdict(set)
    for (material, sample), row in samples.items():
        if not row["outranked"]:  # it counts where the other presentation stands
            read_as[sample].add(material)
    table = {}
    for (trial, line), ids in members.items():
        materials = {listed[s]["material"] for s in ids if listed[s]["material"]}
        materials |= {m for s in ids for m in read_as[s]}
        for material in sorted(materials):
            table[material, trial, line] = _line(material, sorted(ids, key=str.encode), samples, listed)
    return table


def _line(material, ids, samples, listed):
    rows = {s: samples[material, s] for s in ids if not samples.get((material, s), {"outranked": True})["outranked"]}
    result = {
        "samples": len(rows),
        "plots": len({plot_key(s, listed) for s in rows}),
        "readings": sum(r["readings"] for r in rows.values()),
        "readings_used": sum(r["readings_used"] for r in rows.values()),
        "readings_review": sum(r["readings_review"] for r in rows.values()),
        "values": {},
    }
    result["readings_excluded"] = result["readings"] - result["readings_used"]
    result["check"] = any(listed[s]["check"] for s in ids)
    for name in OWN + list(DERIVED):
        plots = defaultdict(list)
        for sample, row in rows.items():
            if name in row["values"]:
                plots[plot_key(sample, listed)].append(row["values"][name][0])
        means = [mean(plots[key]) for key in sorted(plots)]
        if means:
            result["values"][name] = (mean(means), *spread(means), len(means))
    oleic, linoleic = result["values"].get("oleic"), result["values"].get("linoleic")
    if oleic and linoleic:
        result["values"]["oleic_linoleic"] = (oleic[0] / linoleic[0], None, None, None)
    return result


def short_lines(readings, listed):
    """Lines with fewer usable plots than two, or than the list promises, over all materials."""
    usable, promised = defaultdict(set), defaultdict(set)
    for sample, row in listed.items():
        promised[row["trial"], row["line"]].add(plot_key(sample, listed))
    for r in readings:
        row = listed.get(r.fact("sample"))
        if row and r.verdict in ("use", "review"):
            usable[row["trial"], row["line"]].add(plot_key(r.fact("sample"), listed))
    return sorted(
        line for (trial, line), plots in promised.items() if len(usable[trial, line]) < max(2, len(plots))
    )


def compute(demo, codes=frozenset(EFFECTIVE)):
    demo = pathlib.Path(demo)
    rules, listed = read_rules(demo / "rules.json"), read_list(demo / "samples.csv")
    readings, rejected = read_exports(demo / "exports", rules)
    planted = json.loads((demo / "planted.json").read_text(encoding="utf-8"))
    judge(readings, listed, rules, codes, planted)
    samples = sample_table(readings)
    return {
        "readings": readings,
        "accounting": accounting(readings, rejected),
        "samples": samples,
        "lines": line_table(samples, listed),
        "short_lines": short_lines(readings, listed),
    }


def main():
    result = compute(sys.argv[1], set(sys.argv[2:]) or EFFECTIVE)
    shown = {"accounting": result["accounting"]}
    for name in ("samples", "lines"):
        shown[name] = [{"key": key, **row} for key, row in sorted(result[name].items())]
    json.dump(shown, sys.stdout, indent=1)


if __name__ == "__main__":
    main()
