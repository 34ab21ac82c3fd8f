"""save_openpyxl.py CELLS BOOK: saves the cells with openpyxl, dates as datetime with its own default format."""
import datetime
import sys

import openpyxl

book = openpyxl.Workbook()
sheet = book.active
sheet.title = "Week 32"
for r, line in enumerate(open(sys.argv[1], encoding="utf-8"), 1):
    for c, field in enumerate(line.rstrip("\n").split("\t"), 1):
        kind, _, content = field.partition(":")
        if kind == "t":
            cell = sheet.cell(r, c, content)
            cell.data_type = "s"
        elif kind == "d":
            moment = datetime.datetime(1899, 12, 30) + datetime.timedelta(days=float(content))
            sheet.cell(r, c, (moment + datetime.timedelta(milliseconds=500)).replace(microsecond=0))
        elif kind:
            cell = sheet.cell(r, c, float(content))
            if kind == "p":
                cell.number_format = "0.00%"
book.save(sys.argv[2])
