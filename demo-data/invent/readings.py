"""Exports and the readings in them: an instrument's clock, its control samples, its wavelength standard."""

import datetime

from . import genetics

EAST, WEST = "Bench East", "Bench West"
ANALYSIS = {
    "soybean-whole": ("Soy, whole seed", "SW-26.1"),
    "soybean-ground": ("Soy, ground", "SG-26.1"),
    "peanut-whole": ("Peanut kernel", "PK-26.2"),
    "peanut-ground": ("Peanut, ground", "PG-26.1"),
}
# Controls: assigned dry-basis values and moisture; SD of each in CONTROL_SD. Repeated in rules.json.
CONTROLS = {
    "CTRL-SW": ("soybean-whole", {"protein": 40.1, "oil": 20.4, "moisture": 6.5}),
    "CTRL-SG": ("soybean-ground", {"protein": 39.4, "oil": 20.9, "moisture": 6.3}),
    "CTRL-PK": ("peanut-whole", {"protein": 26.2, "oil": 49.8, "moisture": 6.2}),
    "CTRL-PG": ("peanut-ground", {"protein": 26.6, "oil": 49.1, "moisture": 6.0}),
}
CONTROL_SD = {"protein": 0.20, "oil": 0.16, "moisture": 0.08}


class Reading:
    def __init__(self, export, facts, cells, tags=()):
        self.export, self.facts, self.cells = export, facts, cells
        self.tags = list(tags)  # (code, constituent)
        self.extra = []  # cells beyond the heading
        self.short = 0  # cells missing at the end
        self.line = None  # physical line, known when written

    def tag(self, code, constituent=""):
        self.tags.append((code, constituent))
        return self

    def sample(self):
        return self.facts.get("sample", "")


class Export:
    def __init__(self, name, layout):
        self.name, self.layout, self.rows, self.tags = name, layout, [], []

    def of(self, sample):
        return [row for row in self.rows if row.sample() == sample]


class Bench:
    """One session at one instrument: readings follow each other by about a minute."""

    def __init__(self, chance, season, instrument, start, operator):
        self.chance, self.season, self.instrument, self.operator = chance, season, instrument, operator
        self.now = datetime.datetime.fromisoformat(start)
        self.offset = {}  # what a session adds to a constituent (dry basis)
        self.slope = {}  # what a constituent gains with each percent point of moisture above the packet's own
        self.controls_read = 0

    def _facts(self, sample, analysis, calibration):
        self.now += datetime.timedelta(seconds=self.chance.whole(56, 74))
        return {
            "time": self.now.strftime("%Y-%m-%d %H:%M:%S"),
            "sample": sample,
            "analysis": analysis,
            "instrument": self.instrument,
            "operator": self.operator,
            "calibration": calibration,
        }

    def standard(self, export, peak=None):
        facts = self._facts("Polystyrene", "Polystyrene", "")
        facts["peak"] = f"{self.chance.normal(1143.6, 0.08) if peak is None else peak:.2f}"
        export.rows.append(Reading(export, facts, {}))
        return export.rows[-1]

    def control(self, export, sample, **deviations):
        """A control reading; deviations in SD, otherwise small and of changing sign."""
        material, targets = CONTROLS[sample]
        truth = self._background(material)
        for name, target in targets.items():
            sign = 1 if (self.controls_read * 5 + len(name) * 3) % 7 in (0, 2, 3) else -1
            z = deviations.get(name, sign * self.chance.uniform(0.15, 0.95))
            truth[name] = target + z * CONTROL_SD[name]
        self.controls_read += 1
        analysis, calibration = ANALYSIS[material]
        return self._write(export, sample, truth, analysis, calibration)

    def _background(self, material):
        """The constituents of a control that nobody watches."""
        crop = material.split("-")[0]
        like = next(p for p in self.season.packets if p.crop == crop and p.row["oil_type"] == "normal")
        return genetics.readings_of(self.chance, like.truth, 1)[0]

    def read(self, export, sample, count, material=None, wetness=None):
        packet = self.season.by_id[sample]
        material = material or packet.row["material"]
        analysis, calibration = ANALYSIS[material]
        rows = []
        for values in genetics.readings_of(self.chance, packet.truth, count, wetness):
            for name, shift in self.offset.items():
                values[name] += shift
            for name, slope in self.slope.items():
                values[name] += slope * (values["moisture"] - packet.truth["moisture"])
            rows.append(self._write(export, sample, values, analysis, calibration))
        return rows

    def _write(self, export, sample, values, analysis, calibration):
        moisture = round(values["moisture"], 2)
        cells = {}
        for name in export.layout.constituents():
            value = values.get(name)
            if export.layout.basis.get(name) == "of protein":
                value = 100.0 * value / values["protein"]
            cells[name] = "" if value is None else export.layout.cell(name, value, moisture)
        facts = self._facts(sample, analysis, calibration)
        facts["calibration_distance"] = f"{self.chance.uniform(0.4, 1.9):.2f}"
        row = Reading(export, facts, cells)
        row.values = values
        export.rows.append(row)
        return row

    def ignored(self, export, sample, material):
        analysis, calibration = ANALYSIS[material]
        return self._write(export, sample, self._background(material), analysis, calibration)

    def queue(self, export, control, orders, plan):
        """A session's usual course: standard, control, samples with a control half way, control.

        `orders` are (sample, count); `plan` may say {"middle": deviations, "peak": nm or None, "wet": {sample: M}}.
        """
        if plan.get("peak", 0.0) is not None:
            self.standard(export, plan.get("peak"))
        self.control(export, control)
        for position, (sample, count) in enumerate(orders):
            if position == len(orders) // 2 and len(orders) > 20:
                self.control(export, control, **plan.get("middle", {}))
            self.read(
                export, sample, count, plan.get("material", {}).get(sample), plan.get("wet", {}).get(sample)
            )
        self.control(export, control)
