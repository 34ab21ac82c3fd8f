"""binary_asked_ahead_test.py BINARY: memory that a source file asks for ahead is asked for in what was made of it.

g++ takes a function that does nothing else for one without effect, and leaves its calls out without a word.
"""
import pathlib
import re
import subprocess
import sys

from repo import finish, root, text_of, tracked

build = pathlib.Path(sys.argv[1]).resolve().parent
problems, seen = [], 0
for path in tracked():
    if path.parts[0] != "src" or path.suffix != ".cpp":
        continue
    written = text_of(path).count("__builtin_prefetch(")
    if written == 0:
        continue
    made = sorted(build.glob(f"CMakeFiles/*.dir/{path}.o"))
    if not made:
        problems.append(f"{path}: nothing was made of it in {build}")
        continue
    code = subprocess.run(["objdump", "-d", "--no-show-raw-insn", made[0]], check=True, capture_output=True, text=True).stdout
    if "elf64-x86-64" not in code:
        continue
    kept = len(re.findall(r"\sprefetch", code))
    seen += 1
    if kept < written:
        problems.append(f"{path}: asks {written} times ahead, {kept} of these are left; make the function part of its callers "
                        "([[gnu::always_inline]])")
finish(problems, f"{seen} files ask ahead as they say")
