"""Every rule of src/rules/ is in the catalogue: a static library drops an object that nothing names, without a word.

A rule's file defines `const Rule& rule_NAME()`; src/rules/catalogue.cpp lists `X(NAME)`.
"""
import re

from repo import finish, text_of, tracked

sources = [path for path in tracked() if path.parts[:2] == ("src", "rules") and path.suffix == ".cpp"]
listed = re.findall(r"^\s*X\((\w+)\)", text_of("src/rules/catalogue.cpp"), flags=re.M) if sources else []
defined = {}
for path in sources:
    for name in re.findall(r"^const Rule& rule_(\w+)\(\) \{", text_of(path), flags=re.M):
        defined[name] = path

problems = [f"{path}: rule_{name} is not in src/rules/catalogue.cpp" for name, path in defined.items() if name not in listed]
problems += [f"src/rules/catalogue.cpp: {name} is listed and defined nowhere" for name in listed if name not in defined]
problems += [f"src/rules/catalogue.cpp: {name} is listed twice" for name in sorted(set(listed)) if listed.count(name) > 1]
finish(problems, f"{len(listed)} rules are listed and defined")
