"""The README of the demonstration season, with the table of planted cases made from the same tags."""

EXPECTED = {  # what is planted, and what a reader of the exports should say
    "above-expected": ("oil (all readings) or oleic above the expected range", "one finding per value"),
    "basis-assumed": ("headings of one file state no basis", "one per column of that file"),
    "below-expected": ("protein (all readings) or linoleic below the expected range", "one per value"),
    "below-limit": ("cell holds <0.05", "one per cell"),
    "calibration-mixed": (
        "the last readings of a trial under another calibration",
        "one for the trial and material",
    ),
    "cell-unreadable": ("letter O typed in a number", "one per cell"),
    "clock-set-back": ("the end of summer time within an export (own small file)", "one, at the step"),
    "control-action": ("a control 3.6 SD low in oil", "one, at the control reading's session"),
    "control-warning": ("a control 2.4 SD high in protein", "one, at the control reading's session"),
    "control-unjudged": ("a control without targets, read twice (own small file)", "one"),
    "cup-unchanged": ("the first pack of a packet is the seed of the packet before it", "both readings"),
    "decimal-doubtful": ("36,125 in a column that proves no decimal mark (damaged file)", "one for the column"),
    "date-doubtful": ("day and month cannot be told apart (own small file)", "one for the column"),
    "decision-unmatched": ("a decision about a sample that was never read", "one"),
    "file-refused": ("a note in place of an export (damaged file)", "one, and exit status 2"),
    "few-samples": (
        "a plot wet, dry, unread or read while the standard was off; LN-09 has none left",
        "one per line",
    ),
    "formula-uncomputed": ("a formula that was never computed in a workbook (damaged file)", "one, the cell is missing"),
    "grind-first": (
        "black seed read whole; not so where keep_whole or treated is set",
        "per reading or sample",
    ),
    "heading-repeated": ("two columns of oil that differ (damaged file)", "one, neither is used"),
    "heading-unknown": ('heading "Cup"', "one"),
    "id-altered": ("listed 11E04 became 1.10E+05", "one"),
    "id-blank": ("no ID", "one per reading"),
    "id-mistyped": ("two digits swapped in an ID with a check character (damaged file, own rules)", "one"),
    "id-reused": ("an ID read in August and again in October", "one for the sample"),
    "impossible-value": ("decimal point lost: over 100", "one, the value is not used"),
    "instrument-shared": (
        "two exports of one instrument name with readings seconds apart (own small files)",
        "one",
    ),
    "instruments-differ": (
        "12 peanut packets read on both benches, oil 0.9 higher on one",
        "one, peanut oil",
    ),
    "layout-doubtful": ("a row with two cells too few", "one note, the row is used"),
    "material-mismatch": (
        "listed whole, first read as ground; read again",
        "one, superseded by the next reading",
    ),
    "material-unknown": ("no material listed and an analysis that no rule knows", "one"),
    "moisture-absent": ("moisture cell empty where the basis is as-is", "one per value that needs it"),
    "moisture-dependence": (
        "10 packets read again after drying, oil 0.45 lower for each point of moisture; 6 more link the sessions",
        "one, soybean oil",
    ),
    "moisture-high": ("seed above 8 %; EH-114 dried and read again, which supersedes", "one per reading"),
    "moisture-impossible": ("moisture 104.2; the next pack is sound", "one, superseded"),
    "moisture-low": ("seed below 5 %; EP-226 followed by sound packs", "one per reading"),
    "outlier-in-line": ("a plot far from the other plots of its line", "one per sample and constituent"),
    "outside-calibration": ("calibration distance 4.71", "one per reading"),
    "own-check": ("protein and oil both high (damaged file, own rules)", "one"),
    "queue-shifted": (
        "a packet was passed over: eight packets' readings stand under the ID before theirs",
        "one per reading",
    ),
    "read-both-ways": ("read ground, and whole by mistake", "one, the ground readings stand"),
    "reading-changed": ("exported again with another fiber value", "one"),
    "reading-in-parts": ("one reading in two rows, each without a value of the other (damaged file)", "one"),
    "reading-renamed": ("one reading in two exports, under two IDs (damaged files)", "one per row"),
    "reading-repeated": (
        "eight readings exported again the next night",
        "one per repeated row, counted once",
    ),
    "readings-absent": ("an export with headings and no row (damaged file)", "one"),
    "share-differs": ("oleic acid as a share of the seed here, of the oil in another export (damaged files)", "one"),
    "repeats-confirm": (
        "an out-of-range value that its re-readings confirm",
        "one per sample and constituent",
    ),
    "repeats-disagree": ("one pack far from the others of its session", "one per sample and constituent"),
    "row-rejected": ("two cells beyond the heading, one filled", "one, not used"),
    "sample-unlisted": ("mistyped or altered IDs near listed ones", "one per sample"),
    "sample-unread": ("listed, never read", "one per sample"),
    "session-offset": ("a session 0.6 high in protein, linked by 12 re-read packets", "one"),
    "standard-absent": ("a session without a wavelength standard", "one for the session"),
    "standard-off": ("peak 0.71 nm off (review) and 1.32 nm off (exclude)", "one for each session"),
    "stuck-reading": ("all values equal to the reading before, under the next ID", "both readings"),
    "sum-off": ("fatty acids each within range, together 87.2", "one"),
    "text-repaired": ("one cell in another encoding (damaged file)", "one for the file"),
    "unit-doubtful": (
        "protein as a fraction under a heading without unit (own small file)",
        "one for the column",
    ),
}

