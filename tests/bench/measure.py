"""Runs commands and tells their time and memory; compares tables."""

import csv
import math
import os
import statistics
import subprocess
import time


class Failed(Exception):
    pass


class Killed(Failed):
    """The system ended a command, as it does when memory runs out."""


class Run:
    """One run of a command: wall, processor (user and system) in seconds, peak memory in MiB."""

    def __init__(self, command, env=None):
        start = time.perf_counter()
        child = subprocess.Popen(list(map(str, command)), stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env=env)
        errors = child.stderr.read()
        _, status, usage = os.wait4(child.pid, 0)
        self.wall = time.perf_counter() - start
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode != 0:
            failure = Killed if child.returncode in (-9, 137) else Failed
            raise failure(f"{command[:4]}: exit status {child.returncode}: {errors.decode(errors='replace')[-800:]}")
        self.processor = usage.ru_utime + usage.ru_stime
        self.memory = usage.ru_maxrss / 1024


class Summary:
    """Medians of several runs."""

    def __init__(self, runs):
        self.runs = runs
        self.wall, self.processor, self.memory = (statistics.median(getattr(run, what) for run in runs)
                                                  for what in ("wall", "processor", "memory"))
        self.best, self.worst = min(run.wall for run in runs), max(run.wall for run in runs)


def runs_of(command, count, env=None):
    return Summary([Run(command, env) for _ in range(count)])


def pairs(one, other, count, env_of_other=None):
    """`count` times one and then the other: medians of both, and the median of other's time over one's, pair by pair."""
    first, second = [], []
    for _ in range(count):
        first.append(Run(one))
        second.append(Run(other, env_of_other))
    return Summary(first), Summary(second), statistics.median(b.wall / a.wall for a, b in zip(first, second))


def read_table(path, key):
    with open(path, newline="", encoding="utf-8") as file:
        return {row[key]: row for row in csv.DictReader(file)}


def number(text):
    if text is None or text.strip() in ("", "NA", "NaN", "nan"):
        return None
    return float(text)


def differences(ours, theirs, columns, tolerance):
    """Places where two tables differ, relative to the larger, and the largest difference."""
    wrong, largest = [], 0.0
    if ours.keys() != theirs.keys():
        wrong.append(f"rows: {sorted(ours.keys() ^ theirs.keys())[:3]} ({len(ours)} and {len(theirs)})")
    for key in ours.keys() & theirs.keys():
        for our_name, their_name in columns:
            a, b = number(ours[key][our_name]), number(theirs[key].get(their_name))
            if a is None or b is None:
                if (a is None) != (b is None):
                    wrong.append(f"{key} {our_name}: {a} and {b}")
                continue
            difference = abs(a - b) / max(1e-300, abs(a), abs(b)) if a != b else 0.0
            largest = max(largest, difference)
            if not difference <= tolerance or math.isnan(difference):
                wrong.append(f"{key} {our_name}: {a} and {b}")
    return wrong, largest
