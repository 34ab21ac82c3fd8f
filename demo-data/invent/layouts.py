"""How each export lays out its columns: heading, what stands below it, basis and unit of the numbers."""

FACTS = {"time", "sample", "analysis", "instrument", "operator", "calibration", "remark", "cup", "peak"}
FATTY = ("palmitic", "stearic", "oleic", "linoleic", "linolenic")
LONG_CHAINS = ("arachidic", "gondoic", "behenic", "lignoceric")
AMINO = ("lysine", "methionine", "cysteine", "threonine", "tryptophan")
UNCONVERTED = FATTY + LONG_CHAINS + ("moisture",)
DECIMALS = {"lysine": 3, "methionine": 3, "cysteine": 3, "threonine": 3, "tryptophan": 3}


class Layout:
    def __init__(self, columns):
        self.headings = [heading for heading, *_ in columns]
        self.fields = [column[1] for column in columns]
        self.basis = {column[1]: column[2] for column in columns if len(column) > 2}
        self.factor = {column[1]: column[3] for column in columns if len(column) > 3}

    def constituents(self):
        return [f for f in self.fields if f not in FACTS and f != "calibration_distance"]

    def cell(self, name, value, moisture):
        """The text of a cell for a dry-basis value (or one that never converts) at this reading's moisture."""
        if name not in UNCONVERTED:
            target = self.basis.get(name, "as-is")
            if target == "of protein":
                pass
            elif target == "as-is":
                value = value * (100.0 - moisture) / 100.0
            elif target != "dry":
                value = value * (100.0 - float(target)) / 100.0
        places = DECIMALS.get(name, 2)
        return f"{value * self.factor.get(name, 1):.{places}f}"


def _whole(text, basis, extra=()):
    return Layout(
        [
            ("Date time", "time"),
            ("Sample ID", "sample"),
            ("Analysis", "analysis"),
            ("Moisture (%)", "moisture"),
            (f"Protein{text}", "protein", basis),
            (f"Oil{text}", "oil", basis),
            (f"Fiber{text}", "fiber", basis),
            ("Palmitic (% of oil)", "palmitic"),
            ("Stearic (% of oil)", "stearic"),
            ("Oleic (% of oil)", "oleic"),
            ("Linoleic (% of oil)", "linoleic"),
            ("Linolenic (% of oil)", "linolenic"),
            ("Calibration distance", "calibration_distance"),
            ("Peak (nm)", "peak"),
            ("Instrument", "instrument"),
            ("Operator", "operator"),
            ("Calibration", "calibration"),
            *extra,
        ]
    )


WHOLE_AS_IS = _whole(" (% as-is)", "as-is")
WHOLE_UNSTATED = _whole(" (%)", "as-is")
WHOLE_13 = _whole(" 13% mb", "13")
WHOLE_REMARKS = _whole(" (% as-is)", "as-is", [("Cup", "cup"), ("Remark", "remark")])
GROUND = Layout(
    [
        ("Instrument", "instrument"),
        ("Read at", "time"),
        ("Product", "analysis"),
        ("Calibration version", "calibration"),
        ("Packet ID", "sample"),
        ("Crude protein [% DM]", "protein", "dry"),
        ("Crude oil [% DM]", "oil", "dry"),
        ("Moisture [%]", "moisture"),
        ("Ash [% DM]", "ash", "dry"),
        ("Sucrose [g/kg DM]", "sucrose", "dry", 10),
        ("Raffinose [g/kg DM]", "raffinose", "dry", 10),
        ("Stachyose [g/kg DM]", "stachyose", "dry", 10),
        ("Lysine [% DM]", "lysine", "dry"),
        ("Methionine [% DM]", "methionine", "dry"),
        ("Cysteine [% DM]", "cysteine", "dry"),
        ("Threonine [% DM]", "threonine", "dry"),
        ("Tryptophan [% DM]", "tryptophan", "dry"),
        ("Polystyrene peak [nm]", "peak"),
        ("User", "operator"),
    ]
)
# A German instrument computer; the commas between the cells and the decimal points are the export's own.
PEANUT = Layout(
    [
        ("Probe", "sample"),
        ("Datum Zeit", "time"),
        ("Gerät", "instrument"),
        ("Produkt", "analysis"),
        ("Kalibration", "calibration"),
        ("Bediener", "operator"),
        ("Feuchte %", "moisture"),
        ("Öl % as-is", "oil", "as-is"),
        ("Protein % as-is", "protein", "as-is"),
        ("Mineralstoffe % as-is", "ash", "as-is"),
        ("Saccharose % as-is", "sucrose", "as-is"),
        ("C16:0 [% of oil]", "palmitic"),
        ("C18:0 [% of oil]", "stearic"),
        ("C18:1 [% of oil]", "oleic"),
        ("C18:2 [% of oil]", "linoleic"),
        ("C18:3 [% of oil]", "linolenic"),
        ("C20:0 [% of oil]", "arachidic"),
        ("C20:1 [% of oil]", "gondoic"),
        ("C22:0 [% of oil]", "behenic"),
        ("C24:0 [% of oil]", "lignoceric"),
        ("Wellenlänge [nm]", "peak"),
    ]
)
