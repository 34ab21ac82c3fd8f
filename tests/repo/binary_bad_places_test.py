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
import time
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

    def own(self, path):
        if os.geteuid() == 0:
            os.chown(path, nobody, nobody)

    def thresh(self, *arguments, largest_file=None, ignored=True):
        other = {"user": nobody, "group": nobody, "extra_groups": []} if os.geteuid() == 0 else {}
        return subprocess.run([self.binary, *arguments], cwd=self.work, text=True, capture_output=True, timeout=60,
                              stdin=subprocess.DEVNULL, env={"HOME": str(self.work), "PATH": os.environ["PATH"]}, **other,
                              restore_signals=largest_file is None or not ignored,  # SIGXFSZ, which this interpreter ignores
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

    def test_a_file_name_that_is_no_utf8_is_read_and_named_in_utf8(self):
        for name in (b"M\xfcller.csv", b"M\xf6ller.csv"):
            path = os.path.join(os.fsencode(self.work), name)
            with open(path, "w") as file:
                file.write(export.replace("A-", f"{name[1]}-"))
        done = self.thresh("readings", ".", "--digits", "full")
        self.check(done, 0, "6 of 6 readings")
        self.assertEqual(done.stdout.count("\n./M\ufffdller.csv,"), 4)

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

    def test_a_link_to_the_results_stays_and_the_folder_behind_it_is_exchanged(self):
        (self.work / "share").mkdir()
        self.own(self.work / "share")
        self.check(self.thresh("run", "week.csv", "--into", "share/season"), 0)
        (self.work / "results").symlink_to("share/season")
        self.check(self.thresh("run", "week.csv", "--only", "lines", "--into", "results/"), 0)
        self.assertTrue((self.work / "results").is_symlink())
        self.assertEqual(sorted(path.name for path in (self.work / "share/season").iterdir()), ["datapackage.json", "lines.csv", "run.json"])
        (self.work / "lost").symlink_to("unmounted/season")
        self.check(self.thresh("run", "week.csv", "--into", "lost"), 2, "lost: error: is a link that leads nowhere")

    def test_older_results_are_kept_in_turn_and_nothing_else_gives_way_to_them(self):
        for only in ("lines", "samples", "readings", "todo"):
            self.check(self.thresh("run", "week.csv", "--only", only, "--into", "results", "--keep", "2"), 0)
        for folder, table in (("results", "todo"), ("results.1", "readings"), ("results.2", "samples")):
            self.assertTrue((self.work / folder / f"{table}.csv").is_file(), folder)
        shutil.rmtree(self.work / "results.2")
        (self.work / "results.2").mkdir()
        (self.work / "results.2" / "raw.csv").write_text(export)
        self.check(self.thresh("run", "week.csv", "--into", "results", "--keep", "2"), 2, "results.2", "raw.csv")
        self.assertEqual((self.work / "results.2" / "raw.csv").read_text(), export)
        self.assertTrue((self.work / "results.1" / "readings.csv").is_file())
        self.assertEqual([path.name for path in self.work.iterdir() if ".new-" in path.name], [])

    def test_no_file_that_a_command_reads_is_replaced_by_what_it_writes(self):
        (self.work / "list.csv").write_text("sample,line\nA-1,L-1\n")
        (self.work / "link.csv").symlink_to("week.csv")
        self.check(self.thresh("rules", "start", "-o", "rules.json"), 0)
        names = ("week.csv", "list.csv", "rules.json")
        before = {name: (self.work / name).read_bytes() for name in names}
        pick = ("pick", "week.csv", "--count", "2", "--shipment", "--batch-check", "A-1")
        for arguments in (("readings", "week.csv", "-o", "week.csv"), ("lines", ".", "-o", "week.csv"), ("lines", "week.csv", "-o", "link.csv"),
                          ("inspect", "week.csv", "-o", "week.csv"), ("lines", "week.csv", "--samples", "list.csv", "-o", "list.csv"),
                          ("lines", "week.csv", "--rules", "rules.json", "-o", "rules.json"), ("rules", "show", "--rules", "rules.json", "-o", "rules.json"),
                          ("rules", "start", "-o", "rules.json"), (*pick, "--key", "week.csv"), (*pick, "--key", "both.csv", "-o", "both.csv")):
            with self.subTest(arguments=arguments):
                self.check(self.thresh(*arguments), 2)
                self.assertEqual({name: (self.work / name).read_bytes() for name in names}, before)
        # An unset variable behind the sign does not make an export the place of results.
        self.check(self.thresh("lines", "--output=", "week.csv", "link.csv"), 2, "--output= has no value")
        self.assertEqual((self.work / "week.csv").read_text(), export)

    def test_the_key_of_a_shipment_is_not_replaced_by_that_of_another(self):
        pick = ("pick", "week.csv", "--count", "2", "--shipment", "--batch-check", "A-1", "--key", "key.csv", "-q")
        self.check(self.thresh(*pick, "-o", "shipment.csv"), 0)
        key = (self.work / "key.csv").read_bytes()
        self.check(self.thresh(*pick, "-o", "shipment.csv"), 0)
        self.check(self.thresh(*pick, "--code-prefix", "Q"), 2, "key.csv", "another shipment")
        self.assertEqual((self.work / "key.csv").read_bytes(), key)

    def test_a_table_of_results_among_the_exports_is_no_export(self):
        for command in ("lines", "samples", "readings", "findings", "todo", "drift"):
            for ending in ("csv", "tsv"):
                self.check(self.thresh(command, "week.csv", "--format", ending, "-o", f"{command}.{ending}"), 0)
        alone = self.thresh("readings", "week.csv", "--format", "csv").stdout
        done = self.thresh("readings", ".", "--format", "csv")
        self.check(done, 0, "2 of 2 readings")
        self.assertEqual(done.stdout.replace("./week.csv", "week.csv"), alone)
        self.check(self.thresh("lines", "samples.csv"), 2, "is a table of results (`samples`), not an export")

    def test_a_file_from_a_clock_that_is_ahead_is_read_and_told(self):
        (self.work / "exports").mkdir()
        self.own(self.work / "exports")
        for name, ahead in (("old.csv", -3600), ("fresh.csv", 5), ("ahead.csv", 365 * 86400)):
            (self.work / "exports" / name).write_text(export.replace("A-", name[0] + "-"))
            now = time.time()
            os.utime(self.work / "exports" / name, (now + ahead, now + ahead))
        done = self.thresh("run", "exports", "--into", "results", "--settle", "60")
        self.check(done, 0, "4 of 4 readings", "exports/fresh.csv: changed within the last --settle seconds", "exports/ahead.csv: its time of change lies ahead")

    def test_what_a_killed_command_left_is_swept_and_what_another_is_writing_is_not(self):
        for name in (".lines.csv.abcdef", ".lines.csv.ABCDEF", ".lines.csv.longer-name", ".other.csv.abcdef"):
            (self.work / name).write_text("half a table")
            self.own(self.work / name)
        with open(self.work / ".lines.csv.ABCDEF") as held:
            fcntl.flock(held, fcntl.LOCK_EX)
            self.check(self.thresh("lines", "week.csv", "-o", "lines.csv"), 0)
        self.assertEqual(sorted(path.name for path in self.work.iterdir()),
                         [".lines.csv.ABCDEF", ".lines.csv.longer-name", ".other.csv.abcdef", "lines.csv", "week.csv"])

    def test_a_file_that_is_replaced_keeps_its_permissions(self):
        (self.work / "lines.csv").write_text("of yesterday")
        self.own(self.work / "lines.csv")
        (self.work / "lines.csv").chmod(0o640)
        self.check(self.thresh("lines", "week.csv", "-o", "lines.csv"), 0)
        self.assertEqual((self.work / "lines.csv").stat().st_mode & 0o777, 0o640)

    def test_a_limit_of_file_sizes_is_told(self):
        self.large_export()
        done = self.thresh("readings", "season.csv", "--format", "csv", "-o", "readings.csv", largest_file=1 << 20, ignored=False)
        self.check(done, 2, "readings.csv", "File too large")

    def test_a_full_disk_is_an_error_and_the_old_file_stays(self):
        if not pathlib.Path("/dev/full").is_char_device():
            self.skipTest("no /dev/full here")
        done = subprocess.run(f"'{self.binary}' lines week.csv > /dev/full", shell=True, cwd=self.work, text=True,
                              capture_output=True, timeout=60)
        self.check(done, 2, "No space left")
        done = subprocess.run(f"'{self.binary}' lines --help > /dev/full; echo $? >&2; '{self.binary}' lines --help | head -n 1", shell=True,
                              cwd=self.work, text=True, capture_output=True, timeout=60)
        self.check(done, 0, "standard output cannot be written", "\n2\n")

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
