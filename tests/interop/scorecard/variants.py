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
    "heading": ["one row", "units row", "two rows", "group", "line break"],
    "between": ["none", "none", "heading again", "blank lines", "second table"],
    "footer": ["none", "summary", "summary after blank"],
    "trailing": [False, True],
    "ragged": ["no", "no", "no", "no", "no", "no", "short", "long"],
    "dates": ["iso", "iso t", "dmy dots", "dmy", "mdy am/pm"] * 2 + ["dmy doubtful"],
    "thousands": ["none", "none", "none", "marks", "blank", "apostrophe", "none", "marks", "doubtful"],
    "decimals": [2, 2, 3],
    "ids": ["digits", "umlaut"],
    "stray": [False, False, True],
    "missing": ["", "NA", "n/a", "-", "ND"],
    "limits": [False, True],
    "remark": ["plain", "line break", "delimiter", "quotes"],
}
NAMES = ["sample", "time", "moisture", "protein", "oil", "methionine"]
HEADINGS = ["Sample ID", "Date time", "Moisture", "Protein", "Oil", "Methionine", "Remark"]
UNITS = ["", "", "%", "% as-is", "% as-is", "mg/kg as-is", ""]
NUMBERS = {2, 3, 4, 5}  # positions
ORDER = [5, 0, 1, 4, 2, 3]  # of the second table, and where its numbers stand
SECOND = {0, 3, 4, 5}
TEXTS = {"plain": "Süd 3", "line break": "split\nseed", "delimiter": "dry{d} clean", "quotes": 'says "ok" é'}


class Variant:
    """`bytes`, and per row `wanted`: name -> text, None (missing) or DOUBT (must be asked about)."""

    DOUBT = "doubtful"

    def __init__(self, number, mild=False):
        """`mild`: all features but two are the plainest."""
        draw = random.Random(number)
        self.number = number
        self.features = {name: draw.choice(values) for name, values in FEATURES.items()}
        if mild:
            kept = draw.sample(list(FEATURES), 2)
            self.features.update({name: values[0] for name, values in FEATURES.items() if name not in kept})
        f = self.features
        if f["delimiter"] == ",":
            if f["decimal"] == "," and f["quoting"] == "needed":
                f["quoting"] = "text"  # numbers with a comma are quoted anyway
        f["stray"] = f["stray"] and f["ids"] == "umlaut" and f["encoding"] in ("utf-8", "utf-8-sig")
        # The marks of thousands come in the column of mg/kg, where `1,234` and `1.234` are both possible.
        self.asked = {
            code
            for code, planted in (
                ("date-doubtful", f["dates"] == "dmy doubtful"),
                ("decimal-doubtful", f["thousands"] == "doubtful"),
                ("row-rejected", f["ragged"] == "long"),
            )
            if planted
        }
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
        mark = {"blank": " ", "apostrophe": "'"}.get(style, mark)
        grouped = f"{whole // 1000}{mark}{whole % 1000:03d}"
        if style != "doubtful":
            return f"{grouped}{self.features['decimal']}{tenths}", f"{value / 1e5:.5f}"
        return grouped, Variant.DOUBT

    def _rows(self, draw):
        f = self.features
        remark = TEXTS[f["remark"]].format(d=f["delimiter"])
        day = draw.randint(13, 27)
        for i in range(ROWS):
            moisture, protein, oil = draw.randint(505, 799), draw.randint(3310, 4490), draw.randint(1610, 2390)
            methionine, methionine_wanted = self._methionine(draw.randint(45001, 62999))
            sample = ("Grün-" if f["ids"] == "umlaut" else "") + f"{self.number:05d}{i:02d}"
            time, time_wanted = self._time(i, day)
            shown = [self._number(v * 10 ** (f["decimals"] - 2), f["decimals"]) for v in (moisture, protein, oil)]
            cells = [sample, time, *shown, methionine]
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

    def _line(self, cells, numbers=frozenset()):
        f = self.features
        line = f["delimiter"].join(self._cell(cell, i in numbers) for i, cell in enumerate(cells))
        return line + (f["delimiter"] if f["trailing"] else "")

    def _heading(self):
        style = self.features["heading"]
        if style in ("one row", "line break"):
            gap = "\n" if style == "line break" else " "
            return [self._line([f"{h}{gap}({u})" if u else h for h, u in zip(HEADINGS, UNITS)])]
        if style == "units row":
            return [self._line(HEADINGS), self._line(UNITS)]
        if style == "group":
            return [
                self._line(["Seed", "", "Composition (% as-is)", "", "", "Amino acids (mg/kg as-is)", ""]),
                self._line(HEADINGS),
            ]
        return [self._line(["Sample", "Date", *HEADINGS[2:]]), self._line(["ID", "time", *[f"({u})" if u else "" for u in UNITS[2:]]])]

    def _second_table(self):
        """Heading and rows of the lower half, its columns in another order."""
        heading = [f"{HEADINGS[i]} ({UNITS[i]})" if UNITS[i] else HEADINGS[i] for i in ORDER]
        rows = [[record[i] if i < len(record) else "" for i in ORDER] + record[7:] for record in self.records[4:]]
        return ["", "Second tray", self._line(heading)], [self._line(row, SECOND) for row in rows]

    def _text(self, draw):
        f = self.features
        lines = {
            "none": [],
            "lines": ["Seed laboratory", "Printed by hand", ""],
            "key; value": ["Station; East; bench", "Operators, all: ML, TK, RB, day and night"],
            "sep=": ["sep=" + f["delimiter"]],
        }[f["preamble"]]
        heading = self._heading()
        rows = [self._line(record, NUMBERS) for record in self.records]
        middle = {"heading again": heading, "blank lines": ["", ""]}.get(f["between"], [])
        if f["between"] == "second table":
            middle, rows[4:] = self._second_table()
        footer = []
        if f["footer"] != "none":
            footer = [""] if "blank" in f["footer"] else []
            for word, numbers in (("Mean", (611, 3950, 1968)), ("SD", (51, 201, 148))):
                cells = [word, "", *[self._number(n) for n in numbers], "", ""]
                second = f["between"] == "second table"
                footer.append(self._line([cells[i] for i in ORDER], SECOND) if second else self._line(cells, NUMBERS))
        all_lines = [*lines, *heading, *rows[:4], *middle, *rows[4:], *footer]
        if f["line_end"] == "mixed":
            return "".join(line + draw.choice(["\n", "\r\n"]) for line in all_lines)
        return "".join(line + f["line_end"] for line in all_lines)

    def _encode(self, text):
        name, _, mark = self.features["encoding"].partition(" ")
        data = (("\ufeff" if mark else "") + text).encode(name)
        if self.features["stray"]:
            third = f"Grün-{self.number:05d}02"
            data = data.replace(third.encode(), third.encode("cp1252"))
        return data
