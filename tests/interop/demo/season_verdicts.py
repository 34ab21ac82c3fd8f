"""The independent computation, part 2: kind, material, session and verdict of each reading.

`codes` is the set of findings that the program under test knows: only those have an effect here, so that the
comparison works while rules are still being added.
"""

import datetime
from collections import defaultdict

from season_input import matches

# Codes with an effect on verdicts or values; `check.py` asks the program which of them it knows.
EFFECTIVE = {
    "moisture-low",
    "moisture-high",
    "moisture-impossible",
    "moisture-absent",
    "impossible-value",
    "id-blank",
    "reading-repeated",
    "reading-changed",
    "sample-unlisted",
    "material-unknown",
    "material-mismatch",
    "outside-calibration",
    "stuck-reading",
    "standard-absent",
    "standard-off",
    "id-altered",
    "id-reused",
    "repeats-disagree",
    "grind-first",
    "sum-off",
    "outlier-in-line",
    "cup-unchanged",
    "queue-shifted",
    "read-both-ways",
}
# Rules too long to be written a second time; what they have to find was planted, so that is taken instead.
PLANTED = ("sum-off", "outlier-in-line", "cup-unchanged", "queue-shifted")
WINDOW = (5.0, 8.0)  # moisture as is, bounds inclusive (common practice)
POSSIBLE = {  # dry basis: beyond it a value is implausible (common practice)
    "soybean": {
        "protein": (25, 60),
        "oil": (8, 32),
        "ash": (3, 9),
        "fiber": (2, 12),
        "sucrose": (0, 14),
        "raffinose": (0, 3),
        "stachyose": (0, 8),
    },
    "peanut": {"protein": (14, 42), "oil": (30, 65), "ash": (1.5, 5), "sucrose": (0, 14)},
}
DISTANCE = 3.0  # to the calibration
STANDARD = (1143.6, 0.5, 1.0)  # nm: target, review, exclude
GAP = datetime.timedelta(hours=4)
REUSED_AFTER = datetime.timedelta(days=60)
REPEATABILITY = {"protein": 0.18, "oil": 0.14, "moisture": 0.07}
# Range of normals at 0.3 % shared by three constituents, in the manner of ISO 5725-6.
RANGE_FACTOR = {2: 4.6535, 3: 5.0635, 4: 5.3088, 5: 5.4838}
DARK = ("black", "brown", "dark")


def time_of(reading):
    return datetime.datetime.fromisoformat(reading.fact("time"))


def judge(readings, listed, rules, codes, planted):
    """Sets kind, material, session, lost values and verdict of every reading."""
    _kinds(readings, rules, codes)
    seed = [r for r in readings if r.kind == "seed"]
    for r in seed:
        r.material = _material(r, listed, rules)
    sessions = _sessions([r for r in readings if r.kind != "repeated"])
    _phase_reading(seed, listed, rules, codes)
    if "stuck-reading" in codes:
        _stuck(sessions)
    cups = {(case["source"], case["row"]) for case in planted.get("cup-unchanged", [])}
    for r in seed:
        if "cup-unchanged" in codes and (r.source, r.row) in cups:
            r.fault = True  # which seed was in the cup is not known: a later clean reading supersedes
    _phase_sample(seed, listed, codes)
    _phase_session(sessions, codes)
    odd = {(case["source"], case["row"]) for code in PLANTED if code in codes for case in planted.get(code, [])}
    for r in seed:
        if (r.source, r.row) in odd:
            r.levels.append("review")
    _settle(seed)
    if "read-both-ways" in codes:
        _whole_and_ground(seed, listed)


