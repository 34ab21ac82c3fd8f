"""The independent computation, part 3: drift that no control shows, from readings already judged.

Offsets of sessions by least squares with one unknown a sample and one for the session in question, solved as normal
equations by elimination; differences of instruments as mean paired difference; slopes on moisture within samples.
Values on dry basis. Which sessions are off is taken from what was planted, so that the others are compared without
them, and their readings are left out of the instruments' comparison.
"""

import statistics
from collections import defaultdict

from season_verdicts import converted

WATCHED = ("protein", "oil")  # key constituents; moisture changes while seed lies
CHANGED = 0.5  # percent points of moisture: beyond it the sample is not the same any more


def usable(readings):
    """(material, sample) -> readings of samples read in several sessions; `stable` set on each reading."""
    groups = defaultdict(list)
    for r in readings:
        if r.kind == "seed" and r.verdict in ("use", "review") and r.material and r.fact("sample"):
            groups[r.material, r.fact("sample")].append(r)
    reused = {
        sample for (_, sample), rows in groups.items() if len({r.fact("time")[:7] for r in rows}) > 1
    }  # read in August and in October: two seeds
    kept = {}
    for (material, sample), rows in groups.items():
        if sample in reused or len({r.session for r in rows}) < 2:
            continue
        moistures = [float(r.values["moisture"]) for r in rows if "moisture" in r.values]
        middle = statistics.median(moistures)
        for r in rows:
            r.stable = "moisture" not in r.values or abs(float(r.values["moisture"]) - middle) <= CHANGED
        kept[material, sample] = rows
    return kept


def _means(rows, key, name):
    """key of a reading -> mean of the constituent; none where its repeats disagree: which is right is not known."""
    values = defaultdict(list)
    for r in rows:
        if name in getattr(r, "disagrees", ()):
            continue
        value = converted(r, name, "dry")
        if value is not None:
            values[key(r)].append(value)
    return {k: sum(v) / len(v) for k, v in values.items()}


def solve(matrix, right):
    """Gaussian elimination with pivoting."""
    n = len(right)
    rows = [list(row) + [value] for row, value in zip(matrix, right)]
    for i in range(n):
        best = max(range(i, n), key=lambda k: abs(rows[k][i]))
        rows[i], rows[best] = rows[best], rows[i]
        for k in range(i + 1, n):
            factor = rows[k][i] / rows[i][i]
            for j in range(i, n + 1):
                rows[k][j] -= factor * rows[i][j]
    x = [0.0] * n
    for i in reversed(range(n)):
        x[i] = (rows[i][n] - sum(rows[i][j] * x[j] for j in range(i + 1, n))) / rows[i][i]
    return x


def _offset(cells, session):
    """value = sample + offset * (in the session), by normal equations; cells: (sample, session, value)."""
    samples = sorted({sample for sample, _, _ in cells})
    n = len(samples) + 1
    matrix, right = [[0.0] * n for _ in range(n)], [0.0] * n
    centre = cells[0][2]
    for sample, of, value in cells:
        entries = [samples.index(sample)] + ([n - 1] if of == session else [])
        for a in entries:
            right[a] += value - centre
            for b in entries:
                matrix[a][b] += 1.0
    return solve(matrix, right)[-1]


def session_offsets(readings, off):
    """(session, material, constituent) -> (offset, links). `off`: such triples without the material."""
    groups = defaultdict(list)
    for (material, sample), rows in usable(readings).items():
        for r in rows:
            if r.stable:
                groups[r.fact("instrument"), material].append((sample, r))
    found = {}
    for (_, material), rows in groups.items():
        for name in WATCHED:
            by_sample = defaultdict(list)
            for sample, r in rows:
                by_sample[sample].append(r)
            cells = [
                (sample, session, value)
                for sample, some in by_sample.items()
                for session, value in _means(some, lambda r: r.session, name).items()
            ]
            for session in {of for _, of, _ in cells}:
                left = [c for c in cells if c[1] == session or (c[1], name) not in off]
                several = {s for s, _, _ in left if len({of for t, of, _ in left if t == s}) > 1}
                left = [c for c in left if c[0] in several]
                links = sum(of == session for _, of, _ in left)
                if links:
                    found[session, material, name] = (_offset(left, session), links)
    return found


def instrument_differences(readings, off):
    """(first, second, material, constituent) -> (second less first, samples); bytewise order of names."""
    found = {}
    differences = defaultdict(list)
    for (material, _), rows in usable(readings).items():
        rows = [r for r in rows if r.stable]
        names = sorted({r.fact("instrument") for r in rows}, key=str.encode)
        for i, first in enumerate(names):
            for second in names[i + 1 :]:
                for name in WATCHED:
                    sound = [r for r in rows if (r.session, name) not in off]
                    means = _means(sound, lambda r: r.fact("instrument"), name)
                    if first in means and second in means:
                        differences[first, second, material, name].append(means[second] - means[first])
    for key, values in differences.items():
        if len(values) >= 5:
            found[key] = (sum(values) / len(values), len(values))
    return found


def moisture_slopes(readings, offsets, off):
    """(instrument, material, constituent) -> (slope, samples)."""
    sums = defaultdict(lambda: [0.0, 0.0, 0])
    for (material, _), rows in usable(readings).items():
        for instrument in {r.fact("instrument") for r in rows}:
            own = [r for r in rows if r.fact("instrument") == instrument and "moisture" in r.values]
            for name in WATCHED:
                values = _means(own, lambda r: r.session, name)
                moistures = defaultdict(list)
                for r in own:
                    if converted(r, name, "dry") is not None:
                        moistures[r.session].append(float(r.values["moisture"]))
                points = []
                for session, value in values.items():
                    if (session, name) in off:
                        value -= offsets[session, material, name][0]
                    points.append((sum(moistures[session]) / len(moistures[session]), value))
                if len(points) < 2 or max(points)[0] - min(points)[0] <= CHANGED:
                    continue
                x_mean = sum(x for x, _ in points) / len(points)
                y_mean = sum(y for _, y in points) / len(points)
                total = sums[instrument, material, name]
                total[0] += sum((x - x_mean) * (y - y_mean) for x, y in points)
                total[1] += sum((x - x_mean) ** 2 for x, _ in points)
                total[2] += 1
    return {key: (xy / xx, n) for key, (xy, xx, n) in sums.items() if n >= 5}
