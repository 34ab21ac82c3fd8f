"""What the invented seed is made of: dry-basis composition from line, environment, plot and reading.

Every value is drawn again until it lies inside the usual ranges with room to spare, so that no rule about values
fires in this season except where a fault was planted. Fatty acids are percent of oil, all else percent of dry
matter; moisture is percent as is.
"""

SOY = {  # mean, SD between lines, SD between plots, low and high that are kept
    "protein": (40.4, 1.25, 0.55, 36.6, 44.6),
    "ash": (5.05, 0.10, 0.06, 4.6, 5.6),
    "fiber": (5.10, 0.20, 0.12, 4.2, 6.2),
    "palmitic": (10.6, 0.50, 0.18, 8.9, 12.6),
    "stearic": (4.0, 0.28, 0.10, 3.0, 5.0),
    "oleic": (23.0, 1.60, 0.70, 18.6, 27.6),
    "linolenic": (7.8, 0.60, 0.22, 5.8, 10.0),
    "sucrose": (5.6, 0.55, 0.25, 3.6, 7.6),
    "raffinose": (0.80, 0.09, 0.04, 0.45, 1.2),
    "stachyose": (3.60, 0.28, 0.12, 2.6, 4.6),
}
AMINO = {"lysine": 6.40, "methionine": 1.40, "cysteine": 1.50, "threonine": 3.95, "tryptophan": 1.28}
PEANUT = {
    "protein": (26.4, 0.95, 0.45, 23.4, 29.6),
    "ash": (2.55, 0.08, 0.05, 2.25, 2.9),
    "sucrose": (4.7, 0.50, 0.22, 3.1, 6.8),
}
NORMAL_OIL = {
    "palmitic": (10.2, 0.55, 0.18, 8.6, 12.2),
    "stearic": (3.0, 0.25, 0.10, 2.2, 3.9),
    "oleic": (50.0, 3.2, 1.00, 41.0, 60.0),
    "arachidic": (1.40, 0.07, 0.03, 1.15, 1.7),
    "gondoic": (1.10, 0.07, 0.03, 0.85, 1.4),
    "behenic": (2.90, 0.18, 0.08, 2.2, 3.6),
    "lignoceric": (1.30, 0.09, 0.04, 1.0, 1.7),
}
HIGH_OLEIC = {
    "palmitic": (6.5, 0.25, 0.10, 5.7, 7.3),
    "stearic": (2.4, 0.16, 0.07, 1.9, 3.0),
    "oleic": (77.6, 0.55, 0.30, 75.8, 79.0),
    "arachidic": (1.25, 0.05, 0.02, 1.1, 1.5),
    "gondoic": (1.58, 0.04, 0.02, 1.4, 1.69),
    "behenic": (2.30, 0.12, 0.06, 1.8, 2.8),
    "lignoceric": (1.25, 0.07, 0.04, 0.95, 1.6),
}
ENVIRONMENT = {  # protein, oil, oleic, moisture: what a site does to all its seed
    "HILL": (0.55, -0.30, -0.8, 0.15),
    "RIVER": (-0.50, 0.35, 0.2, -0.10),
    "PLAIN": (-0.05, -0.05, 0.9, 0.00),
    "STORE": (0.0, 0.0, 0.0, 0.0),
}
# SD of one reading beside another of the same seed.
READING = {
    "moisture": 0.04,
    "protein": 0.10,
    "oil": 0.08,
    "ash": 0.03,
    "fiber": 0.07,
    "sucrose": 0.08,
    "raffinose": 0.02,
    "stachyose": 0.06,
    "palmitic": 0.10,
    "stearic": 0.06,
    "oleic": 0.22,
    "linoleic": 0.22,
    "linolenic": 0.08,
    "arachidic": 0.02,
    "gondoic": 0.02,
    "behenic": 0.03,
    "lignoceric": 0.02,
    "lysine": 0.015,
    "methionine": 0.006,
    "cysteine": 0.006,
    "threonine": 0.010,
    "tryptophan": 0.005,
}


def _table(crop, oil_type):
    return (
        SOY if crop == "soybean" else {**PEANUT, **(HIGH_OLEIC if oil_type == "high-oleic" else NORMAL_OIL)}
    )


def line_effects(chance, crop, oil_type):
    """The genetic part of a line: its deviation from the mean for each constituent.

    Drawn again until the line is within the usual ranges at every site.
    """
    table = _table(crop, oil_type)
    while True:
        effects = {name: chance.normal(0.0, sd) for name, (_, sd, _, _, _) in table.items()}
        # Protein and oil of one seed compete: a negative correlation of about -0.8.
        effects["oil"] = -0.52 * effects["protein"] + chance.normal(0.0, 0.42 if crop == "soybean" else 0.75)
        # A line answers to each environment in its own way.
        effects["gxe"] = {site: chance.normal(0.0, 0.40) for site in ("HILL", "RIVER", "PLAIN")}
        centres = [_draw(chance, crop, oil_type, effects, site, 0.0) for site in ENVIRONMENT]
        if all(_usual(crop, oil_type, centre, table) for centre in centres):
            return effects


