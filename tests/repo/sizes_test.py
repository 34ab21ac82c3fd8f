"""Files stay readable in one sitting: sources above 600 lines fail, tests above 800; above 400 the file is only named."""
from repo import finish, is_code, text_of, tracked

review, limit, limit_for_tests = 400, 600, 800

problems, long_files, counted = [], [], 0
for path in tracked():
    script = path.suffix in (".py", ".sh") or path.name == "run"
    if not (is_code(path) or script):
        continue
    counted += 1
    lines = text_of(path).count("\n")
    most = limit_for_tests if path.parts[0] == "tests" else limit
    if lines > most:
        problems.append(f"{path}: {lines} lines, the limit is {most}: find the seam and cut it")
    elif lines > review:
        long_files.append(f"{path}: {lines} lines, look again whether it is still one thing")
print(*long_files, sep="\n", end="\n" if long_files else "")
finish(problems, f"{counted} files are short enough")
