"""table.py FOLDER: the sheet that every program of this folder saves. The numbers are invented.

FOLDER/cells.tsv     one row a line, one cell a field: `t:` text, `n:` number, `p:` fraction shown as a percentage,
                     `d:` serial day of the 1900 system, nothing: empty. For the savers.
FOLDER/truth.json    what a reader must get: sample, time and decimal text of each value, null where there is none.
FOLDER/sheet.fods    the same cells for the office suite, number and date formats without a language of their own.
FOLDER/small_days.fods   the same with days of the month up to 12 only, which as text do not say what is the month.
"""
import datetime
import json
import os
import random
import sys
from xml.sax.saxutils import escape

HEADINGS = ["Sample ID", "Date", "Instrument", "Analysis", "Moisture (%)", "Protein (%)", "Oil (%)", "Starch (%)",
            "Oleic (% of oil)", "Linolenic (% of oil)", "Raffinose (%)", "Stachyose (%)"]
PERCENTAGE = 7  # Starch is a fraction that its format shows as a percentage
CONSTITUENTS = ["moisture", "protein", "oil", "starch", "oleic", "linolenic", "raffinose", "stachyose"]
ODD_IDS = ["007", "0042", "12E4", "3-4", "1/2", "A;B", "A,B", 'K "7"', "Süd-9", "µ 5 °", "00", "1.10", "TRUE", "x" * 60]
FIRST_DAY = datetime.datetime(2026, 7, 20, 7, 41)


def decimal(rng, low, high, places):
    return f"{rng.randint(round(low * 10**places), round(high * 10**places)) / 10**places:.{places}f}"


def readings(step):
    rng = random.Random(32)
    for i in range(200):
        sample = ODD_IDS[i // 10] if i % 10 == 9 and i // 10 < len(ODD_IDS) else f"{i:04d}" if i % 3 else f"Ä{i}-{i % 4}"
        values = [decimal(rng, 5, 8, 2), decimal(rng, 34, 43, 2), decimal(rng, 17, 24, 1), decimal(rng, 3, 9, 2),
                  decimal(rng, 18, 27, 3), decimal(rng, 5, 9, 3), decimal(rng, -0.05, 1.2, 2), decimal(rng, 1, 5, 0)]
        if i % 23 == 5:
            values[rng.randrange(1, 8)] = None
        yield sample, step(i), values


def main_time(i):
    return FIRST_DAY + datetime.timedelta(minutes=173 * i)


def small_day(i):  # days 1 to 12 of several months, never the same number twice in a date
    return datetime.datetime(2026, 1 + i % 5, 6 + i % 7, 8, i % 60)


def rows(step):
    """The cells of the sheet: a title, a blank row, the headings, then the readings."""
    yield [("t", "Labor Süd: Woche 32")]
    yield []
    yield [("t", heading) for heading in HEADINGS]
    for sample, time, values in readings(step):
        serial = (time - datetime.datetime(1899, 12, 30)) / datetime.timedelta(days=1)
        row = [("t", sample), ("d", repr(serial)), ("t", "NIR-1"), ("t", "soybean whole")]
        for column, value in enumerate(values, 4):
            if value is None:
                row.append(("", ""))
            elif column == PERCENTAGE:
                row.append(("p", repr(float(value) / 100)))
            else:
                row.append(("n", repr(float(value))))
        yield row


def fods_cell(kind, content):
    if kind == "t":
        return (f'<table:table-cell office:value-type="string"><text:p>{escape(content)}</text:p>'
                '</table:table-cell>')
    if kind == "d":
        moment = datetime.datetime(1899, 12, 30) + datetime.timedelta(days=float(content))
        moment = (moment + datetime.timedelta(microseconds=500_000)).replace(microsecond=0)
        return (f'<table:table-cell table:style-name="moment" office:value-type="date" '
                f'office:date-value="{moment.isoformat()}"/>')
    if kind == "p":
        return f'<table:table-cell table:style-name="percent" office:value-type="percentage" office:value="{content}"/>'
    if kind == "n":
        return f'<table:table-cell office:value-type="float" office:value="{content}"/>'
    return "<table:table-cell/>"


FODS = """<?xml version="1.0" encoding="UTF-8"?>
<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
 xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0" office:version="1.2"
 office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
<office:automatic-styles>
<number:date-style style:name="n1" number:automatic-order="true" number:format-source="language">
<number:month number:style="long"/><number:text>/</number:text><number:day number:style="long"/>
<number:text>/</number:text><number:year number:style="long"/><number:text> </number:text>
<number:hours number:style="long"/><number:text>:</number:text><number:minutes number:style="long"/></number:date-style>
<number:percentage-style style:name="n2"><number:number number:decimal-places="2" number:min-decimal-places="2"
 number:min-integer-digits="1"/><number:text>%</number:text></number:percentage-style>
<style:style style:name="moment" style:family="table-cell" style:data-style-name="n1"/>
<style:style style:name="percent" style:family="table-cell" style:data-style-name="n2"/>
</office:automatic-styles>
<office:body><office:spreadsheet><table:table table:name="Week 32">
"""


def write_fods(path, step):
    with open(path, "w", encoding="utf-8") as out:
        out.write(FODS)
        for row in rows(step):
            cells = "".join(fods_cell(*cell) for cell in row) or "<table:table-cell/>"
            out.write(f"<table:table-row>{cells}</table:table-row>\n")
        out.write("</table:table></office:spreadsheet></office:body></office:document>\n")


def truth(step):
    return [{"sample": sample, "time": time.strftime("%Y-%m-%dT%H:%M"), **dict(zip(CONSTITUENTS, values))}
            for sample, time, values in readings(step)]


def main(folder):
    os.makedirs(folder, exist_ok=True)
    with open(os.path.join(folder, "cells.tsv"), "w", encoding="utf-8", newline="\n") as out:
        for row in rows(main_time):
            out.write("\t".join(f"{kind}:{content}" if kind else "" for kind, content in row) + "\n")
    for name, step in (("truth", main_time), ("small_days_truth", small_day)):
        with open(os.path.join(folder, name + ".json"), "w", encoding="utf-8") as out:
            json.dump(truth(step), out, ensure_ascii=False, indent=0)
    write_fods(os.path.join(folder, "sheet.fods"), main_time)
    write_fods(os.path.join(folder, "small_days.fods"), small_day)


if __name__ == "__main__":
    main(sys.argv[1])
