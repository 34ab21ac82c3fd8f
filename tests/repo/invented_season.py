"""An invented season of whole soybeans with realistic noise and, when asked, faults of stated size at known places.

250 lines in 6 plots (3 sites x 2 reps), two packs each: 3,000 readings of 25 correlated constituents on two instruments,
ten sessions each; a wavelength standard and controls in each, and some samples of each session read again in the next.
"""

import datetime
import random

LINES, SITES, REPS, PACKS, SESSIONS = 250, 3, 2, 2, 20
# Dry basis (fatty acids: of oil): mean, SD of lines, of plots, of single readings.
KEY = {
    "protein": (40.0, 1.6, 0.45, 0.18), "oil": (20.5, 1.0, 0.35, 0.14), "ash": (5.2, 0.2, 0.06, 0.05),
    "fiber": (5.2, 0.35, 0.12, 0.09), "starch": (1.0, 0.18, 0.06, 0.06), "sucrose": (5.4, 0.6, 0.25, 0.20),
    "raffinose": (0.8, 0.1, 0.04, 0.04), "stachyose": (3.0, 0.4, 0.15, 0.12), "palmitic": (10.8, 0.5, 0.15, 0.15),
    "stearic": (4.0, 0.25, 0.08, 0.08), "oleic": (23.0, 1.8, 0.7, 0.5), "linolenic": (7.6, 0.5, 0.2, 0.2),
    "arachidic": (0.35, 0.03, 0.01, 0.02),
}  # fmt: skip
AMINO = {  # percent of protein, SD of lines, of readings (percent of the sample)
    "lysine": (6.4, 0.10, 0.03), "methionine": (1.4, 0.04, 0.015), "cysteine": (1.5, 0.05, 0.02),
    "threonine": (4.0, 0.07, 0.02), "tryptophan": (1.3, 0.05, 0.015), "arginine": (7.9, 0.2, 0.05),
    "leucine": (8.2, 0.1, 0.03), "isoleucine": (4.9, 0.08, 0.03), "valine": (5.0, 0.08, 0.03),
    "histidine": (2.75, 0.06, 0.02),
}  # fmt: skip
OIL = ("palmitic", "stearic", "oleic", "linoleic", "linolenic", "arachidic")
NAMES = ["moisture", *list(KEY)[:11], "linoleic", *list(KEY)[11:], *AMINO]
CONTROL = {"protein": 40.1, "oil": 20.4}


