"""Planted cases against findings: each found where it was planted, and nothing else of its kind in the season."""

# What identifies a finding of a code, in fields that both planted.json and the findings table have. `session` stands
# for the session that the reading or time belongs to.
VALUE, READING, SAMPLE = ("source", "row", "constituent"), ("source", "row"), ("sample",)
KEYS = {
    "above-expected": VALUE,
    "below-expected": VALUE,
    "below-limit": VALUE,
    "cell-unreadable": VALUE,
    "impossible-value": VALUE,
    "moisture-absent": VALUE,
    "moisture-low": READING,
    "moisture-high": READING,
    "moisture-impossible": READING,
    "id-blank": READING,
    "outside-calibration": READING,
    "stuck-reading": READING,
    "reading-repeated": READING,
    "reading-changed": SAMPLE,
    "reading-in-parts": READING,
    "reading-renamed": READING,
    "material-unknown": READING,
    "material-mismatch": READING,
    "sum-off": READING,
    "row-rejected": READING,
    "layout-doubtful": ("source",),
    "basis-assumed": ("source", "constituent"),
    "heading-unknown": ("source",),
    "plot-shared": ("source",),
    "sample-unlisted": SAMPLE,
    "sample-unread": SAMPLE,
    "id-altered": SAMPLE,
    "id-reused": SAMPLE,
    "grind-first": SAMPLE,
    "repeats-disagree": ("sample", "constituent"),
    "repeats-confirm": ("sample", "constituent"),
    "outlier-in-line": ("sample", "constituent"),
    "few-samples": ("line",),
    "standard-absent": ("session",),
    "standard-off": ("session",),
    "control-warning": ("session", "constituent"),
    "control-action": ("session", "constituent"),
    "session-offset": ("session", "constituent"),
    "instruments-differ": ("constituent",),
    "calibration-mixed": READING,
    "cup-unchanged": READING,
    "queue-shifted": READING,
    "read-both-ways": SAMPLE,
    "moisture-dependence": ("constituent",),
    "clock-set-back": READING,
    "instrument-shared": ("source",),
    "control-unjudged": ("source", "sample"),
    "decision-unmatched": (),
    "date-doubtful": ("source",),
    "unit-doubtful": ("source",),
    "decimal-doubtful": ("source", "constituent"),
    "file-refused": ("source",),
    "readings-absent": ("source",),
    "share-differs": ("source", "constituent"),
    "formula-uncomputed": READING,
    "heading-repeated": ("source",),
    "id-mistyped": ("source", "row", "sample"),
    "own-check": READING,
    "text-repaired": READING,
}
# Where they are found: not in the season itself.
APART = {
    "decision-unmatched": "decisions",
    "date-doubtful": "doubtful",
    "unit-doubtful": "doubtful",
    "clock-set-back": "doubtful",
    "instrument-shared": "doubtful",
    "control-unjudged": "doubtful",
    "decimal-doubtful": "damaged",
    "file-refused": "damaged",
    "formula-uncomputed": "damaged",
    "heading-repeated": "damaged",
    "id-mistyped": "damaged",
    "own-check": "damaged",
    "reading-in-parts": "damaged",
    "reading-renamed": "damaged",
    "readings-absent": "damaged",
    "share-differs": "damaged",
    "text-repaired": "damaged",
}


class Sessions:
    """Number of the session of a reading, or of an instrument at a time."""

    def __init__(self, readings):
        self.by_row = {(r.source, r.row): r.session for r in readings}
        self.by_time = {
            (r.fact("instrument"), r.fact("time")[:16]): r.session for r in readings if r.session is not None
        }

    def of(self, entry):
        session = self.by_row.get((entry["source"], entry["row"]))
        if session is None:
            time = (entry.get("time") or "").replace("T", " ")[:16]
            session = self.by_time.get((entry.get("instrument"), time))
        return session


def key(entry, fields, sessions):
    found = {
        **{name: entry.get(name) or "" for name in ("source", "sample", "line", "constituent")},
        "row": entry.get("row"),
        "session": sessions.of(entry) if "session" in fields else None,
    }
    return tuple(found[name] for name in fields)


def compare(planted, findings, known, sessions, where):
    """Differences, as sentences. `where`: which findings these are ('' for the season itself)."""
    wrong = []
    found = {}
    for finding in findings:
        found.setdefault(finding["code"], []).append(finding)
    for code, entries in planted.items():
        if APART.get(code, "") != where or code not in known:
            continue
        fields = KEYS[code]
        if code == "calibration-mixed":
            entries = [min(entries, key=lambda entry: entry["row"])]  # one for the trial, at the first
        want = {key(entry, fields, sessions) for entry in entries}
        have = {key(finding, fields, sessions) for finding in found.get(code, [])}
        wrong += [f"{code}: planted at {place}, not found" for place in sorted(want - have, key=str)]
        wrong += [f"{code}: found at {place}, not planted" for place in sorted(have - want, key=str)]
    if not where:
        wrong += [
            f"{code}: {len(rows)} found, none planted, first: {rows[0].get('message')} "
            f"({rows[0].get('source')}:{rows[0].get('row')})"
            for code, rows in sorted(found.items())
            if code not in planted or APART.get(code)
        ]
    return wrong
