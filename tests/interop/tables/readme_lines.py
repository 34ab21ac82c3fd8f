"""readme_lines.py README FOLDER: each line of R and each block of Python of the README becomes a script of its own."""
import pathlib
import re
import sys

readme, folder = map(pathlib.Path, sys.argv[1:3])
folder.mkdir()
for kind, suffix in (("r", "R"), ("python", "py")):
    for number, block in enumerate(re.findall(rf"```{kind}\n(.*?)```", readme.read_text(encoding="utf-8"), re.S)):
        # In R each line stands for itself: they are two ways to do the same.
        for part, text in enumerate(block.splitlines() if kind == "r" else [block]):
            (folder / f"{number}-{part}.{suffix}").write_text(text + "\n", encoding="utf-8")
