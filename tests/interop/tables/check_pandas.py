"""check_pandas.py FOLDER: pandas.read_csv, without any option, gives every column the type that datapackage.json states (a
time stays text, which pandas.to_datetime reads) and every number as it is written."""
import csv
import json
import pathlib
import sys

import pandas

folder = pathlib.Path(sys.argv[1])
failures, compared = [], 0
for resource in json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))["resources"]:
    path = folder / resource["path"]
    table = pandas.read_csv(path)
    with open(path, newline="", encoding="utf-8") as file:
        written = list(csv.DictReader(file))
    if list(table.columns) != [field["name"] for field in resource["schema"]["fields"]] or len(table) != len(written):
        failures.append(f"{path}: columns or rows")
        continue
    for field in resource["schema"]["fields"]:
        name, column = field["name"], table[field["name"]]
        texts = [row[name] for row in written]
        if not any(texts):
            if not column.isna().all():
                failures.append(f"{path} {name}: not missing")
            continue
        if list(column.isna()) != [text == "" for text in texts]:
            failures.append(f"{path} {name}: other cells are missing")
        pairs = [(value, text) for value, text in zip(column, texts) if text]
        if field["type"] in ("number", "integer"):
            if column.dtype not in ("float64", "int64"):
                failures.append(f"{path} {name}: {column.dtype} for {field['type']}")
                continue
            wrong = [(value, text) for value, text in pairs if "%.*f" % (len(text.partition(".")[2]), value) != text]
        elif field["type"] == "datetime":
            wrong = [(value, text) for value, text in pairs if pandas.to_datetime(value).isoformat()[: len(text)] != text]
        elif column.dtype == "object":
            wrong = [(value, text) for value, text in pairs if value != text]
        else:  # IDs that are all digits cannot be told from numbers
            wrong = [(value, text) for value, text in pairs if abs(float(text) - value) > 1e-15 * abs(value)]
        if wrong:
            failures.append(f"{path} {name}: {wrong[0][0]!r} for {wrong[0][1]!r}")
        if field["type"] != "string":
            compared += len(pairs)
for failure in failures[:10]:
    print("FAILED", failure)
print(f"{folder}: {compared} numbers and times in pandas")
sys.exit(1 if failures or not compared else 0)