class Season:
    def __init__(self, seed):
        self.random = random.Random(seed)
        self.truth, self.list_rows, self.rows = {}, [], []  # rows: dicts with time, instrument, sample, values
        self._grow()
        self._read()

    def normal(self, sd):
        return self.random.gauss(0.0, sd)

    def _grow(self):
        lines = []
        for _ in range(LINES):
            protein = self.normal(1.0)
            line = {name: self.normal(sd) for name, (_, sd, _, _) in KEY.items()}
            line["protein"] = KEY["protein"][1] * protein
            line["oil"] = KEY["oil"][1] * (-0.6 * protein + 0.8 * self.normal(1.0))
            line.update({name: self.normal(sd) for name, (_, sd, _) in AMINO.items()})
            lines.append(line)
        sites = [{name: self.normal(sd / 2) for name, (_, sd, _, _) in KEY.items()} for _ in range(SITES)]
        self.plan = []  # samples in the order of reading: site by site, rep by rep, in field order
        for site in range(SITES):
            for rep in range(REPS):
                order = list(range(LINES))
                self.random.shuffle(order)
                for plot, number in enumerate(order):
                    sample = f"{'NCS'[site]}{rep + 1}-{plot + 1:03}"
                    self.plan.append(sample)
                    self.list_rows.append(
                        (sample, f"L{number + 1:03}", "T26", f"site {site + 1}", str(rep + 1), str(plot + 1))
                    )
                    truth = {
                        name: mean + lines[number][name] + sites[site][name] + self.normal(plot_sd)
                        for name, (mean, _, plot_sd, _) in KEY.items()
                    }
                    truth["linoleic"] = 98.4 - sum(truth[name] for name in OIL if name != "linoleic")
                    for name, (share, _, _) in AMINO.items():
                        truth[name] = (share + lines[number][name]) / 100 * truth["protein"]
                    truth["moisture"] = 6.5 + self.normal(0.35)
                    truth["moisture"] = min(max(truth["moisture"], 5.5), 7.5)
                    self.truth[sample] = truth
        self.line_of = {row[0]: row[1] for row in self.list_rows}

    def values(self, truth):
        """One pack of a sample as the instrument predicts it: dry values back to the seed's moisture."""
        dry = {name: truth[name] + self.normal(sd) for name, (_, _, _, sd) in KEY.items()}
        moved = dry["oleic"] - truth["oleic"]  # what oleic gains, linoleic loses
        dry["linoleic"] = truth["linoleic"] - 0.85 * moved + self.normal(0.15)
        for name, (_, _, sd) in AMINO.items():
            dry[name] = truth[name] * dry["protein"] / truth["protein"] + self.normal(sd)
        moisture = truth["moisture"] + self.normal(0.07)
        values = {name: v if name in OIL else v * (100 - moisture) / 100 for name, v in dry.items()}
        values["moisture"] = moisture
        return values

    def _read(self):
        size = len(self.plan) // SESSIONS
        before = {}
        for session in range(SESSIONS):
            bench = ("Bench A", "Bench B")[session % 2]
            self.clock = datetime.datetime(2026, 10, 1 + session // 2, 17)
            self._add(bench, "Polystyrene", peak=1143.6 + self.normal(0.08))
            samples = self.plan[session * size : (session + 1) * size]
            for number, sample in enumerate(samples):
                if number == 0:
                    self._control(bench)
                for _ in range(PACKS):
                    self._add(bench, sample, self.values(self.truth[sample]), session=session)
            for sample in before.get(bench, [])[3:40:4]:
                self._add(bench, sample, self.values(self.truth[sample]), session=session)
            self._control(bench)
            before[bench] = samples

    def _control(self, bench):
        truth = dict(self.truth[self.plan[0]], **CONTROL, moisture=6.4)
        for name, (share, _, _) in AMINO.items():
            truth[name] = share / 100 * truth["protein"]
        self._add(bench, "CTRL", self.values(truth))

    def _add(self, bench, sample, values=None, peak=None, session=None):
        self.clock += datetime.timedelta(seconds=self.random.randint(40, 70))
        self.rows.append(
            {"time": self.clock, "bench": bench, "sample": sample, "values": values, "peak": peak, "session": session}
        )

    def seed_rows(self):
        return [row for row in self.rows if row["session"] is not None]

    def write(self, folder):
        units = {name: "% of oil" if name in OIL else "% as is" for name in NAMES}
        units["moisture"] = "%"
        heads = ["Sample ID", "Date time", "Instrument", "Analysis", "Peak (nm)"]
        text = ",".join(heads + [f"{name.capitalize()} ({units[name]})" for name in NAMES]) + "\n"
        for row in self.rows:
            analysis = "Polystyrene" if row["peak"] else "Soybean whole"
            peak = f"{row['peak']:.2f}" if row["peak"] else ""
            cells = [row["values"][name] if row["values"] else None for name in NAMES]
            text += ",".join(
                [row["sample"], row["time"].strftime("%Y-%m-%d %H:%M:%S"), row["bench"], analysis, peak]
                + ["" if cell is None else cell if isinstance(cell, str) else f"{cell:.2f}" for cell in cells]
            )
            text += "\n"
        (folder / "season.csv").write_text(text)
        listed = "".join(",".join(row) + "\n" for row in self.list_rows)
        (folder / "list.csv").write_text("sample,line,trial,environment,rep,plot\n" + listed)
        (folder / "rules.json").write_text(
            '{"standard": {"when": {"analysis": "Polystyrene"}}, "controls": {"CTRL": {'
            '"protein": {"target": 40.1, "sd": 0.18, "basis": "dry"}, '
            '"oil": {"target": 20.4, "sd": 0.14, "basis": "dry"}}}}\n'
        )
