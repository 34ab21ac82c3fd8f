#!/usr/bin/env python3
"""The independent computation against examples worked by hand or published, before it is used as a measure.

Sources: Canadian Grain Commission 2018, natto soybean (dry to 13 %, one decimal); USDA food composition as input of the
general formula y_T = x_M (100 - T)/(100 - M); canola meal protein of the Canadian Grain Commission 2014 on its 8.5 %
basis; iodine value of Manitoba soybean 2021 (AOCS Cd 1c-85). The two small tables are worked by hand.
"""

from decimal import Decimal

import independent
from season_input import Reading
from season_verdicts import converted


def reading(sample="S", material="soybean-whole", basis="as-is", verdict="use", **values):
    r = Reading("a.csv", 2)
    r.facts, r.material, r.verdict = {"sample": sample}, material, verdict
    r.values = {name: Decimal(str(value)) for name, value in values.items()}
    r.basis = dict.fromkeys(r.values, basis)
    return r


def near(have, want, tolerance):
    assert have is not None and abs(have - want) <= tolerance, (have, want)


def bases():
    near(converted(reading(protein=36.49, moisture=8.54), "protein", "dry"), 39.897223, 1e-6)
    near(converted(reading(protein=36.49, moisture=8.54), "protein", "13"), 34.710584, 1e-6)
    near(converted(reading(oil=20.35, moisture=6.2), "oil", "13"), 18.874733, 1e-6)
    near(converted(reading(protein=34.7, moisture=6.5, basis="13"), "protein", "as-is"), 37.292529, 1e-6)
    for dry, published in ((38.9, 33.8), (39.5, 34.4), (21.7, 18.9), (19.6, 17.1)):
        near(converted(reading(protein=dry, basis="dry"), "protein", "13"), published, 0.05)
    assert converted(reading(protein=40.1), "protein", "13") is None  # no moisture to convert with
    near(converted(reading(oleic=22.4), "oleic", "13"), 22.4, 0)  # part of oil: never converts


def traits():
    meal = independent.DERIVED["defatted_meal_protein"][2]
    near(meal({"protein": 20.1, "oil": 44.2}, 91.5), 38.9, 0.05)
    near(meal({"protein": 20.6, "oil": 43.3}, 91.5), 39.1, 0.05)
    near(meal({"protein": 35.0, "oil": 19.0}, 87.0), 45.2941 * 87 / 88, 1e-3)
    iodine = independent.DERIVED["iodine_value"][2]
    near(iodine({"oleic": 20.5, "linoleic": 55.4, "linolenic": 8.5}, 87.0), 135.8, 0.1)


def means():
    """Two packets of plot 1 (means 10 and 13), one of plot 2 (14): plots 11.5 and 14, line 12.75, SD 1.76777."""
    listed = {
        name: dict.fromkeys(("environment", "rep", "block", "duplicate_of", "check"), "")
        | {"trial": "T", "line": "L", "plot": plot, "material": "peanut-whole"}
        for name, plot in (("A", "1"), ("B", "1"), ("C", "2"), ("D", "3"))
    }
    rows = [
        reading(name, "peanut-whole", "dry", verdict, oil=value)
        for name, value, verdict in (
            ("A", 9, "use"),
            ("A", 11, "review"),
            ("A", 50, "exclude"),
            ("B", 13, "use"),
            ("C", 14, "use"),
            ("D", 50, "superseded"),
        )
    ]
    line = independent.line_table(independent.sample_table(rows), listed)["peanut-whole", "T", "L"]
    mean, sd, se, n = line["values"]["oil"]
    near(mean, 12.75, 1e-12)
    near(sd, 1.767766952966369, 1e-12)
    near(se, 1.25, 1e-12)
    assert n == 2 and (line["readings"], line["readings_used"], line["readings_excluded"]) == (6, 4, 2)
    assert line["readings_review"] == 1 and line["samples"] == 4 and line["plots"] == 3


if __name__ == "__main__":
    bases()
    traits()
    means()
    print("independent computation: examples hold")
