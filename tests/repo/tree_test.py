"""The tree is tidy: nothing unexpected at the top, no marks of unfinished work, run bits where they belong, plain text."""
import re
import stat

from repo import finish, root, text_of, tracked

top = {"CMakeLists.txt", "README.md", "DEVELOPERS.md", "LICENSE", "src", "include", "tests", "demo-data", "docs"}
# Spelled in two parts, so that this file does not find itself.
marks = re.compile(r"\b(TO" r"DO|FIX" r"ME|XX" r"X|HA" r"CK)\b")
home = re.compile(r"(?<![\w.$}])/(root|home)/\w")
code = {".cpp", ".hpp", ".py", ".sh", ".cmake", ".md", ".txt", ".ini", ""}
problems, files = [], tracked()


def data_folder(path):
    """Folders whose files are inputs and outputs, not ours to tidy."""
    return path.parts[:2] == ("tests", "dirty") or path.parts[:3] == ("tests", "fuzz", "seeds") or (
        path.parts[:2] == ("tests", "cli") and len(path.parts) > 3)


for name in sorted({path.parts[0] for path in files}):
    if name not in top and not name.startswith("."):
        problems.append(f"{name}: does not belong to the top level ({', '.join(sorted(top))} and dot files do)")

for path in files:
    text = text_of(path)
    if path.suffix == ".cpp" and text and path.parts[0] == "tests":
        for name in re.findall(r'TEST_CASE\("([^"]*)"', text):
            if ";" in name:
                problems.append(f"{path}: a `;` in the name of a test cuts it in two for ctest: {name}")
    runs = bool((root / path).stat().st_mode & stat.S_IXUSR)
    if text is None:
        if runs:
            problems.append(f"{path}: has a run bit but is no script")
        continue
    if runs != text.startswith("#!"):
        problems.append(f"{path}: run bit and first line disagree (#! and +x belong together)")
    if path.name == "run" and not runs:
        problems.append(f"{path}: is called run and cannot be run")
    if path.suffix not in code or data_folder(path):
        continue  # data may look as it likes
    for number, line in enumerate(text.splitlines(), 1):
        if marks.search(line):
            problems.append(f"{path}:{number}: mark of unfinished work")
        if home.search(line):
            problems.append(f"{path}:{number}: path of one machine")
    if "\r" in text:
        problems.append(f"{path}: carriage returns")
    if text and not text.endswith("\n"):
        problems.append(f"{path}: no newline at the end")
finish(problems, f"{len(files)} files are tidy")
