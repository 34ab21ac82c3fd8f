"""printed.py STEM...: STEM.pdf is a printed page, STEM.codes the IDs whose bar codes it must show. Reads them from the
paper: 300 dots an inch in grey, decoded by a program that knows nothing of us.
"""
import pathlib
import subprocess
import sys

status = 0
for stem in map(pathlib.Path, sys.argv[1:]):
    wanted = set(stem.with_suffix(".codes").read_text("utf-8").splitlines())
    sheets = stem.parent / (stem.name + "-sheets")
    sheets.mkdir(exist_ok=True)
    subprocess.run(["pdftoppm", "-r", "300", "-gray", stem.with_suffix(".pdf"), sheets / "p"], check=True)
    pages = sorted(sheets.glob("*.pgm"))
    output = subprocess.run(["zbarimg", "--quiet", "--raw", "-Sdisable", "-Scode128.enable", *pages],
                            capture_output=True, check=False).stdout.decode("utf-8")
    read = set(output.splitlines())
    for page in pages:
        page.unlink()
    print(f"{stem.name}: {len(pages)} printed pages, {len(wanted)} bar codes, {len(wanted & read)} read back")
    if wanted - read or read - wanted:
        print(f"  not read: {sorted(wanted - read)[:10]}; never drawn: {sorted(read - wanted)[:10]}")
        status = 1
sys.exit(status)