def _kinds(readings, rules, codes):
    first = {}
    for r in readings:
        sample = r.fact("sample")
        if any(matches(p, sample) for p in rules["ignore"]["sample"]):
            r.kind = "ignored"
        elif matches(rules["standard"]["when"]["analysis"], r.fact("analysis")):
            r.kind = "standard"
        elif any(matches(p, sample) for p in rules["controls"]):
            r.kind = "control"
        original = first.setdefault(r.key(), r)
        if original is not r and "reading-repeated" in codes:
            if original.values == r.values and original.bad == r.bad:
                r.kind = "repeated"
            elif "reading-changed" in codes:
                # Which of the two counts is for a person to say: until then the first, marked.
                r.kind = "repeated"
                original.levels.append("review")


def _material(reading, listed, rules):
    row = listed.get(reading.fact("sample"))
    if row and row["material"]:
        return row["material"]
    return _read_as(reading, rules)


def _read_as(reading, rules):
    for name, material in rules["materials"].items():
        if matches(material["when"]["analysis"], reading.fact("analysis")):
            return name
    return ""


def _sessions(readings):
    """Readings of one instrument without a gap above four hours, each in order of time."""
    benches = defaultdict(list)
    for r in readings:
        benches[r.fact("instrument")].append(r)
    sessions = []
    for bench in benches.values():
        bench.sort(key=lambda r: (time_of(r), r.source.encode(), r.row))
        for before, r in zip([None] + bench, bench):
            if before is None or time_of(r) - time_of(before) > GAP:
                sessions.append([])
            sessions[-1].append(r)
            r.session = len(sessions) - 1
    return sessions


def _phase_reading(seed, listed, rules, codes):
    for r in seed:
        moisture = r.values.get("moisture")
        if moisture is not None:
            if not 0 <= moisture < 100:
                _fault(r, "moisture-impossible", codes)
            elif moisture < WINDOW[0]:
                _fault(r, "moisture-low", codes)
            elif moisture > WINDOW[1]:
                _fault(r, "moisture-high", codes)
        if not r.fact("sample") and "id-blank" in codes:
            r.levels.append("exclude")
        if not r.material and "material-unknown" in codes:
            r.levels.append("review")
        row = listed.get(r.fact("sample"))
        read_as = _read_as(r, rules)
        if (
            row
            and row["material"]
            and read_as
            and read_as != row["material"]
            and "material-mismatch" in codes
        ):
            r.levels.append("review")
            r.fault = True
        if "grind-first" in codes and row and r.material.endswith("-whole") and row["seed_coat"] in DARK:
            if not row["keep_whole"] and not row["treated"]:
                r.levels.append("review")
        if "outside-calibration" in codes and float(r.values.get("calibration_distance", 0)) > DISTANCE:
            r.levels.append("review")
        if "impossible-value" in codes:
            r.lost |= {
                name for name, value in r.values.items() if name != "moisture" and _impossible(r, name, value)
            }


def _fault(reading, code, codes):
    if code in codes:
        reading.levels.append("exclude")
        reading.fault = True


def _impossible(reading, name, value):
    if name in ("peak", "calibration_distance"):
        return False
    if not 0 <= value <= 100:
        return True
    limits = POSSIBLE.get(reading.material.split("-")[0], {}).get(name)
    dry = converted(reading, name, "dry")
    return bool(limits and dry is not None and not limits[0] <= dry <= limits[1])


def converted(reading, name, wanted):
    """The value of a constituent on the wanted basis (`dry`, `as-is` or percent); None when it cannot be had."""
    if name in reading.lost or name not in reading.values:
        return None
    value, basis = float(reading.values[name]), reading.basis[name]
    if name in STAYS or basis == wanted:
        return value
    moisture = reading.values.get("moisture")
    if "as-is" in (basis, wanted):
        if moisture is None or not 0 <= moisture < 100:
            return None
    level = lambda b: {"dry": 0.0, "as-is": None}.get(b, b)
    percent = lambda b: float(moisture) if level(b) is None else float(level(b))
    return value * (100.0 - percent(wanted)) / (100.0 - percent(basis))


