"""Lines, plots and packets of the season: what stands in samples.csv, with the true composition beside it."""

from . import genetics

COLUMNS = (
    "sample,line,trial,environment,year,rep,block,plot,check,material,kind,generation,oil_type,seed_coat,"
    "mass_g,keep_whole,treated,location,due,duplicate_of"
).split(",")
CHECKS = {"soybean": ("CK Amber", "CK Basalt", "CK Cedar"), "peanut": ("CK Dune", "CK Ember")}


class Packet:
    """One seed packet: a row of the sample list, and the seed inside."""

    def __init__(self, row, truth, crop):
        self.row, self.truth, self.crop = row, truth, crop
        self.id = row["sample"]


class Season:
    def __init__(self, chance):
        self.chance = chance
        self.effects = {}
        self.packets = []  # in list order
        self.by_id = {}

    def effect(self, line, crop, oil_type):
        if line not in self.effects:
            self.effects[line] = genetics.line_effects(self.chance, crop, oil_type)
        return self.effects[line]

    def add(self, sample, line, trial, site, crop, presentation, **more):
        row = dict.fromkeys(COLUMNS, "")
        oil_type = more.pop("oil_type", "normal")
        truth = more.pop("truth", None)
        row.update(
            sample=sample,
            line=line,
            trial=trial,
            environment=site,
            year="2026",
            material=f"{crop}-{presentation}",
            kind="plot",
            oil_type=oil_type,
            location="shelf " + site[0],
            check="yes" if line.startswith("CK ") else "",
        )
        row.update({key: str(value) for key, value in more.items()})
        if row["check"]:
            row["kind"] = "check"
        if truth is None:
            truth = genetics.plot_truth(self.chance, crop, oil_type, self.effect(line, crop, oil_type), site)
        packet = Packet(row, truth, crop)
        self.packets.append(packet)
        self.by_id[sample] = packet
        return packet

    def trial(self, trial, letter, lines, sites, reps, crop, presentation, oil_types=None, **more):
        """Every line once in each rep of each site, in random order; plots are numbered 101, 102, ... 201, ..."""
        oil_types = oil_types or {}
        for site in sites:
            for rep in range(1, reps + 1):
                order = self.chance.shuffle(list(lines))
                for position, line in enumerate(order, start=1):
                    plot = 100 * rep + position
                    self.add(
                        f"{letter}{site[0]}-{plot}",
                        line,
                        trial,
                        site,
                        crop,
                        presentation,
                        rep=rep,
                        block=rep,
                        plot=plot,
                        mass_g=self.chance.whole(90, 160),
                        oil_type=oil_types.get(line, "normal"),
                        **more,
                    )


def build(chance):
    season = Season(chance)
    soy, nut = CHECKS["soybean"], CHECKS["peanut"]
    elite = [f"LE-{n:03}" for n in range(1, 61)] + list(soy)
    early = [f"LP-{n:03}" for n in range(1, 65)] + list(soy)
    nuts = [f"NV-{n:02}" for n in range(1, 43)] + list(nut)
    spanish = [f"NS-{n:02}" for n in range(1, 19)] + list(nut)
    oil_types = {
        line: "high-oleic" for n, line in enumerate(nuts + spanish) if n % 3 == 2 and "CK" not in line
    }
    oil_types["CK Ember"] = "high-oleic"
    sites = ("HILL", "RIVER", "PLAIN")
    season.trial("SB26-ELITE", "E", elite, sites, 2, "soybean", "whole", generation="F7", due="2026-10-30")
    season.trial("SB26-EARLY", "P", early, sites, 2, "soybean", "ground", generation="F5", due="2026-11-06")
    season.trial(
        "PN26-MAIN", "G", nuts, sites, 2, "peanut", "whole", oil_types, generation="F6", due="2026-11-13"
    )
    season.trial(
        "PN26-SMALL",
        "S",
        spanish,
        ("RIVER", "PLAIN"),
        2,
        "peanut",
        "ground",
        oil_types,
        generation="F6",
        due="2026-11-20",
    )
    _nursery(season)
    _store(season)
    _twins(season)
    return season


def _nursery(season):
    """Two short rows of an observation nursery whose IDs look like numbers to a spreadsheet."""
    more = {
        "LN-03": {"seed_coat": "black"},
        "LN-04": {"seed_coat": "black", "keep_whole": "yes"},
        "LN-05": {"seed_coat": "brown", "treated": "yes"},
        "LN-06": {"seed_coat": "yellow"},
    }
    for rep in (1, 2):
        for n in range(1, 13):
            line = f"LN-{n:02}"
            season.add(
                f"1{rep}E{n:02}",
                line,
                "SB26-NURSERY",
                "HILL",
                "soybean",
                "whole",
                rep=rep,
                block=rep,
                plot=f"N{rep}{n:02}",
                generation="F4",
                mass_g=season.chance.whole(25, 60),
                **more.get(line, {}),
            )
    season.by_id["11E11"].row["material"] = ""


def _store(season):
    """Remnant seed of the year before, two packets a line, without plots."""
    for n in range(1, 4):
        for packet in ("A", "B"):
            season.add(
                f"RS-{n}{packet}",
                f"LR-{n:02}",
                "SB26-STORE",
                "STORE",
                "soybean",
                "whole",
                year="2025",
                kind="remnant",
                mass_g=season.chance.whole(200, 400),
                location="cold store",
            )


def _twins(season):
    """Two packets of one plot, and blind duplicates: other IDs, the same seed."""

    def twin(original, sample, **more):
        packet = season.by_id[original]
        row = {key: value for key, value in packet.row.items() if value and key not in ("check", "kind")}
        row.update(sample=sample, kind=packet.row["kind"], check=packet.row["check"], **more)
        copy = season.add(
            sample,
            packet.row["line"],
            packet.row["trial"],
            packet.row["environment"],
            packet.crop,
            "",
            truth=dict(packet.truth),
        )
        copy.row.update(row)

    for plot in ("EH-105", "ER-212", "PP-133"):
        twin(plot, plot + "B", mass_g="84")
    for number, original in (("7701", "EP-118"), ("7702", "PH-240"), ("7703", "GR-109")):
        twin(original, "BD-" + number, duplicate_of=original)
    season.by_id["PR-120"].row["material"] = ""
