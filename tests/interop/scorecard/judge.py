"""Judges what `thresh` made of each variant: right, rightly questioned, refused without need, or silently wrong."""

import csv
import decimal
import io
import subprocess

from variants import NAMES, Variant

DOUBTS = {"decimal-doubtful", "date-doubtful", "unit-doubtful", "layout-doubtful", "heading-unknown"}
LOUD = {*DOUBTS, "cell-unreadable", "row-rejected", "file-refused"}
RIGHT, QUESTIONED, REFUSED, WRONG = "right", "rightly questioned", "refused without need", "silently wrong"


def table(thresh, command, folder, *options):
    done = subprocess.run(
        [thresh, command, folder, *options, "--format", "csv", "--digits", "full"], capture_output=True, encoding="utf-8"
    )
    if done.returncode not in (0, 1, 2):
        raise SystemExit(f"`{command}` ended with {done.returncode}: {done.stderr}")
    by_source = {}
    for row in csv.DictReader(io.StringIO(done.stdout)):
        by_source.setdefault(row["source"].rsplit("/", 1)[-1], []).append(row)
    return by_source


def same(name, have, want):
    if name in ("sample", "time"):
        return have == want
    try:
        return decimal.Decimal(have) == decimal.Decimal(want)
    except decimal.InvalidOperation:
        return False


def judge_cell(name, have, want, codes):
    """What happened to one cell, and a few words where it is not right."""
    if want is None:
        return (RIGHT, "") if have == "" else (WRONG, f"{name} {have} where nothing stood")
    if want == Variant.DOUBT:
        asked = {"time": "date-doubtful"}.get(name, "decimal-doubtful") in codes
        if have == "" and asked:
            return QUESTIONED, ""
        return WRONG, f"{name} {have or 'empty'}: undecidable, and not asked"
    if have == "":
        return (REFUSED if codes & LOUD else WRONG), f"{name} {want} lost"
    return (RIGHT, "") if same(name, have, want) else (WRONG, f"{name} {have} for {want}")


def judge(variant, rows, findings):
    codes = {finding["code"] for finding in findings}
    if "file-refused" in codes:
        return REFUSED, "file refused: " + next(f["message"] for f in findings if f["code"] == "file-refused")
    wanted = {row["sample"]: row for row in variant.wanted if row}
    seen, worst = {row["sample"]: row for row in rows}, (RIGHT, "")
    order = [RIGHT, QUESTIONED, REFUSED, WRONG]

    def tell(verdict):
        nonlocal worst
        worst = max(worst, verdict, key=lambda v: order.index(v[0]))

    for sample in seen:
        if sample not in wanted:
            tell((WRONG, f"a reading `{sample}` that is none"))
    for sample, want in wanted.items():
        row = seen.get(sample)
        if row is None:
            tell((REFUSED if codes & LOUD else WRONG, f"reading `{sample}` lost"))
            continue
        for name in NAMES:
            tell(judge_cell(name, row.get(name + "_as_read", row.get(name, "")) or "", want[name], codes))
    if len(rows) != len(seen):
        tell((WRONG, "a reading twice"))
    if None in variant.wanted:
        tell((QUESTIONED, "") if "row-rejected" in codes else (WRONG, "a row with too many cells passed"))
    return worst


def score(thresh, folder, variants):
    """Writes the variants into the folder, reads it in one go, and gives verdict and reason of each."""
    for variant in variants:
        (folder / f"{variant.number:05d}.csv").write_bytes(variant.bytes)
    rows = table(thresh, "readings", str(folder), "--as-read")
    findings = table(thresh, "findings", str(folder))
    return [
        judge(variant, rows.get(f"{variant.number:05d}.csv", []), findings.get(f"{variant.number:05d}.csv", []))
        for variant in variants
    ]