STAYS = {
    "moisture",
    "palmitic",
    "stearic",
    "oleic",
    "linoleic",
    "linolenic",
    "arachidic",
    "gondoic",
    "behenic",
    "lignoceric",
    "peak",
    "calibration_distance",
}


def _stuck(sessions):
    for session in sessions:
        seed = [r for r in session if r.kind in ("seed", "control")]
        for before, r in zip(seed, seed[1:]):
            values = {k: v for k, v in r.values.items() if k not in ("peak", "calibration_distance")}
            same = {k: v for k, v in before.values.items() if k not in ("peak", "calibration_distance")}
            if len(values) >= 6 and values == same and before.fact("sample") != r.fact("sample"):
                for one in (before, r):
                    one.levels.append("exclude")
                    one.fault = True


def _phase_sample(seed, listed, codes):
    groups = defaultdict(list)
    for r in seed:
        groups[r.fact("sample")].append(r)
    for sample, rows in groups.items():
        times = [time_of(r) for r in rows]
        review = "id-reused" in codes and sample and max(times) - min(times) > REUSED_AFTER
        review = review or ("sample-unlisted" in codes and sample and sample not in listed)
        review = review or ("id-altered" in codes and "E+" in sample)
        review = review or ("repeats-disagree" in codes and _disagree(rows))
        if review:
            for r in rows:
                r.levels.append("review")


def _disagree(rows):
    sessions = defaultdict(list)
    for r in rows:
        if "exclude" not in r.levels and r.material and not _replaced(r, rows):
            sessions[r.session, r.material].append(r)
    for name, sd in REPEATABILITY.items():
        for some in sessions.values():
            values = [v for v in (converted(r, name, "dry") for r in some) if v is not None]
            if len(values) > 1 and max(values) - min(values) > RANGE_FACTOR[len(values)] * sd:
                return True
    return False


def _replaced(reading, rows):
    """Whether a later clean reading will supersede it, as far as the faults of readings tell."""
    return reading.fault and any(
        not r.fault
        and "exclude" not in r.levels
        and r.material == reading.material
        and time_of(r) > time_of(reading)
        for r in rows
    )


def _phase_session(sessions, codes):
    target, review, exclude = STANDARD
    for session in sessions:
        first = next((i for i, r in enumerate(session) if r.kind == "seed"), None)
        if first is None:
            continue
        peaks = [float(r.values["peak"]) for r in session if r.kind == "standard" and "peak" in r.values]
        before = any(r.kind == "standard" for r in session[:first])
        off = max((abs(peak - target) for peak in peaks), default=0.0)
        level = None
        if not before and "standard-absent" in codes:
            level = "review"
        if off > review and "standard-off" in codes:
            level = "exclude" if off > exclude else "review"
        if level:
            for r in session:
                if r.kind == "seed":
                    r.levels.append(level)
                    r.fault = True


def _whole_and_ground(seed, listed):
    """Read both ways: ground stands for a dark coat, and else too, which the built-in rules prefer."""
    groups = defaultdict(list)
    for r in seed:
        if r.fact("sample") and r.verdict in ("use", "review"):
            groups[r.fact("sample"), r.material.split("-")[0]].append(r)
    for rows in groups.values():
        if {r.material.split("-")[-1] for r in rows} >= {"whole", "ground"}:
            for r in rows:
                if r.material.endswith("-whole"):
                    r.verdict, r.outranked = "superseded", True


def _settle(seed):
    """Verdicts; then a later clean reading of the same sample and material supersedes a measurement fault."""
    for r in seed:
        r.verdict = "exclude" if "exclude" in r.levels else "review" if "review" in r.levels else "use"
    groups = defaultdict(list)
    for r in seed:
        if r.fact("sample"):
            groups[r.fact("sample"), r.material].append(r)
    for rows in groups.values():
        clean = [time_of(r) for r in rows if not r.fault and r.verdict != "exclude"]
        for r in rows:
            if r.fault and any(time > time_of(r) for time in clean):
                r.verdict = "superseded"
