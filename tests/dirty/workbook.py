"""Makes the workbooks of this folder from their description: plain parts in a zip file, nothing else.

A cell is null or {"t": "s" shared text | "inline" | "rich" runs of text | "n" number, "v": value, "f": number format}.
"""

import zipfile
from xml.sax.saxutils import escape, quoteattr

MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
CONTENT = "application/vnd.openxmlformats-officedocument.spreadsheetml"
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
TYPES = (
    f'{HEAD}<Types xmlns="{PACKAGE}/content-types"><Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    + "".join(
        f'<Override PartName="/xl/{part}.xml" ContentType="{CONTENT}.{kind}+xml"/>'
        for part, kind in (
            ("workbook", "sheet.main"),
            ("worksheets/sheet1", "worksheet"),
            ("styles", "styles"),
            ("sharedStrings", "sharedStrings"),
        )
    )
    + "</Types>"
)


def relations(*targets):
    inner = "".join(
        f'<Relationship Id="rId{i}" Type="{OFFICE}/{kind}" Target="{target}"/>'
        for i, (kind, target) in enumerate(targets, 1)
    )
    return f'{HEAD}<Relationships xmlns="{PACKAGE}/relationships">{inner}</Relationships>'


def text(value):
    return f'<t xml:space="preserve">{escape(value)}</t>'


class Sheet:
    def __init__(self):
        self.strings, self.formats = [], []

    def cell(self, place, cell):
        kind, value = cell["t"], cell["v"]
        if kind == "n":
            style = ""
            if "f" in cell:
                if cell["f"] not in self.formats:
                    self.formats.append(cell["f"])
                style = f' s="{self.formats.index(cell["f"]) + 1}"'
            return f'<c r="{place}"{style}><v>{value}</v></c>'
        if kind == "inline":
            return f'<c r="{place}" t="inlineStr"><is>{text(value)}</is></c>'
        runs = "".join(f"<r>{text(run)}</r>" for run in value) if kind == "rich" else text(value) if value else ""
        self.strings.append(f"<si>{runs}</si>")
        return f'<c r="{place}" t="s"><v>{len(self.strings) - 1}</v></c>'

    def rows(self, rows):
        lines = []
        for i, row in enumerate(rows, 1):
            cells = "".join(self.cell(f"{chr(64 + j)}{i}", cell) for j, cell in enumerate(row, 1) if cell)
            lines.append(f'<row r="{i}">{cells}</row>')
        return "<sheetData>" + "".join(lines) + "</sheetData>"

    def styles(self):
        own = "".join(
            f"<numFmt numFmtId=\"{164 + i}\" formatCode={quoteattr(code)}/>" for i, code in enumerate(self.formats)
        )
        used = '<xf numFmtId="0"/>' + "".join(
            f'<xf numFmtId="{164 + i}" applyNumberFormat="1"/>' for i in range(len(self.formats))
        )
        return f"{HEAD}<styleSheet {MAIN}><numFmts>{own}</numFmts><cellXfs>{used}</cellXfs></styleSheet>"


def write(path, book):
    sheet = Sheet()
    data = sheet.rows(book["rows"])
    merged = "".join(f'<mergeCell ref="{span}"/>' for span in book.get("merged", []))
    if merged:
        data += f"<mergeCells>{merged}</mergeCells>"
    calendar = '<workbookPr date1904="1"/>' if book.get("date1904") else ""
    sheets = '<sheets><sheet name="Readings" sheetId="1" r:id="rId1"/></sheets>'
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
        out.writestr("[Content_Types].xml", TYPES)
        out.writestr("_rels/.rels", relations(("officeDocument", "xl/workbook.xml")))
        out.writestr(
            "xl/_rels/workbook.xml.rels",
            relations(
                ("worksheet", "worksheets/sheet1.xml"), ("styles", "styles.xml"), ("sharedStrings", "sharedStrings.xml")
            ),
        )
        out.writestr("xl/workbook.xml", f'{HEAD}<workbook {MAIN} xmlns:r="{OFFICE}">{calendar}{sheets}</workbook>')
        out.writestr("xl/worksheets/sheet1.xml", f"{HEAD}<worksheet {MAIN}>{data}</worksheet>")
        out.writestr("xl/styles.xml", sheet.styles())
        out.writestr("xl/sharedStrings.xml", f"{HEAD}<sst {MAIN}>{''.join(sheet.strings)}</sst>")
