"""Small files that something happened to on their way: a spreadsheet, a wrong encoding, a wrong file. Kept apart, with
rules of their own (check characters and a check of one's own)."""

import io
import zipfile

from . import output

HEADINGS = ["Sample ID", "Date time", "Analysis", "Moisture (%)", "Protein (% as-is)", "Oil (% as-is)"]
RULES = """{
  // IDs end in a check character, and one condition is looked at by hand.
  "check_characters": "luhn",
  "checks": [
    { "name": "oil-with-protein", "when": "oil + protein > 56", "severity": "review",
      "message": "protein and oil are both high: look at the packet" }
  ]
}
"""


def _rows(packets_read):
    return [
        [packet, f"2026-11-04 10:{number:02}", "Soy, whole seed", f"{moisture:.2f}", f"{protein:.2f}", f"{oil:.2f}"]
        for number, (packet, moisture, protein, oil) in enumerate(packets_read)
    ]


def _luhn(digits):
    total = 0
    for place, digit in enumerate(reversed(digits)):
        value = int(digit) * (2 if place % 2 == 0 else 1)
        total += value - 9 if value > 9 else value
    return digits + str(-total % 10)


def _sheet(rows):
    """A workbook's parts; a text beginning with = is a formula that nobody has computed."""
    cells = ""
    for r, row in enumerate(rows, start=1):
        cells += f'<row r="{r}">'
        for c, text in enumerate(row):
            place = f'{"ABCDEF"[c]}{r}'
            if text.startswith("="):
                cells += f'<c r="{place}"><f>{text[1:]}</f></c>'
            elif r > 1 and c > 2:
                cells += f'<c r="{place}"><v>{text}</v></c>'
            else:
                cells += f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'
        cells += "</row>"
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = "http://schemas.openxmlformats.org/package/2006"
    head = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{package}/content-types"><Default Extension="rels" '
        'ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Override PartName="/xl/workbook.xml" '
        'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override '
        'PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.'
        'spreadsheetml.worksheet+xml"/></Types>',
        "_rels/.rels": f'<Relationships xmlns="{package}/relationships"><Relationship Id="r1" '
        f'Type="{office}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{main}" xmlns:r="{office}"><sheets><sheet name="Readings" sheetId="1" '
        'r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}/relationships"><Relationship Id="r1" '
        f'Type="{office}/worksheet" Target="worksheets/sheet1.xml"/></Relationships>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{main}"><sheetData>{cells}</sheetData></worksheet>',
    }
    book = io.BytesIO()
    with zipfile.ZipFile(book, "w", zipfile.ZIP_STORED) as archive:
        for name, text in parts.items():
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), head + text)
    return book.getvalue()


def write(root):
    """The files, and where each fault is."""
    folder = root / "damaged"
    case = lambda name, row, sample="", constituent="": [
        {"source": f"damaged/{name}", "row": row, "sample": sample, "line": "", "constituent": constituent}
    ]
    text = lambda rows, headings=HEADINGS: "".join(map(output.record, [headings] + rows))
    plain = lambda first: _rows(
        [(_luhn(str(first + n)), 6.2 + 0.1 * n, 35.1 + 0.4 * n, 18.9 - 0.2 * n) for n in range(6)]
    )

    # 36,125: thirty-six, or thirty-six thousand? No value of the column tells.
    doubtful = [row[:3] + ["7", f"{36 + n},{125 + 50 * n}", "19"] for n, row in enumerate(plain(26100))]
    headings = [h.replace("Protein (% as-is)", "Protein (mg/kg as-is)") for h in HEADINGS]
    output.save(folder / "decimal-doubtful.csv", text(doubtful, headings))

    # Oil stands in two columns that do not agree.
    twice = [row + [f"{float(row[5]) + 0.5:.2f}"] for row in plain(26110)]
    output.save(folder / "heading-repeated.csv", text(twice, HEADINGS + ["Oil (% as-is)"]))

    # One cell was pasted from a file in another encoding.
    named = text([row + ["Jürgen" if n % 2 else "Zoë"] for n, row in enumerate(plain(26120))], HEADINGS + ["Operator"]).encode()
    (folder / "text-repaired.csv").write_bytes(named.replace("Jürgen".encode(), "Jürgen".encode("latin-1"), 1))

    sheet = plain(26130)[:4]
    sheet[3][5] = "=AVERAGE(F2:F4)"
    (folder / "formula-uncomputed.xlsx").write_bytes(_sheet([HEADINGS] + sheet))

    output.save(folder / "file-refused.csv", "The lamp of Bench East was changed on Wednesday.\nAsk Kim about the spare.\n")

    # Oleic acid of the oil in one export, of the whole seed in the other: no mean can hold both.
    for name, share, oleic in (("share-usual.csv", "oil", 23.4), ("share-differs.csv", "sample", 4.6)):
        rows = [row + [f"{oleic + n / 10:.1f}"] for n, row in enumerate(plain(26160 if share == "oil" else 26170))]
        output.save(folder / name, text(rows, HEADINGS + [f"Oleic (% of {share})"]))

    # Exported before anything was read.
    output.save(folder / "readings-absent.csv", text([]))

    # One reading in two rows, each with a value that the other lacks.
    whole = plain(26140)[0]
    whole[1] += ":07"
    output.save(folder / "reading-in-parts.csv", text([whole[:5] + [""], whole[:4] + [""] + whole[5:]]))

    # One reading in two exports, before and after its ID was corrected.
    typed = plain(26150)[0]
    typed[1] += ":07"
    output.save(folder / "renamed-before.csv", text([typed]))
    output.save(folder / "renamed-after.csv", text([[_luhn("26156")] + typed[1:]]))

    high = _rows([(_luhn("26311"), 6.4, 41.2, 21.4), (_luhn("26312"), 6.4, 36.0, 18.8)])
    mistyped = [_luhn("26313")[:-3] + _luhn("26313")[-2] + _luhn("26313")[-3] + _luhn("26313")[-1]]
    output.save(folder / "check-characters.csv", text(high + _rows([(mistyped[0], 6.5, 36.4, 18.7)])))
    output.save(folder / "rules.json", RULES)
    return {
        "decimal-doubtful": case("decimal-doubtful.csv", 1, constituent="protein"),
        "heading-repeated": case("heading-repeated.csv", 1, constituent="oil"),
        "text-repaired": case("text-repaired.csv", 3),
        "formula-uncomputed": case("formula-uncomputed.xlsx[Readings]", 5),
        "file-refused": case("file-refused.csv", 1),
        "readings-absent": case("readings-absent.csv", 1),
        "share-differs": case("share-differs.csv", 1, constituent="oleic"),
        "reading-in-parts": case("reading-in-parts.csv", 2, _luhn("26140")),
        "reading-renamed": case("renamed-after.csv", 2, _luhn("26156")) + case("renamed-before.csv", 2, typed[0]),
        "own-check": case("check-characters.csv", 2, high[0][0]),
        "id-mistyped": case("check-characters.csv", 4, mistyped[0]),
    }
