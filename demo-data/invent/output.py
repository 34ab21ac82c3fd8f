"""Writes exports, lists and the table of planted cases; what is written is all that a reader gets."""

import json


def cell(text):
    if any(mark in text for mark in ',"\n\r'):
        return '"' + text.replace('"', '""') + '"'
    return text


def record(cells):
    return ",".join(cell(c) for c in cells) + "\n"


def cells_of(row):
    layout = row.export.layout
    cells = [
        row.facts.get(f, "") if f in row.facts or f not in row.cells else row.cells[f] for f in layout.fields
    ]
    if row.short:
        cells = cells[: -row.short]
    return cells + row.extra


def write_export(root, export):
    text = record(export.layout.headings)
    line = 2
    for row in export.rows:
        row.line = line
        one = record(cells_of(row))
        line += one.count("\n")
        text += one
    save(root / export.name, text)


def save(path, text, encoding="utf-8"):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text.encode(encoding))


def planted(season, exports, more):
    """code -> the places where it was planted."""
    cases = {}

    def add(code, source, row, sample, constituent):
        listed = season.by_id.get(sample)
        cases.setdefault(code, []).append(
            {
                "source": source,
                "row": row,
                "sample": sample,
                "line": listed.row["line"] if listed else "",
                "constituent": constituent,
            }
        )

    for export in exports:
        for code, constituent in export.tags:
            add(code, export.name, 1, "", constituent)
        for row in export.rows:
            for code, constituent in row.tags:
                add(code, export.name, row.line, row.sample(), constituent)
    for code, entries in more.items():
        cases.setdefault(code, []).extend(entries)
    order = lambda c: (c["source"], c["row"], c["sample"], c["line"], c["constituent"])
    return {code: sorted(cases[code], key=order) for code in sorted(cases)}


def planted_json(cases):
    """One case a line, so that a change shows in a diff."""
    blocks = []
    for code, entries in cases.items():
        lines = ",\n".join("    " + json.dumps(entry, ensure_ascii=False) for entry in entries)
        blocks.append(f"  {json.dumps(code)}: [\n{lines}\n  ]")
    return "{\n" + ",\n".join(blocks) + "\n}\n"
