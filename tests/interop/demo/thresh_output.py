"""Runs the program under test on the demo season and reads back what it wrote."""

import csv
import io
import json
import subprocess


class Thresh:
    def __init__(self, binary, demo):
        self.binary, self.demo = str(binary), demo

    def call(self, *arguments):
        return subprocess.run(
            [self.binary, *arguments], cwd=self.demo, capture_output=True, text=True, check=False
        )

    def season(self, command, *more, exports=("exports",)):
        """Damaged exports go with rules of their own and no list, and one of them is refused."""
        damaged = exports == ("damaged",)
        lists = ("--rules", "damaged/rules.json", "--assume-material", "soybean-whole")
        if not damaged:
            lists = ("--samples", "samples.csv", "--rules", "rules.json")
        done = self.call(command, *exports, *lists, *more)
        if done.returncode != (2 if damaged else 0):
            raise SystemExit(f"thresh {command} ended with {done.returncode}:\n{done.stderr}")
        return done.stdout

    def table(self, command, *more, exports=("exports",)):
        """Rows of a table as dicts; from json, after making sure that csv says exactly the same."""
        rows = json.loads(
            self.season(command, "--format", "json", "--digits", "full", *more, exports=exports)
        )
        text = self.season(command, "--format", "csv", "--digits", "full", *more, exports=exports)
        plain = list(csv.DictReader(io.StringIO(text, newline="")))
        if len(rows) != len(plain):
            raise SystemExit(f"thresh {command}: {len(rows)} rows in json, {len(plain)} in csv")
        for number, (one, other) in enumerate(zip(rows, plain), start=1):
            for name, value in one.items():
                if not same_cell(value, other[name]):
                    raise SystemExit(
                        f"thresh {command}, row {number}, {name}: json {value!r}, csv {other[name]!r}"
                    )
        return rows

    def codes(self):
        return [line.split()[0] for line in self.call("explain").stdout.splitlines() if line]

    def knows(self, code):
        return self.call("explain", code).returncode == 0


def same_cell(value, text):
    if value is None:
        return text == ""
    if isinstance(value, bool):
        return text in ("yes" if value else "", str(value).lower())
    if isinstance(value, (int, float)):
        return text != "" and float(text) == float(value)
    return text in (value, "'" + value)
