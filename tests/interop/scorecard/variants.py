"""Many spellings of one known table, with what a reader must make of each.

The features of a variant are drawn by a generator seeded with its number: the same number gives the same file on every
machine. IDs differ from variant to variant, so that the files of one folder hold no reading twice.
"""

import datetime
import random

ROWS = 8
FEATURES = {
    "encoding": ["utf-8", "utf-8-sig", "utf-16-le", "utf-16-be", "utf-16-le mark", "utf-16-be mark", "cp1252"],
    "line_end": ["\n", "\r\n", "\r", "mixed"],
    "delimiter": [",", ";", "\t", "|"],
    "decimal": [".", ","],
    "quoting": ["needed", "all", "text"],
    "preamble": ["none", "lines", "key; value", "sep="],
    "heading": ["one row", "units row", "two rows"],
    "between": ["none", "heading again", "blank lines"],
    "footer": ["none", "summary", "summary after blank"],
    "trailing": [False, True],
    "ragged": ["no", "no", "short", "long"],
    "dates": ["iso", "iso t", "dmy dots", "dmy", "mdy am/pm", "dmy doubtful"],
    "thousands": ["none", "none", "marks", "doubtful"],
    "missing": ["", "NA", "n/a", "-", "ND"],
    "limits": [False, True],
    "remark": ["plain", "line break", "delimiter", "quotes"],
}
NAMES = ["sample", "time", "moisture", "protein", "oil", "methionine"]
HEADINGS = ["Sample ID", "Date time", "Moisture", "Protein", "Oil", "Methionine", "Remark"]
UNITS = ["", "", "%", "% as-is", "% as-is", "mg/kg as-is", ""]
TEXTS = {"plain": "Süd 3", "line break": "split\nseed", "delimiter": "dry{d} clean", "quotes": 'says "ok" é'}


class Variant:
    """`bytes`, and per row `wanted`: name -> text, None (missing) or DOUBT (must be asked about)."""

    DOUBT = "doubtful"

    def __init__(self, number):
        draw = random.Random(number)
        self.number = number
        self.features = {name: draw.choice(values) for name, values in FEATURES.items()}
        f = self.features
        if f["delimiter"] == ",":
            if f["decimal"] == "," and f["quoting"] == "needed":
                f["quoting"] = "text"  # numbers with a comma are quoted anyway
        if f["preamble"] == "sep=" and f["delimiter"] == "\t":
            f["preamble"] = "none"
        self.records, self.wanted = [], []
        self._rows(draw)
        self.bytes = self._encode(self._text(draw))

    def _number(self, hundredths, decimals=2):
        text = f"{hundredths // 10**decimals}.{hundredths % 10**decimals:0{decimals}d}" if decimals else str(hundredths)
        return text.replace(".", self.features["decimal"])

    def _time(self, i, draw_day):
        style = self.features["dates"]
        day = {"dmy doubtful": 3 + i, "dmy": 10 + i, "mdy am/pm": 10 + i}.get(style, draw_day)
        at = datetime.datetime(2026, 9, day, 15, 4 + i, 30)
        written = {
            "iso": "%Y-%m-%d %H:%M:%S",
            "iso t": "%Y-%m-%dT%H:%M:%S",
            "dmy dots": "%d.%m.%Y %H:%M:%S",
            "mdy am/pm": "%m/%d/%Y %I:%M:%S %p",
        }.get(style, "%d/%m/%Y %H:%M:%S")
        return at.strftime(written), Variant.DOUBT if style == "dmy doubtful" else at.strftime("%Y-%m-%dT%H:%M:%S")

    def _methionine(self, value):
        """The column of thousands, in mg/kg."""
        style, mark = self.features["thousands"], "." if self.features["decimal"] == "," else ","
        whole, tenths = divmod(value, 10)
        if style == "none":
            return self._number(value, 1), f"{value / 1e5:.5f}"
        grouped = f"{whole // 1000}{mark}{whole % 1000:03d}"
        if style == "marks":
            return f"{grouped}{self.features['decimal']}{tenths}", f"{value / 1e5:.5f}"
        return grouped, Variant.DOUBT

    def _rows(self, draw):
        f = self.features
        remark = TEXTS[f["remark"]].format(d=f["delimiter"])
        day = draw.randint(13, 27)
        for i in range(ROWS):
            moisture, protein, oil = draw.randint(505, 799), draw.randint(3310, 4490), draw.randint(1610, 2390)
            methionine, methionine_wanted = self._methionine(draw.randint(45001, 62999))
            sample = f"{self.number:05d}{i:02d}"
            time, time_wanted = self._time(i, day)
            cells = [sample, time, self._number(moisture), self._number(protein), self._number(oil), methionine]
            wanted = [sample, time_wanted, f"{moisture / 100}", f"{protein / 100}", f"{oil / 100}", methionine_wanted]
            if i == 2:
                cells[4], wanted[4] = f["missing"], None
            if i == 5 and f["limits"]:
                cells[3], wanted[3] = "<" + self._number(5), None
            self.records.append([*cells, remark if i in (1, 6) else ""])
            self.wanted.append(dict(zip(NAMES, wanted)))
        if f["ragged"] == "short":
            self.records[4] = self.records[4][:4]
            self.wanted[4].update(oil=None, methionine=None)
        elif f["ragged"] == "long":
            self.records[4] = [*self.records[4], "", "9"]
            self.wanted[4] = None  # rejected, with a reason

    def _cell(self, cell, is_number):
        f = self.features
        needed = any(c in cell for c in (f["delimiter"], '"', "\n"))
        if needed or f["quoting"] == "all" or (f["quoting"] == "text" and not is_number):
            return '"' + cell.replace('"', '""') + '"'
        return cell

    def _line(self, cells, numbers=False):
        f = self.features
        line = f["delimiter"].join(self._cell(cell, numbers and 2 <= i <= 5) for i, cell in enumerate(cells))
        return line + (f["delimiter"] if f["trailing"] else "")

    def _heading(self):
        style = self.features["heading"]
        if style == "one row":
            return [self._line([f"{h} ({u})" if u else h for h, u in zip(HEADINGS, UNITS)])]
        if style == "units row":
            return [self._line(HEADINGS), self._line(UNITS)]
        return [self._line(["Sample", "Date", *HEADINGS[2:]]), self._line(["ID", "time", *[f"({u})" if u else "" for u in UNITS[2:]]])]

    def _text(self, draw):
        f = self.features
        lines = {
            "none": [],
            "lines": ["Seed laboratory", "Printed by hand", ""],
            "key; value": ["Station; East; bench", "Operators, all: ML, TK, RB, day and night"],
            "sep=": ["sep=" + f["delimiter"]],
        }[f["preamble"]]
        heading = self._heading()
        rows = [self._line(record, True) for record in self.records]
        middle = {"none": [], "heading again": heading, "blank lines": ["", ""]}[f["between"]]
        footer = []
        if f["footer"] != "none":
            footer = [""] if "blank" in f["footer"] else []
            footer += [
                self._line(["Mean", "", self._number(611), self._number(3950), self._number(1968), "", ""], True),
                self._line(["SD", "", self._number(51), self._number(201), self._number(148), "", ""], True),
            ]
        all_lines = [*lines, *heading, *rows[:4], *middle, *rows[4:], *footer]
        if f["line_end"] == "mixed":
            return "".join(line + draw.choice(["\n", "\r\n"]) for line in all_lines)
        return "".join(line + f["line_end"] for line in all_lines)

    def _encode(self, text):
        name, _, mark = self.features["encoding"].partition(" ")
        return (("\ufeff" if mark else "") + text).encode(name)
