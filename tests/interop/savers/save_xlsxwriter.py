"""save_xlsxwriter.py CELLS BOOK [1904]: saves the cells with XlsxWriter, also in the date system of 1904."""
import datetime
import sys

import xlsxwriter

book = xlsxwriter.Workbook(sys.argv[2], {"date_1904": len(sys.argv) > 3, "in_memory": True})
sheet = book.add_worksheet("Week 32")
moment_format = book.add_format({"num_format": "d. mmm yyyy hh:mm"})
percent_format = book.add_format({"num_format": "0.0 %"})
for r, line in enumerate(open(sys.argv[1], encoding="utf-8")):
    for c, field in enumerate(line.rstrip("\n").split("\t")):
        kind, _, content = field.partition(":")
        if kind == "t":
            sheet.write_string(r, c, content)
        elif kind == "d":
            moment = datetime.datetime(1899, 12, 30) + datetime.timedelta(days=float(content))
            sheet.write_datetime(r, c, (moment + datetime.timedelta(milliseconds=500)).replace(microsecond=0),
                                 moment_format)
        elif kind:
            sheet.write_number(r, c, float(content), percent_format if kind == "p" else None)
book.close()
