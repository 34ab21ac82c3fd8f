"""check.py DRIVER SETS: NIST StRD sets through the stats library, scored in correct digits against the certified values
that stand in the files themselves. How many digits can be reached is a matter of the data as binary64: the decimals of
SmLs07 to SmLs09 (13 leading digits in common) are rounded so much that only 4 digits of F are left, whatever computes.
The digits asked for below are those that exact arithmetic on the rounded values reaches, less half a digit.
"""
import math
import pathlib
import re
import subprocess
import sys
import tempfile

driver, sets = sys.argv[1], pathlib.Path(sys.argv[2])
failures = 0


def call(job, words):
    with tempfile.NamedTemporaryFile("w", suffix=".txt") as file:
        file.write("\n".join(str(word) for word in words))
        file.flush()
        lines = subprocess.run([driver, job, file.name], check=True, capture_output=True, text=True).stdout.splitlines()
    return [(name, float(value)) for name, value in (line.split() for line in lines)]


def digits(got, certified):
    if got == certified:
        return 16.0
    return min(16.0, -math.log10(abs(got - certified) / abs(certified)))


def hold(what, got, certified, wanted):
    global failures
    reached = digits(got, certified)
    good = reached >= wanted
    failures += not good
    print(f"{'ok' if good else 'FAIL':4} {what:44} {reached:5.1f} digits (asked {wanted})")


def rows_after(text, heading):
    return [line.split() for line in text.split(heading)[-1].splitlines()[1:] if line.strip()]


# F, and the components that the mixed model makes of it: (MSB - MSW) / n and MSW. Digits of F, of the components.
anova = {"SiRstv": (12.6, 9), "SmLs01": (14.5, 9), "SmLs02": (14.5, 9), "SmLs03": (14.5, 9), "AtmWtAg": (9.7, 8),
         "SmLs04": (9.7, 8), "SmLs05": (9.7, 8), "SmLs06": (9.7, 8), "SmLs07": (3.7, 2.5), "SmLs08": (3.7, 2.5),
         "SmLs09": (3.7, 2.5)}
for name, (wanted, wanted_components) in anova.items():
    text = (sets / "nist_anova" / f"{name}.dat").read_text()
    between = next(line.split() for line in text.splitlines() if re.match(r"Between \w+ +\d", line))
    within = next(line.split() for line in text.splitlines() if re.match(r"Within \w+ +\d", line))
    msb, f, msw = float(between[4]), float(between[5]), float(within[4])
    data = rows_after(text, "Data:")
    got = dict(call("groups", [len(data), *(row[1] for row in data), *(row[0] for row in data)]))
    each = len(data) / len({row[0] for row in data})
    hold(f"{name}, F", got["f"], f, wanted)
    hold(f"{name}, residual standard deviation", got["within_sd"], math.sqrt(msw), wanted)
    hold(f"{name}, component between groups (REML)", got["component"], (msb - msw) / each, wanted_components)
    hold(f"{name}, component within groups (REML)", got["residual"], msw, wanted_components)

text = (sets / "nist_linregress" / "Norris.dat").read_text()
data = rows_after(text, "Data:")
got = [value for _, value in call("line", [len(data), *(row[1] for row in data), *(row[0] for row in data)])]
parameters = {row[0]: row[1:] for row in map(str.split, text.splitlines()) if row and row[0] in ("B0", "B1") and len(row) == 3}
deviation = re.search(r"Residual\s+Standard Deviation +(\S+)", text)[1]
squared = re.search(r"R-Squared +(\S+)", text)[1]
certified = [float(found) for found in (parameters["B0"][0], parameters["B1"][0], parameters["B0"][1], parameters["B1"][1],
                                        deviation, squared)]
for what, value, wanted_value, wanted in zip(
        ("intercept", "slope", "its error", "error of the slope", "residual standard deviation", "r squared"),
        got, certified, (12, 14, 12, 12, 12, 14)):
    hold(f"Norris, {what}", value, wanted_value, wanted)

print("all digits are there" if failures == 0 else f"{failures} values lack digits")
sys.exit(1 if failures else 0)
