"""binary_demo_run_test.py BINARY: demo-data/run goes through to its last line, the way in that README names.

Run in a copy of the tree's demo data with the program in place of a build: installing and building are stood in for.
"""

import os
import pathlib
import shutil
import subprocess
import sys
import tempfile

from repo import finish, root

STUB = """build_packages=()
install_packages() { :; }
configure_build() { :; }
"""

binary = pathlib.Path(sys.argv[1]).resolve()
problems = []
with tempfile.TemporaryDirectory() as name:
    copy = pathlib.Path(name)
    shutil.copytree(root / "demo-data", copy / "demo-data")
    for folder in ("tests", "build", "bin"):
        (copy / folder).mkdir()
    (copy / "tests/packages.sh").write_text(STUB, encoding="utf-8")
    (copy / "bin/cmake").write_text("#!/bin/sh\n", encoding="utf-8")
    (copy / "bin/cmake").chmod(0o755)
    (copy / "build/thresh").symlink_to(binary)
    path = {**os.environ, "PATH": f"{copy / 'bin'}:{os.environ['PATH']}"}
    for again in (False, True):
        done = subprocess.run(["demo-data/run"], cwd=copy, env=path, capture_output=True, text=True, check=False)
        if done.returncode != 0:
            problems.append(f"demo-data/run ends with {done.returncode}: {done.stderr[-300:]}")
        for wanted in ("Where to look:", "results/report.html", "results/results.xlsx", "demo-data/README.md"):
            if wanted not in done.stdout:
                problems.append(f"demo-data/run does not tell of {wanted}")
finish(problems, "demo-data/run goes through, twice")
