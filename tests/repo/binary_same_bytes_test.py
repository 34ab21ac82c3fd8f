"""binary_same_bytes_test.py BINARY: the same inputs give the same bytes, whatever their order and the number of threads;
cutting an export in two changes neither lines nor samples.
"""
import pathlib
import subprocess
import sys
import tempfile
import unittest

from repo import root

binary = pathlib.Path(sys.argv[1]).resolve()
demo = root / "demo-data"
lists = ["--samples", demo / "samples.csv", "--rules", demo / "rules.json"]
exports = sorted(path for path in (demo / "exports").rglob("*") if path.suffix in (".csv", ".tsv", ".txt", ".xlsx"))


def thresh(*arguments, folder="."):
    done = subprocess.run([binary, *arguments], capture_output=True, cwd=folder, timeout=120, stdin=subprocess.DEVNULL)
    assert done.returncode in (0, 1, 2), done.stderr
    return done.stdout


class SameBytes(unittest.TestCase):
    def test_threads_do_not_show(self):
        for command in (["lines"], ["lines", "--long"], ["samples"], ["readings", "--as-read"], ["findings"], ["todo"]):
            one = thresh(*command, demo / "exports", *lists, "--threads", "1")
            self.assertGreater(len(one), 500, command)
            for threads in "2", "7":
                self.assertEqual(thresh(*command, demo / "exports", *lists, "--threads", threads), one, (command, threads))

    def test_the_order_of_the_inputs_does_not_show(self):
        self.assertGreater(len(exports), 5)
        for command in "lines", "samples", "readings", "findings":
            forward = thresh(command, *exports, *lists)
            self.assertEqual(thresh(command, *reversed(exports), *lists), forward, command)
            self.assertEqual(thresh(command, *exports[1::2], *exports[0::2], *lists), forward, command)

    def test_a_results_folder_is_the_same_each_time(self):
        with tempfile.TemporaryDirectory() as scratch:
            for name, threads in ("first", "1"), ("second", "7"):
                thresh("run", demo / "exports", *lists, "--into", name, "--threads", threads, folder=scratch)
            first, second = (pathlib.Path(scratch, name) for name in ("first", "second"))
            names = sorted(path.name for path in first.iterdir())
            self.assertIn("lines.csv", names)
            for name in names:
                self.assertEqual((first / name).read_bytes(), (second / name).read_bytes(), name)

    def test_a_file_cut_in_two_gives_the_same_lines_and_samples(self):
        # The largest text export, cut in the middle of its rows, each half with the heading.
        with tempfile.TemporaryDirectory() as scratch:
            text = max((path for path in exports if path.suffix == ".csv"), key=lambda path: path.stat().st_size)
            rows = text.read_bytes().splitlines(keepends=True)
            self.assertNotIn(b'"', rows[0])
            pathlib.Path(scratch, "whole").mkdir()
            pathlib.Path(scratch, "cut").mkdir()
            pathlib.Path(scratch, "whole", "week.csv").write_bytes(b"".join(rows))
            middle = len(rows) // 2
            pathlib.Path(scratch, "cut", "week-1.csv").write_bytes(b"".join(rows[:middle]))
            pathlib.Path(scratch, "cut", "week-2.csv").write_bytes(rows[0] + b"".join(rows[middle:]))
            for command in "lines", "samples":
                self.assertEqual(thresh(command, "cut", *lists, folder=scratch), thresh(command, "whole", *lists, folder=scratch))


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
