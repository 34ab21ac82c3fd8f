"""The planted cases: each fault of seed, reading, typing or export, put in by hand and written down by code."""

import copy

from . import nights as course_of_nights
from .chance import Chance
from .genetics import readings_of


def before_reading(season):
    """Seed that really is unusual: it has to be so before anything is read."""
    odd = season.by_id["ER-118"].truth  # low protein and high oil in every reading
    odd.update(protein=30.9, oil=27.1)
    high = season.by_id["ER-251"].truth  # far above the other plots of its line, within range
    high["protein"] = min(high["protein"] + 4.3, 45.9)
    high["oil"] = min(high["oil"], 64.8 - high["protein"])


def after_reading(nights):
    e, season = nights.exports, nights.season
    _moisture(e)
    _values(e)
    _typing(e, season)
    _material(e)
    _sessions(e)
    _repeated(e)
    _stuck(e)
    _queue(e)
    _cup(e, season)
    for row in e["2026-10-07-east"].of("PR-120"):
        row.tag("read-both-ways")
    _remarks(nights)
    _shape(e)


def _moisture(e):
    for name, sample in (
        ("2026-10-05-east", "EH-114"),
        ("2026-10-09-east", "12E07"),
        ("2026-10-09-east", "11E09"),
        ("2026-10-09-east", "12E09"),
    ):
        for row in e[name].of(sample):
            row.tag("moisture-high")
    for row in e["2026-10-09-west"].of("GH-117"):
        row.tag("moisture-low")
    dry = e["2026-10-09-east"].of("EP-226")[0]  # the next packs of the same seed are sound
    dry.cells["moisture"] = "4.37"
    dry.tag("moisture-low")
    impossible = e["2026-10-05-west"].of("PH-117")[0]
    impossible.cells["moisture"] = "104.20"
    impossible.tag("moisture-impossible")
    absent = e["2026-10-05-east"].of("EH-126")[1]
    absent.cells["moisture"] = ""
    for name in ("protein", "oil", "fiber"):
        absent.tag("moisture-absent", name)


def _values(e):
    for row in e["2026-10-06-east"].of("ER-118"):
        row.tag("below-expected", "protein").tag("above-expected", "oil")
        row.tag("repeats-confirm", "protein").tag("repeats-confirm", "oil")
        row.tag("outlier-in-line", "protein").tag("outlier-in-line", "oil")
    for row in e["2026-10-08-east"].of("ER-251"):
        row.tag("outlier-in-line", "protein")
    oleic = e["2026-10-09-east"].of("EP-205")[1]
    oleic.cells.update(palmitic="10.31", stearic="3.92", oleic="33.42", linoleic="44.10", linolenic="6.55")
    oleic.tag("above-expected", "oleic").tag("below-expected", "linoleic")
    closure = e["2026-10-08-east"].of("ER-260")[1]  # each within its range, together 87.2
    closure.cells.update(palmitic="9.12", stearic="3.11", oleic="19.22", linoleic="49.86", linolenic="5.89")
    closure.tag("sum-off")
    lost_point = e["2026-10-05-east"].of("EH-133")[2]
    lost_point.cells["protein"] = lost_point.cells["protein"].replace(".", "")
    lost_point.tag("impossible-value", "protein")
    letter = e["2026-10-05-east"].of("EH-130")[1]
    letter.cells["oil"] = letter.cells["oil"][0] + "O." + letter.cells["oil"][3:]
    letter.tag("cell-unreadable", "oil")
    for sample in ("GH-112", "GH-131", "GH-140"):
        row = e["2026-10-09-west"].of(sample)[0]
        row.cells["linolenic"] = "<0.05"
        row.tag("below-limit", "linolenic")
    for name, sample, shifts in (
        ("2026-10-07-east", "ER-140", {"protein": 2.4}),
        ("2026-10-09-west", "GH-133", {"oil": -1.9}),
    ):
        rows = e[name].of(sample)
        for constituent, shift in shifts.items():
            rows[1].cells[constituent] = f"{float(rows[1].cells[constituent]) + shift:.2f}"
            rows[0].tag("repeats-disagree", constituent)
    far = e["2026-10-08-east"].of("ER-256")[2]
    far.facts["calibration_distance"] = "4.71"
    far.tag("outside-calibration")
    for name, sample, k, constituent in (  # cells left empty: no fault, and no zero
        ("2026-10-05-east", "EH-140", 0, "oleic"),
        ("2026-10-05-east", "EH-140", 1, "fiber"),
        ("2026-10-07-west", "PR-130", 0, "lysine"),
        ("2026-10-07-west", "PR-131", 1, "ash"),
        ("2026-10-12-west", "GR-140", 0, "behenic"),
    ):
        row = _row(e, name, sample, k)
        row.cells[constituent] = ""


def _row(e, name, sample, k):
    """The k-th reading of a sample on a night, or on any other night when it was not read then."""
    rows = e[name].of(sample)
    if not rows:
        rows = next(x.of(sample) for x in e.values() if x.of(sample))
    return rows[k]


def _rename(row, sample):
    row.facts["sample"] = sample
    return row