def _draw(chance, crop, oil_type, effects, site, plot):
    """One plot's composition; `plot` scales what is the plot's own (0: the line's mean at the site)."""
    env_protein, env_oil, env_oleic, env_moisture = ENVIRONMENT[site]
    if oil_type == "high-oleic":
        env_oleic *= 0.3
    gxe = effects["gxe"].get(site, 0.0)
    truth = {}
    for name, (mean, _, plot_sd, _, _) in _table(crop, oil_type).items():
        truth[name] = mean + effects[name] + plot * chance.normal(0.0, plot_sd, 1.7)
    truth["protein"] += env_protein + gxe
    truth["oleic"] += env_oleic
    mean_oil = 20.6 if crop == "soybean" else 49.4
    truth["oil"] = mean_oil + effects["oil"] + env_oil - 0.4 * gxe + plot * chance.normal(0.0, 0.28, 1.7)
    truth["moisture"] = 6.4 + env_moisture + chance.normal(0.0, 0.30)
    _close_fatty_acids(chance, crop, truth)
    if crop == "soybean":
        for name, share in AMINO.items():
            truth[name] = truth["protein"] * share / 100.0 * (1.0 + plot * chance.normal(0.0, 0.012, 1.7))
    return truth


def plot_truth(chance, crop, oil_type, effects, site):
    """Dry-basis composition and as-is moisture of one plot's seed; drawn again until all is within range."""
    for _ in range(10000):
        truth = _draw(chance, crop, oil_type, effects, site, 1.0)
        if _usual(crop, oil_type, truth, _table(crop, oil_type)):
            return truth
    raise AssertionError("no plot within the usual ranges: the tables above contradict each other")


def _close_fatty_acids(chance, crop, truth):
    total = chance.normal(98.3, 0.2) if crop == "soybean" else chance.normal(99.2, 0.15)
    names = ("palmitic", "stearic", "oleic", "linolenic", "arachidic", "gondoic", "behenic", "lignoceric")
    if crop == "peanut":
        truth["linolenic"] = chance.uniform(0.08, 0.16)
    truth["linoleic"] = total - sum(truth.get(name, 0.0) for name in names)


def iodine_value(truth):
    """AOCS Cd 1c-85, for the redraw only."""
    return (
        0.860 * truth["oleic"]
        + 1.732 * truth["linoleic"]
        + 2.616 * truth.get("linolenic", 0.0)
        + 0.785 * truth.get("gondoic", 0.0)
    )


def _usual(crop, oil_type, truth, table):
    inside = all(low <= truth[name] <= high for name, (_, _, _, low, high) in table.items())
    total = truth["protein"] + truth["oil"]
    if crop == "soybean":
        return (
            inside
            and 17.6 <= truth["oil"] <= 23.8
            and 57.5 <= total <= 64.2
            and 50.0 <= truth["linoleic"] <= 57.8
            and 126.0 <= iodine_value(truth) <= 137.0
        )
    linoleic = (4.8, 7.5) if oil_type == "high-oleic" else (16.0, 39.0)
    iodine = (77.6, 100.0) if oil_type == "high-oleic" else (87.5, 105.0)
    return (
        inside
        and 45.5 <= truth["oil"] <= 54.0
        and 72.0 <= total <= 80.5
        and linoleic[0] <= truth["linoleic"] <= linoleic[1]
        and iodine[0] <= iodine_value(truth) <= iodine[1]
    )


def readings_of(chance, truth, count, wetness=None):
    """`count` readings of one sample within one session: dry-basis values and moisture, close to each other.

    The spread of key constituents is held below the critical range of ISO 5725-6 for the season's own standard
    deviation, so that no repeats disagree by accident.
    """
    limit = 1.50 if count <= 2 else 1.75
    while True:
        moisture = truth["moisture"] if wetness is None else wetness
        drawn = []
        for _ in range(count):
            one = {
                name: value + chance.normal(0.0, min(READING[name], 0.15 * value), 1.6)
                for name, value in truth.items()
                if name != "moisture"
            }
            # What a reading finds too much of oleic acid it mostly finds too little of linoleic acid.
            one["linoleic"] = (
                truth["linoleic"] - 0.85 * (one["oleic"] - truth["oleic"]) + chance.normal(0.0, 0.06, 1.6)
            )
            one["moisture"] = moisture + chance.normal(0.0, READING["moisture"], 1.6)
            drawn.append(one)
        close = all(
            max(d[name] for d in drawn) - min(d[name] for d in drawn) <= limit * READING[name] - 0.012
            for name in ("moisture", "protein", "oil")
        )
        if close and (wetness is not None or all(5.4 <= d["moisture"] <= 7.6 for d in drawn)):
            return drawn
