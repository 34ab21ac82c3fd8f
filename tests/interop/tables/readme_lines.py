"""readme_lines.py README FOLDER: each way to read in R and each block of Python of the README becomes a script of its own."""
import pathlib
import re
import sys

readme, folder = map(pathlib.Path, sys.argv[1:3])
folder.mkdir()
for kind, suffix in (("r", "R"), ("python", "py")):
    for number, block in enumerate(re.findall(rf"```{kind}\n(.*?)```", readme.read_text(encoding="utf-8"), re.S)):
        # In R they are two ways to do the same, each from a line that is not indented to the next.
        parts = re.findall(r"^\S.*\n(?:[ \t]+.*\n)*", block, re.M) if kind == "r" else [block]
        if "".join(parts) != block:
            sys.exit(f"{readme}: the block of {kind} is not cut into ways to read")
        for part, text in enumerate(parts):
            (folder / f"{number}-{part}.{suffix}").write_text(text, encoding="utf-8")
