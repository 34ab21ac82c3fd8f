"""printed.py RESULTS PDF: pages as the office suite prints them are landscape A4 (charts may stand upright), repeat their
headings, and leave out no line."""
import collections
import csv
import pathlib
import re
import subprocess
import sys

results, pdf = map(pathlib.Path, sys.argv[1:3])
pages = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, check=True, text=True).stdout.split("\f")[:-1]
sizes = subprocess.run(["pdfinfo", "-l", str(len(pages)), str(pdf)], capture_output=True, check=True, text=True).stdout
landscape = sum(float(wide) > float(high) for wide, high in re.findall(r"size:\s+([\d.]+) x ([\d.]+)", sizes))
by_sheet = collections.defaultdict(list)
for page in pages:
    last = page.rstrip().splitlines()[-1] if page.strip() else ""
    found = re.match(r"\s*(Lines|Samples|Readings|To do|Drift|How)\s+For breeding and selection; not an official analysis", last)
    by_sheet[found[1] if found else "Charts"].append(page)
problems = []
if landscape < len(pages) - 1:
    problems.append(f"{landscape} of {len(pages)} pages are landscape")
for sheet, heading in {"Lines": "line", "Samples": "sample", "To do": "action", "Drift": "kind"}.items():
    for number, page in enumerate(by_sheet[sheet], 1):
        if heading not in page.split():
            problems.append(f"page {number} of {sheet} does not repeat its headings")
printed = collections.Counter(re.findall(r"\S+", " ".join(by_sheet["Lines"])))
with open(results / "lines.csv", newline="", encoding="utf-8") as file:
    for row in csv.DictReader(file):
        if printed[row["line"].split()[-1]] == 0:
            problems.append(f"line {row['line']} is not printed")
for problem in problems[:10]:
    print("FAILED", problem)
print(f"{len(pages)} pages: " + ", ".join(f"{sheet} {len(found)}" for sheet, found in by_sheet.items()))
sys.exit(1 if problems else 0)
