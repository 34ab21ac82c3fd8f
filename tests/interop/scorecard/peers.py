"""What general readers make of the same variants, each with no option given.

Judged on moisture, protein and oil alone. Right: every number is there, as a number. Visibly failed: an error, a warning,
or a column that is missing or came as text. Silently wrong: numbers, but other ones, or of other rows.
"""

import json
import os
import pathlib
import shutil
import subprocess

from judge import RIGHT, WRONG

HERE = pathlib.Path(__file__).resolve().parent
FAILED = "visibly failed"
SYSTEM_PYTHON = "/usr/bin/python3"  # the one that Debian packages are for
# Where `tests/run --all` puts the npm packages.
os.environ.setdefault("NODE_PATH", str(HERE.parents[2] / "build" / "npm" / "node_modules"))
NUMBERS = ["moisture", "protein", "oil"]


def lines_of(command, paths):
    done = subprocess.run([*command, *map(str, paths)], capture_output=True, encoding="utf-8", errors="replace")
    lines = [line for line in done.stdout.splitlines() if line.startswith("{")]
    if len(lines) != len(paths):
        raise SystemExit(f"{command}: {len(lines)} answers for {len(paths)} files: {done.stderr[-500:]}")
    return [json.loads(line) for line in lines]


def miller_read(paths):
    answers = []
    for path in paths:
        done = subprocess.run(["mlr", "--icsv", "--ojson", "cat", path], capture_output=True)
        try:
            records = json.loads(done.stdout.decode("utf-8")) if done.returncode == 0 else None
        except ValueError:
            records = None
        if not records:
            answers.append({"error": "error"})
            continue
        names = list(records[0])
        answers.append({"columns": [(n, [r.get(n) if r.get(n) != "" else None for r in records]) for n in names]})
    return answers


def is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def judge(variant, answer):
    if "error" in answer:
        return FAILED
    wanted = [row for row in variant.wanted if row]
    verdict = RIGHT
    for name in NUMBERS:
        cells = next((c for n, c in answer["columns"] if str(n).strip().lower().startswith(name)), None)
        if cells is None or any(not is_number(cell) for cell in cells if cell is not None):
            return FAILED
        have = [None if cell is None else round(float(cell), 6) for cell in cells]
        want = [None if row[name] is None else round(float(row[name]), 6) for row in wanted]
        if have != want:
            verdict = WRONG
    return verdict


READERS = {
    "data.table fread": lambda paths: lines_of(["Rscript", HERE / "peers.R", "fread"], paths),
    "readr read_delim": lambda paths: lines_of(["Rscript", HERE / "peers.R", "readr"], paths),
    "pandas read_csv": lambda paths: lines_of([SYSTEM_PYTHON, HERE / "pandas_read.py"], paths),
    "Miller": miller_read,
    "DuckDB read_csv": lambda paths: lines_of(["node", HERE / "duckdb_read.js"], paths),
}


def scores(folder, variants):
    """Reader -> {verdict: count}."""
    paths = [folder / f"{variant.number:05d}.csv" for variant in variants]
    table = {}
    for name, read in READERS.items():
        verdicts = [judge(v, a) for v, a in zip(variants, read(paths))]
        table[name] = {word: verdicts.count(word) for word in (RIGHT, FAILED, WRONG)}
    return table


def missing():
    """What this machine lacks."""
    lacks = [tool for tool in ("Rscript", "mlr", "node", SYSTEM_PYTHON) if shutil.which(tool) is None]
    probes = {
        "pandas": [SYSTEM_PYTHON, "-c", "import pandas"],
        "data.table and readr": ["Rscript", "-e", "library(data.table); library(readr)"],
        "DuckDB": ["node", "-e", "require('@duckdb/node-api')"],
    }
    return lacks or [n for n, c in probes.items() if subprocess.run(c, capture_output=True).returncode != 0]
