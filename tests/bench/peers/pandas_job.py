"""pandas_job.py JOB INPUT OUTPUT: the job of jobs.json with pandas."""

import json
import pathlib
import sys

import pandas

job, source, target = sys.argv[1:]
spec = json.loads((pathlib.Path(__file__).parent.parent / "jobs.json").read_text())
names = [*spec["parts"], *spec["shares"]]
low, high = spec["window"]
readings = pandas.read_csv(source)
if job == "lines":
    readings = readings.drop_duplicates()
moisture = readings["Moisture (%)"]
used = moisture.isna() | moisture.between(low, high)
factor = 87 / (100 - moisture)
columns = {"sample": readings["Sample ID"], "line": readings["Sample ID"].str.slice(4, 10)}
columns |= {name: readings[heading] * factor for name, heading in spec["parts"].items()}
columns |= {name: readings[heading] for name, heading in spec["shares"].items()}
values = pandas.DataFrame(columns)
if job == "readings":
    values = values.round(4)
    values.insert(2, "time", readings["Date time"])
    values.insert(3, "instrument", readings["Instrument"])
    values.insert(4, "verdict", used.map({True: "use", False: "exclude"}))
    values.to_csv(target, index=False)
    sys.exit()
if job == "rows":
    for name, terms in spec["sums"].items():  # missing where any of what they add is
        values[name] = sum(values[of] * weight for of, weight in terms.items())
    values[spec["meal"]] = values["protein"] * (87 / (87 - values["oil"]))
    values["moisture"] = moisture
    numbers = ["moisture", *names, *spec["sums"], spec["meal"]]
    values[numbers] = values[numbers].round(4)
    values["source"], values["row"], values["basis"] = source, range(2, len(values) + 2), "13"
    for name, heading in (("time", "Date time"), ("instrument", "Instrument"), ("operator", "Operator"), ("analysis", "Analysis")):
        values[name] = readings[heading]
    soy = values["analysis"].str.contains("soy.*whole", case=False, regex=True)
    values["material"] = soy.map({True: "soybean-whole", False: None})
    values["trial"], values["rep"] = values["sample"].str.slice(0, 3), values["sample"].str.slice(11, 13)
    values["verdict"] = used.map({True: "use", False: "exclude"})
    values[[*spec["texts"], *numbers]].to_csv(target, index=False)
    sys.exit()
flags = []
for name, (least, most) in spec["ranges"].items():
    values[f"{name}_low"] = (values[name] < least).astype(int)
    values[f"{name}_high"] = (values[name] > most).astype(int)
    flags += [f"{name}_low", f"{name}_high"]
values = values[used]
if job == "lines":
    by_sample = values.groupby(["sample", "line"], sort=False)
    values = by_sample[names].mean().join(by_sample[flags].sum()).reset_index()
by_line = values.groupby("line")
result = by_line[names].mean()
result = result.join(by_line[names].std().add_suffix("_sd")).join(by_line[names].count().add_suffix("_n"))
result.join(by_line[flags].sum()).to_csv(target)
