"""binary_readme_test.py BINARY [--update]: what README.md and docs/ show is what the program prints.

In a ```console block each line that starts with `$ ` is run, in a scratch folder where `build` leads to the program's
folder and `demo-data` to the demo season; the lines up to the next `$ ` must be its standard output. A line `...` stands
for any number of lines. The exit status must be 0 unless a comment on the command line says otherwise: `# exit 1`.
--update writes the outputs anew (blocks with `...` are left alone).
"""
import pathlib
import re
import subprocess
import sys
import tempfile

from repo import finish, root, text_of, tracked

binary = pathlib.Path(sys.argv[1]).resolve()
update = "--update" in sys.argv[2:]
block_pattern = re.compile(r"(?<=^```console\n)(.*?)(?=^```$)", flags=re.M | re.S)


def steps_of(block):
    """[(command, shown lines)] of one console block."""
    steps = []
    for line in block.splitlines():
        if line.startswith("$ "):
            steps.append((line[2:], []))
        elif steps:
            steps[-1][1].append(line)
    return steps


def run(command, scratch):
    done = subprocess.run(["bash", "-o", "pipefail", "-c", command], cwd=scratch, capture_output=True, text=True,
                          stdin=subprocess.DEVNULL, timeout=100,
                          env={"PATH": "/usr/local/bin:/usr/bin:/bin", "HOME": str(scratch), "LC_ALL": "C.UTF-8"})
    return done.returncode, done.stdout.splitlines(), done.stderr


def same(shown, found):
    pattern = "".join(r"(?:.*\n)*" if line == "..." else re.escape(line.rstrip()) + r"\n" for line in shown)
    return re.fullmatch(pattern, "".join(line.rstrip() + "\n" for line in found)) is not None


problems, ran = [], 0
for page in (path for path in tracked() if path.suffix == ".md" and path.parts[0] in ("README.md", "docs")):
    text = text_of(page)
    with tempfile.TemporaryDirectory(prefix="thresh-readme-") as folder:
        scratch = pathlib.Path(folder)
        (scratch / "build").mkdir()
        (scratch / "build/thresh").symlink_to(binary)
        (scratch / "demo-data").symlink_to(root / "demo-data")
        new_text, end = "", 0
        for match in block_pattern.finditer(text):
            new_block = ""
            for command, shown in steps_of(match[0]):
                ran += 1
                status, found, errors = run(command, scratch)
                wanted = int((re.search(r"# exit (\d+)$", command) or [0, 0])[1])
                if status != wanted:
                    problems.append(f"{page}: `{command}` ended with {status}:\n{errors}")
                elif not same(shown, found) and not update:
                    problems.append(f"{page}: `{command}` prints\n" + "\n".join(found[:60]))
                keep = shown if "..." in shown else [line.rstrip() for line in found]
                new_block += "\n".join([f"$ {command}", *keep]) + "\n"
            new_text += text[end:match.start()] + new_block
            end = match.end()
        new_text += text[end:]
    if update and new_text != text:
        (root / page).write_text(new_text, encoding="utf-8")
finish(problems, f"{ran} commands print what the documents show")
