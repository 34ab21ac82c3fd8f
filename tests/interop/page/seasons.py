"""seasons.py FOLDER: exports and sample lists of seasons that a page must survive, one folder each: names of 300
characters, right-to-left names, emoji, markup as an ID, one line, no reading, all readings excluded, 5,000 lines.

All names and numbers are invented.
"""
import csv
import pathlib
import sys

HEAD = ["Date time", "Sample ID", "Analysis", "Moisture (%)", "Protein (% as-is)", "Oil (% as-is)", "Instrument"]
LIST = ["sample", "line", "trial", "environment", "rep", "plot", "check", "material"]
MARKUP = "</script><img src=x onerror=alert(1)>"
LONG = "a line name that goes on " * 12
ODD = ["LE-001", LONG.strip(), "לוי 12", "شتلة", "🌱👩\u200d🌾 sprout", MARKUP, "a&b \"c\" 'd'", "=1+1", "豆豆豆", "\u202eturned",
       "Bohne Nr. 7 (groß)", "x" * 200]


def write(folder, readings, listed):
    """readings: (sample, moisture, protein, oil); listed: (sample, line, check)."""
    folder.mkdir(parents=True)
    with open(folder / "export.csv", "w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(HEAD)
        for i, (sample, moisture, protein, oil) in enumerate(readings):
            time = f"2026-10-{5 + i // 600 % 20:02}T{8 + i // 60 % 10:02}:{i % 60:02}:00".replace("T", " ")
            out.writerow([time, sample, "Soy, whole seed", f"{moisture:.2f}", f"{protein:.2f}", f"{oil:.2f}", "Bench"])
    with open(folder / "samples.csv", "w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(LIST)
        for i, (sample, line, check) in enumerate(listed):
            out.writerow([sample, line, "T1", "site 1", i % 2 + 1, i + 1, check, "soybean-whole"])


def season(names, moisture=8.0):
    """Two samples a line, two readings a sample; values that spread without a random number."""
    readings, listed = [], []
    for i, name in enumerate(names):
        for sample in (f"{name[:40]}-1" if name == MARKUP else f"S{i}-1", f"S{i}-2"):
            listed.append((sample, name, "yes" if i % 10 == 3 else ""))
            for k in range(2):
                step = (i * 37 + k * 11) % 101 / 101
                readings.append((sample, moisture + step, 34 + 5 * step + 0.1 * k, 21 - 3 * step - 0.1 * k))
    # The markup as the ID of a sample itself, and right to left.
    for sample in (MARKUP, "לוי-3"):
        readings.append((sample, moisture, 36.0, 19.0))
    return readings, listed


def main(folder):
    write(folder / "odd", *season(ODD, moisture=6.0))
    write(folder / "one", [("S1", 8.0, 36.0, 19.0)], [("S1", "the only line", "")])
    write(folder / "empty", [], [("S1", "a line without a reading", "")])
    write(folder / "excluded", *season([f"L{i}" for i in range(30)], moisture=38.0))
    write(folder / "large", *season([f"LE-{i:05}" for i in range(5000)], moisture=6.0))


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]))
