"""What stands beside the exports: sample list, wet chemistry, decisions, rules, and exports of other shapes."""

import json

from . import clocks, layouts, lists, nights, output
from .genetics import readings_of
from .readings import CONTROL_SD, CONTROLS


def sample_list(season):
    text = output.record(lists.COLUMNS)
    for packet in season.packets:
        text += output.record([packet.row[name] for name in lists.COLUMNS])
    return text


def reference(chance, season):
    """Wet chemistry on dry basis of 42 packets, half of them in duplicate."""
    text = output.record(
        [
            "sample",
            "protein (% DM)",
            "oil (% DM)",
            "moisture",
            "basis",
            "nitrogen_factor",
            "method",
            "replicate",
            "laboratory",
            "date",
        ]
    )
    chosen = []
    for trial, count in (("SB26-ELITE", 24), ("SB26-EARLY", 10), ("PN26-MAIN", 8)):
        packets = [p for p in season.packets if p.row["trial"] == trial and p.id not in nights.UNREAD]
        chosen += packets[7 :: len(packets) // count][:count]
    for number, packet in enumerate(chosen):
        for replicate in range(1, 2 + number % 2):
            protein = packet.truth["protein"] + chance.normal(0.0, 0.22)
            oil = packet.truth["oil"] + chance.normal(0.0, 0.25)
            moisture = packet.truth["moisture"] + chance.normal(0.0, 0.10)
            text += output.record(
                [
                    packet.id,
                    f"{protein:.2f}",
                    f"{oil:.2f}",
                    f"{moisture:.2f}",
                    "dry",
                    "6.25",
                    "combustion; solvent extraction",
                    str(replicate),
                    "wet laboratory",
                    f"2026-10-{20 + number % 5}",
                ]
            )
    return text


def rules():
    """Only what this season needs beyond the built-in rules."""
    controls = []
    for sample, (_, targets) in CONTROLS.items():
        inner = ", ".join(
            f'"{name}": {{ "target": {target}, "sd": {CONTROL_SD[name]:.2f}, "basis": '
            f'"{"as-is" if name == "moisture" else "dry"}" }}'
            for name, target in targets.items()
        )
        controls.append(f'    "{sample}": {{ "instrument": "*", {inner} }}')
    controls.append('    "CTRL-NEW": { "instrument": "*" }')
    return (
        """{
  // What the demonstration season needs beyond the built-in rules. The export heading "Cup" is left unmapped
  // on purpose: it shows what happens to a heading that nobody explained.
  "columns": {
    "ash": { "headings": ["Mineralstoffe*"], "part_of": "sample", "basis": "as-is" },
    "ignore": ["Remark*"]
  },
  "materials": {
    "soybean-whole":  { "when": { "analysis": "Soy, whole seed" }, "calibrated": { "distance": 3 } },
    "soybean-ground": { "when": { "analysis": "Soy, ground" } },
    "peanut-whole":   { "when": { "analysis": "Peanut kernel" } },
    "peanut-ground":  { "when": { "analysis": "Peanut, ground" } }
  },
  "standard": { "when": { "analysis": "Polystyrene*" } },
  "controls": {
"""
        + ",\n".join(controls)
        + """
  },
  "ignore": { "sample": ["test*", "warm*"] }
}
"""
    )


def decisions(exports):
    """What a person settled after looking: kept out of the planted cases, since a decision hides its finding."""
    by_name = {export.name: export for export in exports}
    disagreeing = by_name["exports/2026-10-07-east.csv"].of("ER-140")[1]
    blank = next(row for row in by_name["exports/2026-10-06-east.csv"].rows if row.sample() == "")
    rows = [
        [
            "ER-118",
            "",
            "protein",
            "below-expected",
            "keep",
            "",
            "three packs agree and combustion agrees",
            "MK",
        ],
        ["ER-140", disagreeing.facts["time"], "", "repeats-disagree", "drop", "", "cup was not full", "MK"],
        ["EP-2O7", "", "", "sample-unlisted", "rename", "EP-207", "letter O typed for zero", "TK"],
        ["", blank.facts["time"], "", "id-blank", "rename", "EH-230", "third pack of EH-230", "TK"],
        ["EH-999", "", "", "moisture-high", "keep", "", "belongs to another season", "TK"],
    ]
    text = output.record(
        ["sample", "time", "constituent", "code", "decision", "to", "reason", "initials", "date"]
    )
    for number, row in enumerate(rows):
        text += output.record(row + [f"2026-10-{14 + number}"])
    return text


def _short_lines(season):
    """Lines that lost a plot: wet, dry or unread seed, or the standard far off and no second reading."""
    late = nights.mornings(season)[2][6:]
    return {season.by_id[s].row["line"] for s in ("12E07", "11E09", "12E09", "GH-117", *nights.UNREAD, *late)}


def listed_cases(season):
    """Cases that stand in the list rather than in an export."""

    def case(sample, line, source="samples.csv"):
        row = next((n for n, p in enumerate(season.packets, start=2) if p.id == sample), 0)
        return {"source": source, "row": row, "sample": sample, "line": line, "constituent": ""}

    line_of = lambda sample: season.by_id[sample].row["line"]
    return {
        "sample-unread": [case(s, line_of(s)) for s in nights.UNREAD],
        "few-samples": [case("", line) for line in sorted(_short_lines(season))],
        "decision-unmatched": [
            {"source": "decisions.csv", "row": 6, "sample": "EH-999", "line": "", "constituent": ""}
        ],
    }


def doubtful(root, chance, season):
    """Two small exports that no program can be sure about; kept apart so that the season stays usable."""
    packets = [season.by_id[f"EH-{plot}"] for plot in range(130, 142)]
    dates, units = [], []
    for number, packet in enumerate(packets):
        values = readings_of(chance, packet.truth, 1)[0]
        moisture = round(values["moisture"], 2)
        layout = layouts.WHOLE_AS_IS
        protein, oil = (float(layout.cell(name, values[name], moisture)) for name in ("protein", "oil"))
        minute = f"{10 + number}:{(7 * number) % 60:02}"
        dates.append(
            [
                packet.id,
                f"0{4 + number // 6}/1{number % 2}/2026 {minute}",
                "Soy, whole seed",
                f"{moisture:.2f}",
                f"{protein:.2f}",
                f"{oil:.2f}",
            ]
        )
        units.append(
            [
                packet.id,
                f"2026-11-02 {minute}",
                "Soy, whole seed",
                f"{moisture:.2f}",
                f"{protein / 100:.4f}",
                f"{oil:.2f}",
            ]
        )
    headings = ["Sample ID", "Date time", "Analysis", "Moisture (%)", "Protein (% as-is)", "Oil (% as-is)"]
    # 04/10 to 05/11: fourth of October or tenth of April, nothing in the column tells.
    output.save(root / "doubtful/date-doubtful.csv", "".join(map(output.record, [headings] + dates)))
    output.save(
        root / "doubtful/unit-doubtful.csv",
        "".join(
            map(output.record, [[h.replace("Protein (% as-is)", "Protein as-is") for h in headings]] + units)
        ),
    )
    place = lambda name, constituent: [
        {"source": f"doubtful/{name}.csv", "row": 1, "sample": "", "line": "", "constituent": constituent}
    ]
    cases = {"date-doubtful": place("date-doubtful", ""), "unit-doubtful": place("unit-doubtful", "protein")}
    cases.update(clocks.write(root, packets))
    return cases


def other_formats(root, course):
    """The third night again, as two other spreadsheet programs save it; with preamble, units row and summary."""
    export = course.exports["2026-10-06-west"]
    rows = [output.cells_of(row) for row in export.rows]
    numeric = [f not in layouts.FACTS or f == "peak" for f in export.layout.fields]
    comma = [[c.replace(".", ",") if n else c for c, n in zip(row, numeric)] for row in rows]
    lines = [["Ground soybean, second night"], ["invented data"], [], export.layout.headings] + comma
    output.save(
        root / "other-formats/semicolon-decimal-comma.csv",
        "".join(";".join(f'"{c}"' if ";" in c else c for c in row) + "\r\n" for row in lines),
    )
    text = "\ufeff" + "".join("\t".join(row) + "\r\n" for row in [export.layout.headings] + rows)
    output.save(root / "other-formats/tab-utf16.txt", text, "utf-16-le")
