"""binary_options_test.py BINARY: every command and option of the program is documented and used in a golden case.

The program names them itself: `thresh completions words` prints one line for each command, its name and then its options.
Documented means named in README.md or docs/, used means standing in a `cmd` (or `setup`) of tests/cli.
"""
import pathlib
import re
import subprocess
import sys

from repo import finish, root, text_of, tracked

program = str(pathlib.Path(sys.argv[1]).resolve())
told = subprocess.run([program, "completions", "words"], capture_output=True, text=True, stdin=subprocess.DEVNULL)
if told.returncode:
    finish([f"`thresh completions words` ended with {told.returncode}: {told.stderr}"], "")

pages = "\n".join(text_of(path) for path in tracked() if path.suffix == ".md" and path.parts[0] in ("README.md", "docs"))
cases = {path.parts[2]: "" for path in tracked() if path.parts[:2] == ("tests", "cli") and len(path.parts) > 3}
for path in tracked():
    if path.parts[:2] == ("tests", "cli") and path.name in ("cmd", "setup"):
        cases[path.parts[2]] += text_of(path) + "\n"
all_cases = "\n".join(cases.values())


def stands_in(word, text):
    return re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", text) is not None


problems, options = [], set()
for line in told.stdout.splitlines():
    command, *words = line.split()
    if not stands_in(command, pages):
        problems.append(f"command {command} is not documented")
    if not (root / "tests/cli" / command).is_dir():
        problems.append(f"command {command} has no case in tests/cli/{command}/")
    options |= {word for word in words if word.startswith("--")}
for option in sorted(options - {"--help", "--version"}):
    if not stands_in(option, pages):
        problems.append(f"option {option} is not documented in README.md or docs/")
    if not stands_in(option, all_cases):
        problems.append(f"option {option} stands in no case of tests/cli")
finish(problems, f"{len(options)} options are documented and tested")
