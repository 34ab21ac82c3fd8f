"""The same jobs by general-purpose tools: what each is called, whether it is here, and its command."""

import json
import os
import pathlib
import shutil
import subprocess

HERE = pathlib.Path(__file__).resolve().parent
SPEC = json.loads((HERE / "jobs.json").read_text(encoding="utf-8"))
NAMES = [*SPEC["parts"], *SPEC["shares"]]
# Of the job `rows`: the texts that are the same in all tools (verdicts are not: the tools know the moisture window only), numbers.
ROW_TEXTS = [name for name in SPEC["texts"] if name != "verdict"]
ROW_NUMBERS = ["moisture", *NAMES, *SPEC["sums"], SPEC["meal"]]
SYSTEM_PYTHON = "/usr/bin/python3"  # the one that Debian packages are for
NODE = {**os.environ, "NODE_PATH": str(HERE.parents[1] / "build" / "npm" / "node_modules")}


def columns_of(source):
    with open(source, encoding="utf-8") as file:
        return file.readline().rstrip("\n").split(",")


def awk(job, source, target):
    heading = columns_of(source)
    places = [heading.index(column) + 1 for column in (*SPEC["parts"].values(), *SPEC["shares"].values())]
    ranges = " ".join(f"{name} {low} {high}" for name, (low, high) in SPEC["ranges"].items())
    settings = {
        "job": job,
        "columns": " ".join(map(str, places)),
        "parts": len(SPEC["parts"]),
        "names": " ".join(NAMES),
        "low": SPEC["window"][0],
        "high": SPEC["window"][1],
        "ranges": ranges,
    }
    options = [part for key, value in settings.items() for part in ("-v", f"{key}={value}")]
    return ["sh", "-c", 'out=$1; shift; exec "$@" >"$out"', "sh", target, "mawk", *options, "-f", str(HERE / "peers/awk_job.awk"), source]


def miller(job, source, target):
    """Means, SDs and counts by verbs; the values outside the ranges are not counted."""
    low, high = SPEC["window"]
    put = ['$line = substr(${Sample ID}, 4, 9)', '$sample = ${Sample ID}']
    put += [f'${name} = is_empty(${{Moisture (%)}}) || is_empty(${{{h}}}) ? "" : ${{{h}}} * (87 / (100 - ${{Moisture (%)}}))'
            for name, h in SPEC["parts"].items()]
    put += [f"${name} = ${{{h}}}" for name, h in SPEC["shares"].items()]
    names = ",".join(NAMES)
    verbs = [["uniq", "-a"]] if job == "lines" else []
    verbs += [["filter", f"is_empty(${{Moisture (%)}}) || (${{Moisture (%)}} >= {low} && ${{Moisture (%)}} <= {high})"],
              ["put", "; ".join(put)], ["cut", "-o", "-f", "sample,line," + names]]
    if job == "lines":
        verbs += [["stats1", "-a", "mean", "-f", names, "-g", "sample,line"], ["rename", "-r", r"^(.*)_mean$,\1"]]
    verbs += [["stats1", "-a", "mean,stddev,count", "-f", names, "-g", "line"], ["rename", "-r", r"^(.*)_mean$,\1"],
              ["rename", "-r", "^(.*)_stddev$,\\1_sd"], ["rename", "-r", "^(.*)_count$,\\1_n"]]
    chain = [part for i, verb in enumerate(verbs) for part in ([*(["then"] if i else []), *verb])]
    return ["sh", "-c", 'out=$1; shift; exec "$@" >"$out"', "sh", target, "mlr", "--icsv", "--ocsv", "--ofmt", "%.17g", *chain, source]


def node(script):
    return lambda job, source, target: ["node", str(HERE / "peers" / script), job, source, target]


# name: (jobs it does, how often it is run beside thresh on the season of a million, command)
PEERS = {
    "DuckDB": (("lines", "one-level", "readings", "rows"), 5, node("duckdb_job.js")),
    "polars": (("lines", "one-level", "readings", "rows"), 5, node("polars_job.js")),
    "data.table": (("lines", "one-level", "readings", "rows"), 3,
                   lambda *job: ["Rscript", "--vanilla", str(HERE / "peers/data_table_job.R"), *job]),
    "pandas": (("lines", "one-level", "readings", "rows"), 1, lambda *job: [SYSTEM_PYTHON, str(HERE / "peers/pandas_job.py"), *job]),
    "mawk": (("lines", "one-level"), 1, awk),
    "Miller": (("lines", "one-level"), 1, miller),
}


def works(command, **settings):
    return subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False, **settings).returncode == 0


def present():
    """The peers that this machine has."""
    here = {
        "DuckDB": shutil.which("node") and works(["node", "-e", "require('@duckdb/node-api')"], env=NODE),
        "polars": shutil.which("node") and works(["node", "-e", "require('nodejs-polars')"], env=NODE),
        "data.table": shutil.which("Rscript") and works(["Rscript", "-e", "library(data.table); library(jsonlite)"]),
        "pandas": works([SYSTEM_PYTHON, "-c", "import pandas"]),
        "mawk": shutil.which("mawk"),
        "Miller": shutil.which("mlr"),
    }
    return [name for name, found in here.items() if found]
