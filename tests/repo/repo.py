"""What the repository tests share: the tracked files, and one way to end."""
import pathlib
import subprocess
import sys

root = pathlib.Path(__file__).resolve().parents[2]


def tracked():
    """The files of the project as paths relative to its root: those git knows or would add."""
    listed = subprocess.run(["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"], cwd=root,
                            capture_output=True, text=True)
    if listed.returncode:
        skip = {"build", "results", ".git"}
        return sorted(path.relative_to(root) for path in root.rglob("*")
                      if path.is_file() and not skip & set(path.relative_to(root).parts))
    return sorted(pathlib.Path(name) for name in set(listed.stdout.split("\0")) if name and (root / name).is_file())


def is_code(path):
    return path.suffix in (".cpp", ".hpp")


def text_of(path):
    """The text of a tracked file, or None when it is no UTF-8 text."""
    try:
        return (root / path).read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return None


def finish(problems, passed):
    """Prints the problems, or what was found right, and ends the test."""
    for problem in problems:
        print(problem)
    print(f"{len(problems)} problems" if problems else passed)
    sys.exit(1 if problems else 0)
