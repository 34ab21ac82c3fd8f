"""The course of the season: which packets each instrument read on which night, before any fault of typing."""

from . import layouts
from .chance import Chance
from .readings import Bench, EAST, Export, WEST

UNREAD = ("EP-141", "PP-250", "GP-120")
WET = {"EH-114": 9.41, "12E07": 8.92, "11E09": 9.63, "12E09": 10.34, "EP-226": None, "GH-117": 4.12}


class Nights:
    def __init__(self, chance, season, exports=None):
        self.chance, self.season = chance, season
        self.exports = {} if exports is None else exports

    def export(self, name, layout):
        self.exports[name] = Export("exports/" + name + ".csv", layout)
        return self.exports[name]

    def bench(self, instrument, start, operator):
        return Bench(self.chance, self.season, instrument, start, operator)


def _ids(season, trial, reserved=()):
    return [
        p.id
        for p in season.packets
        if p.row["trial"] == trial and p.id not in UNREAD and p.id not in reserved
    ]


def _chunks(items, parts):
    bounds = [len(items) * k // parts for k in range(parts + 1)]
    return [items[a:b] for a, b in zip(bounds, bounds[1:])]


def read_all(chance, season):
    nights = Nights(chance, season)
    _summer(nights)
    _east(nights)
    _west_ground(nights)
    _west_mornings(nights)
    _west_peanut(nights)
    _dried(nights)
    _missed(nights)
    return nights


# A queue in which one packet was passed over: the readings of the others stand one place too early, until the
# last of them is read again at the end of the night.
QUEUE = tuple(f"EP-{plot}" for plot in range(111, 120))


def _missed(nights):
    bench = Bench(Chance(20261008), nights.season, EAST, "2026-10-08T21:40:00", "TK")
    bench.read(nights.exports["2026-10-08-east"], QUEUE[-1], 3)


# Read again on the last day: these as they are, those after drying in a cabinet.
AS_THEY_ARE = ("EH-109", "EH-117", "EH-125", "EH-133", "EH-141", "EH-149")
DRIED = ("EH-101", "EH-103", "EH-107", "EH-112", "EH-119", "EH-127", "EH-142", "EH-145", "EH-150", "EH-156")


def _dried(nights):
    """Seed of one lot at two moistures: oil on dry basis follows the moisture, which it must not."""
    nights = Nights(Chance(20261014), nights.season, nights.exports)  # no other draw changes
    bench = nights.bench(EAST, "2026-10-14T09:00:00", "TK")
    export = nights.export("2026-10-14-east", layouts.WHOLE_AS_IS)
    bench.slope = {"oil": 0.45}  # for each percent point of moisture
    plan = {"wet": {sample: 5.25 + 0.04 * k for k, sample in enumerate(DRIED)}}
    bench.queue(export, "CTRL-SW", [(sample, 2) for sample in AS_THEY_ARE + DRIED], plan)


def _summer(nights):
    """Remnant seed, read two months before the season; one ID of it will be used again."""
    bench = nights.bench(EAST, "2026-08-03T09:10:00", "ML")
    export = nights.export("2026-08-03-east", layouts.WHOLE_AS_IS)
    orders = [(f"RS-{n}{packet}", 2) for n in (1, 2, 3) for packet in "AB"] + [("EH-120", 1)]
    bench.queue(export, "CTRL-SW", orders, {})


def _east(nights):
    """Whole soybean, three readings a packet, five nights; each night in the layout its operator likes."""
    season = nights.season
    parts = _chunks(_ids(season, "SB26-ELITE"), 5)
    nursery = _ids(season, "SB26-NURSERY")
    styles = (
        layouts.WHOLE_AS_IS,
        layouts.WHOLE_AS_IS,
        layouts.WHOLE_UNSTATED,
        layouts.WHOLE_13,
        layouts.WHOLE_REMARKS,
    )
    for night, (part, style) in enumerate(zip(parts, styles)):
        bench = nights.bench(EAST, f"2026-10-{5 + night:02}T17:02:00", ("ML", "ML", "TK", "TK", "ML")[night])
        export = nights.export(f"2026-10-{5 + night:02}-east", style)
        orders = [(sample, 3) for sample in part]
        plan = {"wet": {s: m for s, m in WET.items() if m}}
        if night == 0:
            bench.ignored(export, "test 1", "soybean-whole")
            bench.ignored(export, "warm-up 2", "soybean-whole")
        if night == 1:
            plan["wet"] = {}
            plan["middle"] = {"protein": 2.4}
            orders.append(("EH-114", 3))  # dried, and read again
        if night == 2:
            orders.insert(9, ("PR-120", 2))  # read ground, and whole
            plan["material"] = {"PR-120": "soybean-whole"}
        if night == 3:
            orders += [(sample, 1) for sample in parts[0][2:20:3]]  # read again: links the nights
        if night == 4:
            orders += [(sample, 2) for sample in nursery]
            plan["material"] = {"11E11": "soybean-whole"}
        bench.queue(export, "CTRL-SW", orders, plan)
    bench = nights.bench(EAST, "2026-10-12T17:00:00", "TK")
    export = nights.export("2026-10-12-east", layouts.PEANUT)
    bench.offset = {"oil": 0.9}  # differs from the other bench in peanut oil
    linked = [s for s in _ids(season, "PN26-MAIN") if s.startswith("GH-1")][3:15]
    bench.queue(export, "CTRL-PK", [(sample, 2) for sample in linked], {})


def mornings(season):
    late = [s for s in _ids(season, "SB26-EARLY") if s.startswith("PP-2")]
    return late[:14], late[14:24], late[24:34]


def _west_ground(nights):
    """Ground soybean, two readings a packet, four nights on the other instrument."""
    season = nights.season
    reserved = {s for part in mornings(season) for s in part}
    parts = _chunks(_ids(season, "SB26-EARLY", reserved), 4)
    for night, part in enumerate(parts):
        bench = nights.bench(WEST, f"2026-10-{5 + night:02}T17:10:00", ("RB", "RB", "JS", "JS")[night])
        export = nights.export(f"2026-10-{5 + night:02}-west", layouts.GROUND)
        orders = [(sample, 2) for sample in part]
        plan = {"material": {"PR-120": "soybean-ground"}}
        if night == 0:
            bench.ignored(export, "warm-up 1", "soybean-ground")
        if night == 1:
            bench.offset = {"protein": 0.6}  # this session reads high; no control shows it
            orders += [(sample, 1) for sample in parts[0][5:65:5]]
        if night == 2:
            orders += [(sample, 1) for sample in parts[0][3:27:4]]
        if night == 3:
            plan["middle"] = {"oil": -3.6}
        bench.queue(export, "CTRL-SG", orders, plan)


def _west_mornings(nights):
    """Three short mornings: no wavelength standard, one a little off, one far off."""
    for day, part, peak in zip(("08", "09", "12"), mornings(nights.season), (None, 1144.31, 1144.92)):
        bench = nights.bench(WEST, f"2026-10-{day}T08:30:00", "JS")
        export = nights.export(f"2026-10-{day}-west-morning", layouts.GROUND)
        bench.queue(export, "CTRL-SG", [(sample, 2) for sample in part], {"peak": peak})


def _west_peanut(nights):
    season = nights.season
    first, second = _chunks(_ids(season, "PN26-MAIN"), 2)
    bench = nights.bench(WEST, "2026-10-09T16:40:00", "RB")
    links = nights.export("2026-10-09-west-links", layouts.WHOLE_AS_IS)
    bench.standard(links)
    for sample in _ids(season, "SB26-ELITE")[40:70:3]:  # read on both benches, no difference
        bench.read(links, sample, 1)
    bench.queue(
        nights.export("2026-10-09-west", layouts.PEANUT),
        "CTRL-PK",
        [(s, 2) for s in first],
        {"wet": {"GH-117": WET["GH-117"]}},
    )
    bench = nights.bench(WEST, "2026-10-12T16:50:00", "RB")
    again = nights.export("2026-10-12-west-again", layouts.GROUND)
    bench.standard(again)
    for sample in mornings(season)[2][:6]:  # the standard was off that morning
        bench.read(again, sample, 2)
    bench.queue(
        nights.export("2026-10-12-west", layouts.PEANUT),
        "CTRL-PK",
        [(s, 2) for s in second] + [(s, 1) for s in first[20:44:4]],
        {},
    )
    bench = nights.bench(WEST, "2026-10-13T17:00:00", "JS")
    bench.queue(
        nights.export("2026-10-13-west", layouts.PEANUT),
        "CTRL-PG",
        [(s, 2) for s in _ids(season, "PN26-SMALL")],
        {},
    )
