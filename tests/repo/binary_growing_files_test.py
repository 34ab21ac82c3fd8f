"""binary_growing_files_test.py BINARY: files that are fresh, or that change while they are read."""
import csv
import io
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import threading
import time
import unittest

binary = pathlib.Path(sys.argv[1]).resolve()
HEADINGS = "Sample ID,Analysis,Moisture (%),Protein (% as is),Oil (% as is)\n"


def rows(first, count):
    return "".join(f"S-{i:06},Soybean whole,6.{i % 100:02},37.{i * 7 % 100:02},20.{i * 3 % 100:02}\n"
                   for i in range(first, first + count))


class Writer:
    """Appends a row to a file again and again, as an instrument does that is at work."""

    def __init__(self, path, row=lambda number: rows(number, 1)):
        self.path, self.row = path, row
        self.stop, self.begun = threading.Event(), threading.Event()
        self.thread = threading.Thread(target=self.write)

    def write(self):
        number = 900_000
        while not self.stop.is_set():
            with open(self.path, "a", encoding="utf-8") as out:
                out.write(self.row(number))
            number += 1
            self.begun.set()

    def __enter__(self):
        self.thread.start()
        self.begun.wait()

    def __exit__(self, *_):
        self.stop.set()
        self.thread.join()


class GrowingFiles(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="thresh-growing-"))
        self.addCleanup(shutil.rmtree, self.folder, ignore_errors=True)
        self.exports = self.folder / "exports"
        self.exports.mkdir()
        self.write("a.csv", rows(0, 3))

    def write(self, name, text, age=3600):
        path = self.exports / name
        path.write_text(HEADINGS + text, encoding="utf-8")
        if age:
            os.utime(path, (time.time() - age, time.time() - age))
        return path

    def thresh(self, *arguments):
        return subprocess.run([binary, *arguments], cwd=self.folder, text=True, capture_output=True, timeout=100,
                              stdin=subprocess.DEVNULL)

    def results(self):
        folder = self.folder / "results"
        return {path.name: path.read_bytes() for path in folder.iterdir()} if folder.is_dir() else {}

    def samples(self):
        with open(self.folder / "results" / "samples.csv", encoding="utf-8") as table:
            return [row["sample"] for row in csv.DictReader(table)]

    def caught(self, writer, *arguments):
        """The first of some jobs during which something was appended, and the results as they were before it. Where no
        row comes between the start and the end of reading, a job reads the file as it stands and ends well."""
        with writer:
            for _ in range(100):
                before = self.results()
                done = self.thresh(*arguments)
                if done.returncode != 0:
                    return done, before
        self.fail("no job was at work while the file grew")

    def check(self, done, status, *words):
        self.assertEqual(done.returncode, status, done.stderr)
        for word in words:
            self.assertIn(word, done.stderr)

    def test_settle_leaves_a_fresh_file_for_next_time_with_a_note(self):
        self.write("fresh.csv", rows(10, 2), age=0)
        self.check(self.thresh("run", "exports", "--into", "results", "--settle", "60"), 0,
                   "exports/fresh.csv", "--settle")
        self.assertEqual(self.samples(), ["S-000000", "S-000001", "S-000002"])
        self.check(self.thresh("run", "exports", "--into", "results"), 0)
        self.assertIn("S-000010", self.samples())

    def test_settle_with_nothing_but_fresh_files_leaves_the_old_results(self):
        self.check(self.thresh("run", "exports", "--into", "results"), 0)
        before = self.results()
        self.write("a.csv", rows(0, 9), age=0)
        self.check(self.thresh("run", "exports", "--into", "results", "--settle", "60"), 0, "exports/a.csv", "--settle")
        self.assertEqual(self.results(), before)

    def test_settle_takes_a_file_that_rests_long_enough(self):
        self.write("rests.csv", rows(10, 1), age=61)
        self.check(self.thresh("run", "exports", "--into", "results", "--settle", "60"), 0)
        self.assertIn("S-000010", self.samples())

    def test_a_run_whose_export_grows_meanwhile_says_so_and_leaves_the_old_results(self):
        self.check(self.thresh("run", "exports", "--into", "results"), 0)
        growing = self.write("grows.csv", rows(0, 20_000))
        done, before = self.caught(Writer(growing), "run", "exports", "--into", "results")
        self.check(done, 2, "exports/grows.csv", "changed while it was read", "--settle")
        self.assertIn("report.html", before)
        self.assertGreaterEqual(len(before), 10)
        self.assertEqual(self.results(), before)
        self.assertEqual(sorted(path.name for path in self.folder.iterdir()), ["exports", "results"])
        self.check(self.thresh("run", "exports", "--into", "results"), 0)

    def test_tables_refuse_an_export_that_grows_and_read_the_others(self):
        growing = self.write("grows.csv", rows(10, 20_000))
        done, _ = self.caught(Writer(growing), "samples", "exports")
        self.check(done, 2, "exports/grows.csv", "file-refused", "changed while it was read")
        names = [row["sample"] for row in csv.DictReader(io.StringIO(done.stdout))]
        self.assertEqual(names, ["S-000000", "S-000001", "S-000002"])

    def test_a_list_that_grows_stops_the_job(self):
        growing = self.folder / "list.csv"
        growing.write_text("sample,line\n" + "".join(f"S-{i:06},L{i}\n" for i in range(50_000)), encoding="utf-8")
        row = "S-{0},L{0}\n".format
        done, _ = self.caught(Writer(growing, row), "lines", "exports", "--samples", "list.csv")
        self.check(done, 2, "list.csv", "changed while it was read")
        self.assertEqual(done.stdout, "")


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