def _typing(e, season):
    _rename(e["2026-10-06-east"].of("EH-230")[2], "").tag("id-blank")
    _rename(_row(e, "2026-10-06-west", "PH-246", 1), "").tag("id-blank")
    _rename(e["2026-10-09-east"].of("EP-207")[2], "EP-2O7").tag("sample-unlisted")
    _rename(_row(e, "2026-10-06-west", "PR-133", 1), "PR-1133").tag("sample-unlisted")
    # A spreadsheet took 11E04 for 110,000 and wrote it its own way.
    _rename(e["2026-10-09-east"].of("11E04")[0], "1.10E+05").tag("id-altered").tag("sample-unlisted")
    for row in e["2026-08-03-east"].of("EH-120"):
        row.tag("id-reused")


def _material(e):
    night = e["2026-10-09-east"]
    unknown = copy.deepcopy(night.of("11E11")[1])
    unknown.export = night
    night.rows.insert(night.rows.index(night.of("11E11")[1]) + 1, unknown)
    unknown.facts.update(analysis="Quick scan", time=_later(unknown.facts["time"], 27), calibration="QS-1")
    unknown.cells["protein"] = f"{float(unknown.cells['protein']) + 0.04:.2f}"
    unknown.tag("material-unknown")
    e["2026-10-08-east"].of("EP-103")[0].facts["analysis"] = "Soy, ground"
    e["2026-10-08-east"].of("EP-103")[0].tag("material-mismatch")
    for sample in ("11E03", "12E03"):
        for row in night.of(sample):
            row.tag("grind-first")


def _later(time, seconds):
    minute, second = time[:-2], int(time[-2:]) + seconds
    if second < 60:
        return f"{minute}{second:02}"
    return f"{time[:-5]}{int(time[-5:-3]) + 1:02}:{second - 60:02}"


def _sessions(e):
    e["2026-10-08-west-morning"].rows[0].tag("standard-absent")
    e["2026-10-09-west-morning"].rows[0].tag("standard-off")
    e["2026-10-12-west-morning"].rows[0].tag("standard-off")
    controls = e["2026-10-06-east"].of("CTRL-SW")
    controls[1].tag("control-warning", "protein")
    e["2026-10-08-west"].of("CTRL-SG")[1].tag("control-action", "oil")
    e["2026-10-06-west"].rows[0].tag("session-offset", "protein")
    e["2026-10-12-east"].rows[0].tag("instruments-differ", "oil")
    e["2026-10-14-east"].rows[0].tag("moisture-dependence", "oil")
    for row in e["2026-10-13-west"].rows[-13:-1]:
        row.facts["calibration"] = "PG-25.3"
        row.tag("calibration-mixed")


def _repeated(e):
    """The second night's export begins with the last readings of the first, one of them changed."""
    first, second = e["2026-10-05-east"], e["2026-10-06-east"]
    again = [copy.deepcopy(row) for row in first.rows[-10:-1]]
    for row in again:
        row.export, row.tags = second, []
    for row in again[:8]:
        row.tag("reading-repeated")
    for name in ("palmitic", "stearic", "oleic"):  # shown with fewer digits where the last is a zero
        for row in again[:8]:
            row.cells[name] = row.cells[name][:-1] if row.cells[name].endswith("0") else row.cells[name]
    again[8].cells["fiber"] = f"{float(again[8].cells['fiber']) + 0.31:.2f}"
    again[8].tag("reading-changed", "fiber")
    second.rows[0:0] = again


def _stuck(e):
    """The instrument gave out the last reading again under the next ID."""
    night = e["2026-10-07-east"]
    last, following = night.of("ER-208")[2], night.of("ER-209")[0]
    following.cells = dict(last.cells)
    last.tag("stuck-reading")
    following.tag("stuck-reading")


def _queue(e):
    """A packet was passed over: the following readings stand under the ID before theirs."""
    night, queue = e["2026-10-08-east"], course_of_nights.QUEUE
    for row in night.of(queue[0]):
        night.rows.remove(row)
    for before, sample in zip(queue, queue[1:]):
        for row in night.of(sample)[:3]:
            _rename(row, before).tag("queue-shifted")


def _cup(e, season):
    """The cup was not changed: the first pack of one packet is the seed of the packet before."""
    night = e["2026-10-08-east"]
    last, first = night.of("EP-143")[2], night.of("EP-144")[0]
    values = readings_of(Chance(20261009), season.by_id["EP-143"].truth, 1)[0]
    moisture = round(values["moisture"], 2)
    first.cells = {name: night.layout.cell(name, values[name], moisture) for name in first.cells}
    last.tag("cup-unchanged")
    first.tag("cup-unchanged")  # its own later packs replace it, so they are not compared with it


REMARKS = (
    "seed a little dusty",
    "two halves,\nremoved",
    'marked "B" by hand',
    "cup refilled\nafter a spill\n",
    "",
)


def _remarks(nights):
    night = nights.exports["2026-10-09-east"]
    night.tags.append(("heading-unknown", "Cup"))
    for number, row in enumerate(night.rows):
        row.facts["cup"] = str(1 + number % 4)
        if number % 29 == 11:
            row.facts["remark"] = REMARKS[number // 29 % len(REMARKS)]
    for name in ("protein", "oil", "fiber"):
        nights.exports["2026-10-07-east"].tags.append(("basis-assumed", name))


def _shape(e):
    short = _row(e, "2026-10-08-west", "PP-140", 1)
    short.short = 2
    short.tag("layout-doubtful")
    rejected = _row(e, "2026-10-08-west", "PP-144", 1)
    rejected.extra = ["", "39.8"]
    rejected.tag("row-rejected")
