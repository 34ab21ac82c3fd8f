"""binary_options_test.py BINARY: every command and option of the program is documented and used in a golden case.

The program names them itself with --help-all: a line that is one word begins a command, a line that begins with dashes
names an option. Documented means named in README.md or docs/; used means standing in a `cmd` or `setup` of tests/cli.
"""
import pathlib
import re
import subprocess
import sys

from repo import finish, root, text_of, tracked

program = str(pathlib.Path(sys.argv[1]).resolve())
told = subprocess.run([program, "--help-all"], capture_output=True, text=True, stdin=subprocess.DEVNULL)
if told.returncode:
    finish([f"`thresh --help-all` ended with {told.returncode}: {told.stderr}"], "")
commands = re.findall(r"^([a-z]+)$", told.stdout, flags=re.M)
options = sorted({word for line in re.findall(r"^ *(-\S+)", told.stdout, flags=re.M)
                  for word in re.split(r"[,:]", line) if word.startswith("--")})

pages = "\n".join(text_of(path) for path in tracked() if path.suffix == ".md" and path.parts[0] in ("README.md", "docs"))
cases = "\n".join(text_of(path) for path in tracked()
                  if path.parts[:2] == ("tests", "cli") and path.name in ("cmd", "setup"))


def stands_in(word, text):
    return re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", text) is not None


problems = []
if len(commands) < 5 or len(options) < 10:
    problems.append("the output of --help-all is not understood here any more")
for command in commands:
    if not stands_in(command, pages):
        problems.append(f"command {command} is not documented in README.md or docs/")
    if not (root / "tests/cli" / command).is_dir():
        problems.append(f"command {command} has no case in tests/cli/{command}/")
for option in options:
    if not stands_in(option, pages):
        problems.append(f"option {option} is not documented in README.md or docs/")
    if not stands_in(option, cases):
        problems.append(f"option {option} stands in no case of tests/cli")
finish(problems, f"{len(commands)} commands with {len(options)} options are documented and tested")
