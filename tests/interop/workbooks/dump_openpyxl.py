"""dump_openpyxl.py BOOK: every cell as openpyxl reads it, one line `sheet TAB cell TAB kind TAB text`."""
import datetime
import sys
import warnings

import openpyxl
from openpyxl.utils.escape import unescape

warnings.simplefilter("ignore")


def moment(value):
    value += datetime.timedelta(microseconds=500_000)  # to the nearest second
    return "date", value.strftime("%Y-%m-%dT%H:%M:%S")


def described(cell):
    value = cell.value
    if isinstance(value, bool):
        return "boolean", "TRUE" if value else "FALSE"
    if isinstance(value, (int, float)):
        return "number", "%.15g" % value
    if isinstance(value, datetime.datetime):
        return moment(value)
    if isinstance(value, datetime.date):
        return "date", value.isoformat() + "T00:00:00"
    if isinstance(value, datetime.time):
        return "date", (datetime.datetime.combine(datetime.date(1, 1, 1), value)
                        + datetime.timedelta(microseconds=500_000)).strftime("%H:%M:%S")
    if isinstance(value, datetime.timedelta):
        return "elapsed", str(value)
    return ("error" if cell.data_type == "e" else "text"), unescape(str(value))


def escaped(text):
    return "".join("\\\\" if c == "\\" else f"\\x{ord(c):02x}" if c < " " else c for c in text)


book = openpyxl.load_workbook(sys.argv[1], data_only=True)
for sheet in book.worksheets:
    for row in sheet.iter_rows():
        for cell in row:
            if cell.value is not None and cell.value != "":
                kind, text = described(cell)
                print(escaped(sheet.title), cell.coordinate, kind, escaped(text), sep="\t")
