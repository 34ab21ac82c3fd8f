"""Small exports whose times tell of the instruments: a clock set back, two instruments under one name.

And a new control that nobody has targets for yet. Kept apart from the season, as other doubtful exports are.
"""

import datetime

from . import layouts, output
from .chance import Chance
from .genetics import readings_of

HEADINGS = ["Instrument", "Date time", "Analysis", "Sample ID", "Moisture (%)", "Protein (% as-is)", "Oil (% as-is)"]


def _row(chance, packet, sample, instrument, time):
    values = readings_of(chance, packet.truth, 1)[0]
    moisture = round(values["moisture"], 2)
    cells = [layouts.WHOLE_AS_IS.cell(name, values[name], moisture) for name in ("protein", "oil")]
    stamp = time.strftime("%Y-%m-%d %H:%M:%S")
    return [instrument, stamp, "Soy, whole seed", sample, f"{moisture:.2f}", *cells]


def _export(root, name, rows):
    output.save(root / f"doubtful/{name}.csv", "".join(map(output.record, [HEADINGS] + rows)))


def write(root, packets):
    """Writes the exports; returns their planted cases."""
    chance = Chance(20261025)
    step = datetime.timedelta(seconds=64)
    # The night on which summer time ends: after a while the clock shows the hour before again.
    start = datetime.datetime(2026, 10, 25, 2, 20)
    rows = []
    for number in range(4 * len(packets)):
        time = start + number * step - (datetime.timedelta(hours=1) if number >= 30 else datetime.timedelta())
        packet = packets[number // 4]
        rows.append(_row(chance, packet, packet.id, "Bench North", time))
    _export(root, "clock-set-back", rows)
    # Two benches of the same name, each with an export of its own, at work at the same time.
    for letter, offset in (("a", 0), ("b", 4)):
        start = datetime.datetime(2026, 11, 3, 9, 0, offset)
        some = packets[:6] if letter == "a" else packets[6:]
        rows = [
            _row(chance, packet, packet.id, "Bench South", start + (2 * number + pack) * step)
            for number, packet in enumerate(some)
            for pack in (0, 1)
        ]
        _export(root, f"instrument-shared-{letter}", rows)
    start = datetime.datetime(2026, 11, 4, 9, 0)
    rows = [
        _row(chance, packet, sample, "Bench Far", start + number * step)
        for number, (packet, sample) in enumerate(
            [(packets[0], "CTRL-NEW")] + [(p, p.id) for p in packets[:5]] + [(packets[0], "CTRL-NEW")]
        )
    ]
    _export(root, "control-unjudged", rows)

    def case(name, row, sample=""):
        return [{"source": f"doubtful/{name}.csv", "row": row, "sample": sample, "line": "", "constituent": ""}]

    return {
        "clock-set-back": case("clock-set-back", 32),
        "instrument-shared": case("instrument-shared-b", 2),
        "control-unjudged": case("control-unjudged", 2, "CTRL-NEW"),
    }
