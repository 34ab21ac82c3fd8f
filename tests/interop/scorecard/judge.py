"""Judges what `thresh` made of each variant: right, rightly questioned, refused or questioned without need, or silently
wrong."""

import copy
import csv
import decimal
import io
import subprocess

from variants import NAMES, Variant

# Findings that must be there when the variant asks for them, and must not otherwise.
ASKED = {"decimal-doubtful", "date-doubtful", "unit-doubtful", "row-rejected", "cell-unreadable"}
LOUD_ROW = {"row-rejected", "file-refused"}
LOUD_CELL = {"decimal-doubtful", "unit-doubtful", "cell-unreadable"}
RIGHT, QUESTIONED, REFUSED, WRONG = "right", "rightly questioned", "refused without need", "silently wrong"
# Kept apart in the reasons, counted as REFUSED: a question that the file answers.
NEEDLESS = "asked without need"


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
        loud = {"date-doubtful"} if name == "time" else LOUD_CELL
        return (REFUSED if codes & loud else WRONG), f"{name} {want} lost"
    return (RIGHT, "") if same(name, have, want) else (WRONG, f"{name} {have} for {want}")


def judge(variant, rows, findings):
    codes = {finding["code"] for finding in findings}
    if "file-refused" in codes:
        return REFUSED, "file refused: " + next(f["message"] for f in findings if f["code"] == "file-refused")
    needless = {f["code"] for f in findings if f["code"] in ASKED and f["severity"] == "review"} - variant.asked
    wanted = {row["sample"]: row for row in variant.wanted if row}
    seen, worst = {row["sample"]: row for row in rows}, (RIGHT, "")
    order = [RIGHT, QUESTIONED, REFUSED, WRONG]

    def tell(verdict):
        nonlocal worst
        worst = max(worst, verdict, key=lambda v: order.index(v[0]))

    for code in sorted(needless):
        tell((REFUSED, f"{NEEDLESS}: {code}"))
    for finding in findings:
        if finding["code"] == "basis-assumed" and finding["constituent"] != "moisture":
            tell((WRONG, f"the stated basis of {finding['constituent']} was lost"))
    for sample in seen:
        if sample not in wanted:
            tell((WRONG, f"a reading `{sample}` that is none"))
    for sample, want in wanted.items():
        row = seen.get(sample)
        if row is None:
            tell((REFUSED if codes & LOUD_ROW else WRONG, f"reading `{sample}` lost"))
            continue
        for name in NAMES:
            tell(judge_cell(name, row.get(name + "_as_read", row.get(name, "")) or "", want[name], codes))
    if len(rows) != len(seen):
        tell((WRONG, "a reading twice"))
    if None in variant.wanted:
        tell((QUESTIONED, "") if "row-rejected" in codes else (WRONG, "a row with too many cells passed"))
    return worst


def score(thresh, folder, variants):
    """Writes the variants into the folder, reads it in one go; verdict and reason of each, and the proof of the judge."""
    for variant in variants:
        (folder / f"{variant.number:05d}.csv").write_bytes(variant.bytes)
    rows = table(thresh, "readings", str(folder), "--as-read")
    findings = table(thresh, "findings", str(folder))
    verdicts = [
        judge(variant, rows.get(f"{variant.number:05d}.csv", []), findings.get(f"{variant.number:05d}.csv", []))
        for variant in variants
    ]
    return verdicts, prove(variants[:500], verdicts, rows, findings)


def tampered(variant):
    """Copies of the expectation with one thing changed each; `judge` must call every one silently wrong."""
    first = variant.wanted[0]
    for name, value in (("protein", "1.23"), ("time", "1999-01-01T00:00:00"), ("sample", "nobody"), ("moisture", None)):
        yield name, [{**first, name: value}, *variant.wanted[1:]]
    yield "a row more than there is", [*variant.wanted, {**first, "sample": "somebody else"}]
    yield "a row less", variant.wanted[1:]
    yield "a question that nobody asked", [{**first, "oil": Variant.DOUBT}, *variant.wanted[1:]]


def prove(variants, verdicts, rows, findings):
    """What the judge lets pass although the expectation was made wrong: must be empty."""
    passed = []
    for variant, verdict in zip(variants, verdicts):
        if verdict[0] != RIGHT:
            continue
        for what, wanted in tampered(variant):
            liar = copy.copy(variant)
            liar.wanted = wanted
            name = f"{variant.number:05d}.csv"
            if judge(liar, rows.get(name, []), findings.get(name, []))[0] != WRONG:
                passed.append(f"{name}: {what}")
    return passed
