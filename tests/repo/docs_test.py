"""What the documents point to exists: links between them, and every path of the repository named in `code`.

Also: docs/README.md lists every page of docs/, and the commands of README.md's `sh` blocks that are scripts of ours exist.
"""
import os
import re

from repo import finish, root, text_of, tracked

problems, checked = [], 0
pages = [path for path in tracked() if path.suffix == ".md"]
folders = "src|include|tests|demo-data|docs|\\.ci"
for page in pages:
    text = text_of(page)
    for number, line in enumerate(text.splitlines(), 1):
        for target in re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", line):
            if re.match(r"[a-z]+:", target):
                continue
            checked += 1
            if not (root / page.parent / target).exists():
                problems.append(f"{page}:{number}: link to {target}, which does not exist")
        for name in re.findall(rf"`((?:{folders})/[\w./-]+)`", line):
            if re.search(r"(^|/)[A-Z]+(/|\.|$)", name.removesuffix("README.md")):
                continue  # a placeholder such as src/FOLDER/
            checked += 1
            if not (root / name).exists():
                problems.append(f"{page}:{number}: names {name}, which does not exist")

index = text_of("docs/README.md") if (root / "docs/README.md").is_file() else ""
for page in pages:
    if page.parts[0] == "docs" and page.name != "README.md" and f"]({page.relative_to('docs')})" not in index:
        problems.append(f"docs/README.md: does not list {page}")

for block in re.findall(r"^```sh\n(.*?)^```", text_of("README.md"), flags=re.M | re.S):
    for word in re.findall(r"^((?:demo-data|tests)/\S+)", block, flags=re.M):
        checked += 1
        if not os.access(root / word, os.X_OK):
            problems.append(f"README.md: the command {word} cannot be run")
finish(problems, f"{checked} references in {len(pages)} pages hold")