SCENARIO = """# Demonstration season

**Everything here is invented**: lines, sites, people's initials, instruments, headings and every number. Any likeness
to a programme, an instrument or a variety is chance. `generate.py` makes all files anew, always with the same bytes
(Python 3, standard library only).

## Scenario
A seed laboratory reads the autumn 2026 harvest of a small programme on two instruments, *Bench East* and *Bench West*,
night after night. Every night starts with the polystyrene wavelength standard and a control sample.

| trial | seed | lines and checks | sites x reps | read |
|---|---|---|---|---|
| SB26-ELITE | soybean, whole | 60 + 3 | 3 x 2 | 3 packs each on Bench East, 5 nights |
| SB26-EARLY | soybean, ground | 64 + 3 | 3 x 2 | 2 packs each on Bench West, 4 nights and 3 mornings |
| PN26-MAIN | peanut kernels | 42 + 2, a third high-oleic | 3 x 2 | 2 packs each on Bench West |
| PN26-SMALL | peanut, ground | 18 + 2 | 2 x 2 | 2 packs each on Bench West |
| SB26-NURSERY | soybean, whole | 12 | 1 x 2 | 2 packs each |
| SB26-STORE | soybean remnant seed | 3, two packets each | - | in August |

| file | what it is |
|---|---|
| `exports/` | {exports} exports, {rows} rows: UTF-8, comma, decimal point |
| `samples.csv` | the sample list, {samples} packets |
| `rules.json` | what this season needs beyond the built-in rules |
| `reference.csv` | wet chemistry of 42 packets on dry basis, half in duplicate |
| `decisions.csv` | what a person settled; not used for the table below. What it keeps stays among the findings with `nothing to do: settled`; what it drops or renames raises other findings |
| `doubtful/` | exports that nobody can be sure about |
| `damaged/` | exports that something happened to, with rules of their own |
| `other-formats/` | one night saved with semicolons and decimal commas, and as UTF-16 with tabs |
| `planted.json` | the table below for programs |

Also in the season, without a finding of their own: two packets of one plot (EH-105 ER-212 PP-133, each with a packet
`...B`), blind duplicates (BD-7701 to BD-7703), a sample dried and read again (EH-114),
bases stated as as-is, dry and 13 %, sugars in g/kg, remarks with line breaks inside quotes, empty cells, test
and warm-up readings that the rules ignore, packets read again on another night or the other bench.

## Planted cases
Rows are physical lines of the file, the heading being line 1; a case about a session stands at the session's first
row, one about a file or column at line 1. Nothing else in the season should raise these codes.

| code | file | lines | sample | constituent | planted | expected |
|---|---|---|---|---|---|---|
"""


def text(season, exports, cases):
    out = SCENARIO.replace("{exports}", str(len(exports))).replace("{samples}", str(len(season.packets)))
    out = out.replace("{rows}", f"{sum(len(e.rows) for e in exports):,}")
    for code, entries in cases.items():
        planted, expected = EXPECTED[code]
        groups = {}
        for entry in entries:
            key = (entry["source"], entry["sample"] or entry["line"])
            groups.setdefault(key, ([], []))
            for kept, value in zip(groups[key], (str(entry["row"]), entry["constituent"])):
                if value and value not in kept:
                    kept.append(value)
        if len(groups) > 4 and len({source for source, _ in groups}) == 1:
            rows = [row for lines, _ in groups.values() for row in lines if row != "0"]
            names = "several" if rows else ", ".join(sample for _, sample in groups)
            groups = {(entries[0]["source"], names): ([f"{rows[0]} to {rows[-1]}"] if rows else [], [])}
        for (source, sample), (lines, constituents) in groups.items():
            out += (
                f"| `{code}` | {source} | {', '.join(lines)} | {sample} | {' '.join(constituents)} | {planted} | "
                f"{expected} |\n"
            )
            planted = expected = ""
    return out
