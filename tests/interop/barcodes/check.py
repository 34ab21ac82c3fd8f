"""Bar codes of hundreds of IDs, drawn, made into pixels and read back by an independent decoder: equal, byte for byte.

check.py DRAW SCRATCH; DRAW is draw_barcodes. The IDs take in every symbol character that text can need (all pairs of
digits, all of ASCII in code sets A and B, shifts and switches between the sets) and the kinds that laboratories use.
"""
import base64
import pathlib
import subprocess
import sys
import xml.etree.ElementTree as tree
from concurrent.futures import ThreadPoolExecutor


def ids():
    """In a fixed order, no two alike, none empty."""
    state = 20251003

    def number(below):  # a small generator of our own: the same IDs on every machine
        nonlocal state
        state = (state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (state >> 33) % below

    made = ["LE-016", "SB26-ELITE-0001", "le-016", "Plot 12/3", "2026_0042", "A1", "7", "12", "123", "</script>&'\"",
            "a\tb", "\x00", "\x1d1234", "x\x7f", "AB\ncd\nEF", "  two  blanks ", "0" * 40, "W" * 30]
    made += [f"{pair:02d}" * 2 for pair in range(100)]  # each character of code set C
    made += [chr(c) + "a" for c in range(128)] + [chr(c) + "\x01" for c in range(128)]  # each of B and of A
    made += ["x" + chr(c) + "x" for c in range(32)] + ["\x01" + chr(c) + "\x01" for c in range(96, 128)]  # shifts
    for count in range(1, 13):  # digits, odd and even counts, alone and between letters
        digits = "".join(str(number(10)) for _ in range(count))
        made += [digits, "S" + digits, digits + "s", "A" + digits + "b", "a" + digits + "\x02"]
    kinds = ["0123456789", "ABCDEFGHIJKLMNOPQRSTUVWXYZ", "abcdefghijklmnopqrstuvwxyz", "-_./ #+*:()%$", "\x01\x09\x1f"]
    for _ in range(200):
        made.append("".join((kind := kinds[number(40) % 5 if number(10) else 4])[number(len(kind))]
                            for _ in range(1 + number(24))))
    return list(dict.fromkeys(made))


def drawn(draw, folder, texts):
    lines = "".join(text.encode("utf-8").hex() + "\n" for text in texts)
    result = subprocess.run([draw, folder], input=lines, capture_output=True, text=True, check=True)
    return result.stdout.splitlines()


def rasterise(svg):
    png = svg.with_suffix(".png")
    subprocess.run(["rsvg-convert", "--dpi-x", "300", "--dpi-y", "300", "-b", "white", "-o", png, svg], check=True)
    return png


def read_back(pictures):
    """{number of the picture: bytes read}; of each picture exactly one symbol is expected."""
    command = ["zbarimg", "--quiet", "--xml", "-Sdisable", "-Scode128.enable", *map(str, pictures)]
    output = subprocess.run(command, capture_output=True, check=False).stdout
    # XML readers turn a carriage return into a line feed; a stand-in keeps it.
    output = output.replace(b"\r", "\uE00D".encode("utf-8"))
    found = {}
    space = "{http://zbar.sourceforge.net/2008/barcode}"
    for source in tree.fromstring(output).iter(space + "source"):
        number = int(pathlib.Path(source.get("href")).stem)
        symbols = list(source.iter(space + "data"))
        if len(symbols) == 1:
            text = symbols[0].text or ""
            found[number] = base64.b64decode(text) if symbols[0].get("format") == "base64" else \
                text.replace("\uE00D", "\r").encode("utf-8")
    return found


draw, scratch = sys.argv[1], pathlib.Path(sys.argv[2])
folder = scratch / "svg"
folder.mkdir(exist_ok=True)
texts = ids()
refused = drawn(draw, folder, texts)
assert not refused, refused
with ThreadPoolExecutor(2) as pool:
    pictures = sorted(pool.map(rasterise, sorted(folder.glob("*.svg"))))
read = read_back(pictures)
wrong = [(text, read.get(number)) for number, text in enumerate(texts) if read.get(number) != text.encode("ascii")]
for text, got in wrong[:20]:
    print(f"drawn {text!r}, read {got!r}")

beyond = scratch / "beyond"
beyond.mkdir(exist_ok=True)
refused = drawn(draw, beyond, ["Bohnenstraße", "豆-1", "", "x" * 81])
assert len(refused) == 4 and not any(beyond.iterdir()), refused
print(f"{len(texts)} bar codes drawn, {len(texts) - len(wrong)} read back equal; 4 texts refused in words")
sys.exit(1 if wrong else 0)
