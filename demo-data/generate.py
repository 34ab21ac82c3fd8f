#!/usr/bin/env python3
"""Makes the demonstration season anew: exports, sample list, wet chemistry, decisions and the planted cases.

Everything is invented. Run without arguments; the files beside this script are replaced, always by the same bytes.
"""

import pathlib
import sys

sys.dont_write_bytecode = True

from invent import damaged, extras, faults, lists, nights, output, readme  # noqa: E402
from invent.chance import Chance  # noqa: E402

SEED = 20261005


def main():
    root = pathlib.Path(__file__).resolve().parent
    chance = Chance(SEED)
    season = lists.build(chance)
    faults.before_reading(season)
    course = nights.read_all(chance, season)
    faults.after_reading(course)
    exports = sorted(course.exports.values(), key=lambda export: export.name)
    for old in root.glob("exports/*.csv"):
        old.unlink()
    for export in exports:
        output.write_export(root, export)
    output.save(root / "samples.csv", extras.sample_list(season))
    output.save(root / "reference.csv", extras.reference(chance, season))
    output.save(root / "rules.json", extras.rules())
    output.save(root / "decisions.csv", extras.decisions(exports))
    more = extras.listed_cases(season)
    more.update(extras.doubtful(root, chance, season))
    more.update(damaged.write(root))
    extras.other_formats(root, course)
    cases = output.planted(season, exports, more)
    output.save(root / "planted.json", output.planted_json(cases))
    output.save(root / "README.md", readme.text(season, exports, cases))
    print(
        f"{sum(len(e.rows) for e in exports)} rows in {len(exports)} exports, "
        f"{len(season.packets)} listed samples, {sum(map(len, cases.values()))} planted cases"
    )


if __name__ == "__main__":
    main()
