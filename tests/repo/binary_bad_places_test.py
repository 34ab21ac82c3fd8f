"""binary_bad_places_test.py BINARY: what a run does where it may not read, may not write, or is not alone.

Root may do everything, so as root the program is started as an unprivileged user, from a copy that user can reach.
"""
import fcntl
import os
import pathlib
import resource
import shutil
import subprocess
import sys
import tempfile
import unittest

export = """Sample ID,Analysis,Moisture (%),Protein (% as is),Oil (% as is)
A-1,Soybean whole,6.20,37.10,20.35
A-2,Soybean whole,6.50,36.80,20.10
"""
nobody = 65534


class BadPlaces(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="thresh-places-"))
        self.addCleanup(shutil.rmtree, self.folder, ignore_errors=True)
        self.binary = self.folder / "thresh"
        shutil.copy2(sys.argv[1], self.binary)
        self.work = self.folder / "work"
        self.work.mkdir()
        (self.work / "week.csv").write_text(export)
        if os.geteuid() == 0:
            for path in (self.folder, self.binary, self.work, self.work / "week.csv"):
                os.chown(path, nobody, nobody)

    def thresh(self, *arguments, largest_file=None):
        other = {"user": nobody, "group": nobody, "extra_groups": []} if os.geteuid() == 0 else {}
        return subprocess.run([self.binary, *arguments], cwd=self.work, text=True, capture_output=True, timeout=60,
                              stdin=subprocess.DEVNULL, env={"HOME": str(self.work), "PATH": os.environ["PATH"]}, **other,
                              restore_signals=largest_file is None,  # SIGXFSZ stays ignored: writing fails instead
                              preexec_fn=largest_file and (lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (largest_file, largest_file))))

    def check(self, done, status, *words):
        self.assertEqual(done.returncode, status, done.stderr)
        for word in words:
            self.assertIn(word, done.stderr)

    def test_an_unreadable_export_is_refused_and_the_others_are_read(self):
        (self.work / "locked.csv").write_text(export)
        (self.work / "locked.csv").chmod(0)
        done = self.thresh("lines", "week.csv", "locked.csv")
        self.check(done, 2, "locked.csv", "file-refused", "Permission denied", "2 of 2 readings")
        self.assertIn("A-1", done.stdout)

    def test_a_folder_that_cannot_be_written_is_said_and_nothing_is_left(self):
        (self.work / "locked").mkdir()
        (self.work / "locked").chmod(0o555)
        self.check(self.thresh("run", "week.csv", "--into", "locked/results"), 2, "locked/results", "Permission denied")
        self.assertEqual(list((self.work / "locked").iterdir()), [])
        self.check(self.thresh("lines", "week.csv", "-o", "locked/lines.csv"), 2, "locked/lines.csv", "Permission denied")

    def test_an_output_folder_that_holds_something_else_stays_as_it_is(self):
        (self.work / "letters").mkdir()
        (self.work / "letters" / "letter.txt").write_text("Dear colleague")
        self.check(self.thresh("run", "week.csv", "--into", "letters"), 2, "letter.txt", "--into")
        self.assertEqual((self.work / "letters" / "letter.txt").read_text(), "Dear colleague")

    def test_the_second_of_two_runs_gives_way_and_the_first_ones_results_stay(self):
        self.check(self.thresh("run", "week.csv", "--into", "results"), 0)
        before = {path.name: path.read_bytes() for path in (self.work / "results").iterdir()}
        with open(self.work / ".results.lock", "w") as lock:
            os.chmod(lock.fileno(), 0o666)
            fcntl.flock(lock, fcntl.LOCK_EX)
            self.check(self.thresh("run", "week.csv", "--into", "results"), 2, "another run")
        self.assertEqual({path.name: path.read_bytes() for path in (self.work / "results").iterdir()}, before)
        self.check(self.thresh("run", "week.csv", "--into", "results"), 0)

    def test_a_run_that_is_killed_leaves_the_old_results_and_the_next_run_sweeps_up(self):
        self.check(self.thresh("run", "week.csv", "--into", "results"), 0)
        left = self.work / ".results.new-abcdef"
        left.mkdir()
        (left / "lines.csv").write_text("half a table")
        if os.geteuid() == 0:
            for path in (left, left / "lines.csv"):
                os.chown(path, nobody, nobody)
        self.check(self.thresh("run", "week.csv", "--into", "results"), 0)
        self.assertEqual(sorted(path.name for path in self.work.iterdir()), ["results", "week.csv"])

    def test_a_full_disk_is_an_error_and_the_old_file_stays(self):
        if not pathlib.Path("/dev/full").is_char_device():
            self.skipTest("no /dev/full here")
        done = subprocess.run(f"'{self.binary}' lines week.csv > /dev/full", shell=True, cwd=self.work, text=True,
                              capture_output=True, timeout=60)
        self.check(done, 2, "No space left")

    def large_export(self):
        """Its table of readings has some 5 MB: written in pieces of 2 MiB, beside whoever makes them."""
        rows = [f"L{i:05}-1,Soybean whole,{6 + i % 97 / 100:.2f},{35 + i % 89 / 20:.2f},{19 + i % 83 / 30:.2f}" for i in range(40_000)]
        (self.work / "season.csv").write_text("\n".join([export.split("\n")[0], *rows, ""]))

    def test_a_file_of_several_pieces_holds_what_standard_output_would(self):
        self.large_export()
        shown = self.thresh("readings", "season.csv", "--format", "csv", "-q")
        self.thresh("readings", "season.csv", "--format", "csv", "-q", "-o", "readings.csv")
        self.assertGreater(len(shown.stdout), 5 << 19)
        self.assertEqual((self.work / "readings.csv").read_text(), shown.stdout)
        self.assertEqual((self.work / "readings.csv").stat().st_mode, (self.work / "season.csv").stat().st_mode)

    def test_a_file_that_cannot_be_written_to_its_end_is_said_and_the_old_ones_stay(self):
        self.check(self.thresh("run", "week.csv", "--into", "results"), 0)
        before = {path.name: path.read_bytes() for path in (self.work / "results").iterdir()}
        (self.work / "readings.csv").write_text("of yesterday")
        if os.geteuid() == 0:
            os.chown(self.work / "readings.csv", nobody, nobody)
        self.large_export()
        # In the first piece, in the second, in what is left behind the last.
        end = len(self.thresh("readings", "season.csv", "--format", "csv", "-q").stdout)
        for largest in (1 << 20, 3 << 20, end - 1):
            with self.subTest(largest=largest):
                done = self.thresh("run", "season.csv", "--only", "readings", "--into", "results", largest_file=largest)
                self.check(done, 2, "readings.csv", "File too large", "check the folder")
                self.assertEqual({path.name: path.read_bytes() for path in (self.work / "results").iterdir()}, before)
                done = self.thresh("readings", "season.csv", "--format", "csv", "-o", "readings.csv", largest_file=largest)
                self.check(done, 2, "readings.csv", "File too large", "check the folder")
                self.assertEqual((self.work / "readings.csv").read_text(), "of yesterday")
                self.assertEqual(sorted(path.name for path in self.work.iterdir()), ["readings.csv", "results", "season.csv", "week.csv"])


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
