"""binary_instructions_test.py BINARY: `lines` takes no more instructions than it did, to start and for each reading.

Counted by callgrind (valgrind), which gives the same number whatever else the machine does. The bounds lie about 15 %
above what was measured; docs/performance.md holds the measurements. Who makes the program faster lowers them.
"""
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

from repo import finish

binary = pathlib.Path(sys.argv[1]).resolve()
MOST_FOR_SESSION = 32_500_000  # 300 readings, whole process
MOST_FOR_READING = 18_600  # each further one
HEADINGS = ("Sample ID,Date time,Instrument,Analysis,Moisture (%),Protein 13% mb,Oil 13% mb,Fiber 13% mb,Ash 13% mb,"
            "Sucrose 13% mb,Raffinose 13% mb,Stachyose 13% mb,Palmitic (% of oil),Stearic (% of oil),Oleic (% of oil),"
            "Linoleic (% of oil),Linolenic (% of oil),Lysine 13% mb,Methionine 13% mb,Cysteine 13% mb,Threonine 13% mb,"
            "Tryptophan 13% mb")
TYPICAL = (6.5, 34, 19, 4.8, 4.6, 5.1, 0.8, 3.7, 11, 4, 24, 53, 7.5, 2.3, 0.5, 0.55, 1.4, 0.48)


def season(rows):
    """An invented season: lines of six plots in four trials, every fourth sample read again."""
    text, state = [HEADINGS], 1
    for row in range(rows):
        state = (state * 6364136223846793005 + 1442695040888963407) % 2**64
        sample = row - 1 if row % 4 == 3 else row
        values = [f"{typical * (0.97 + 0.06 * (state >> 8 * (i % 7) & 0xff) / 255):.3f}"
                  for i, typical in enumerate(TYPICAL)]
        clock = f"2026-08-{3 + row // 1000:02}T{8 + row % 1000 // 60:02}:{row % 60:02}:00"
        text.append(",".join([f"T{sample % 4}-L{sample // 24:05}-{sample // 4 % 6}", clock, "Bench A", "Soybean whole",
                              *values]))
    return "\n".join(text) + "\n"


def instructions(scratch, rows):
    export = scratch / f"season-{rows}.csv"
    export.write_text(season(rows))
    rules = scratch / "rules.json"
    rules.write_text('{"sample_id": "{trial}-{line}-{rep}"}\n')
    done = subprocess.run(["valgrind", "--tool=callgrind", f"--callgrind-out-file={scratch / 'callgrind.out'}", binary,
                           "lines", export, "--rules", rules, "--threads", "1", "-o", scratch / "lines.csv"],
                          capture_output=True, text=True, stdin=subprocess.DEVNULL, timeout=300)
    counted = re.search(r"Collected : (\d+)", done.stderr)
    if done.returncode != 0 or counted is None:
        sys.exit(f"callgrind gave no count:\n{done.stderr}")
    return int(counted[1])


problems, counts = [], ""
if shutil.which("valgrind") is None:
    problems.append("valgrind is missing")
else:
    with tempfile.TemporaryDirectory() as folder:
        small = instructions(pathlib.Path(folder), 300)
        each = (instructions(pathlib.Path(folder), 4300) - small) / 4000
    counts = f"300 readings: {small:,} instructions; each further reading: {each:,.0f}"
    if small > MOST_FOR_SESSION:
        problems.append(f"300 readings take {small:,} instructions, more than {MOST_FOR_SESSION:,}")
    if each > MOST_FOR_READING:
        problems.append(f"a reading takes {each:,.0f} instructions, more than {MOST_FOR_READING:,}")
finish(problems, counts)
