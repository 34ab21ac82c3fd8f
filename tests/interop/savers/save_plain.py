"""save_plain.py CELLS FOLDER: english.csv, the text that the office suite then opens in other languages; and the
readings as R, spreadsheets and scripts write them besides: big-endian UTF-16, with and without marks, old line ends."""
import csv
import datetime
import io
import os
import sys

rows = []
for line in open(sys.argv[1], encoding="utf-8"):
    row = []
    for field in line.rstrip("\n").split("\t"):
        kind, _, content = field.partition(":")
        if kind == "d":
            moment = datetime.datetime(1899, 12, 30) + datetime.timedelta(days=float(content))
            content = (moment + datetime.timedelta(milliseconds=500)).strftime("%m/%d/%Y %I:%M %p")
        if kind == "p":
            content = f"{float(content) * 100:.2f}%"
        row.append(content)
    rows.append(row)
text = io.StringIO()
csv.writer(text, lineterminator="\r\n").writerows(rows)
text = text.getvalue()
for name, content in {
    "english.csv": text.encode(),
    "plain-bom.csv": b"\xef\xbb\xbf" + text.encode(),
    "plain-lf.csv": text.replace("\r\n", "\n").encode(),
    "plain-cr.csv": text.replace("\r\n", "\r").encode(),
    "plain-utf16be.csv": ("\ufeff" + text).encode("utf-16-be"),
    "plain-utf16le-no-mark.csv": text.encode("utf-16-le"),
}.items():
    with open(os.path.join(sys.argv[2], name), "wb") as out:
        out.write(content)
