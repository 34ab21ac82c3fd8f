"""binary_same_bytes_test.py BINARY: the same inputs give the same bytes, whatever their order and the number of threads;
cutting an export in two changes neither lines nor samples.
"""
import hashlib
import json
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

    def test_run_json_has_the_hash_of_every_file(self):
        # Tables are hashed while they are written: the hash must be that of what lies there.
        for threads in "1", "3":
            with tempfile.TemporaryDirectory() as scratch:
                command = [binary, "run", demo / "exports", *lists, "--into", "results", "--threads", threads, "-q"]
                subprocess.run(command, cwd=scratch, timeout=120, check=False, umask=0o027)
                results = pathlib.Path(scratch, "results")
                told = json.loads((results / "run.json").read_text(encoding="utf-8"))
                files = [(results / entry["file"], entry["sha256"]) for entry in told["results"]]
                self.assertEqual({path.name for path, _ in files} | {"run.json", "datapackage.json"},
                                 {path.name for path in results.iterdir()})
                files += [(pathlib.Path(entry["source"]), entry["sha256"]) for entry in told["inputs"]]
                self.assertGreater(len(files), 15)
                for path, digest in files:
                    self.assertEqual(hashlib.sha256(path.read_bytes()).hexdigest(), digest, path)
                # Several files may be finished at the same moment: each has the permissions that the user's mask leaves.
                self.assertEqual({path.stat().st_mode & 0o777 for path in results.iterdir()}, {0o640})

    def test_a_large_table_is_the_same_in_a_file_through_a_pipe_and_in_a_results_folder(self):
        # Into files it goes in pieces of 2 MiB, some of which wait for the disk, past the page cache; a pipe takes it as it is.
        rows = "".join(f"S-{i:06},Soybean whole,6.{i % 100:02},37.{i * 7 % 100:02},20.{i * 3 % 100:02}\n" for i in range(150_000))
        with tempfile.TemporaryDirectory(dir=binary.parent) as scratch:
            season = pathlib.Path(scratch, "season.csv")
            season.write_text("Sample ID,Analysis,Moisture (%),Protein (% as is),Oil (% as is)\n" + rows, encoding="utf-8")
            through_pipe = thresh("readings", "season.csv", "--threads", "3", "--digits", "4", folder=scratch)
            self.assertGreater(len(through_pipe), 7 * 2**21)
            thresh("readings", "season.csv", "--threads", "3", "--digits", "4", "-o", "readings.csv", folder=scratch)
            thresh("run", "season.csv", "--threads", "3", "--into", "results", "--only", "readings,lines,samples", folder=scratch)
            for path in pathlib.Path(scratch, "readings.csv"), pathlib.Path(scratch, "results", "readings.csv"):
                self.assertEqual(hashlib.sha256(path.read_bytes()).hexdigest(), hashlib.sha256(through_pipe).hexdigest(), path)

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

    def test_hundreds_of_small_files_give_the_same_however_each_is_spelled(self):
        # More files than are looked at by one thread, most with one heading, between them others that are laid out otherwise.
        heading = "Sample ID,Date time,Analysis,Moisture (%),Protein (% as is),Oil (% as is),Ash (% as is),Fiber (% as is)," \
                  "Sucrose (% as is),Distance,Remark Ü\n"
        spellings = [
            lambda text: text.encode(),
            lambda text: text.replace("\n", "\r\n").encode(),
            lambda text: text.encode("cp1252"),
            lambda text: text.replace(",", ";").replace(".", ",").encode(),
            lambda text: "".join('"' + line.replace(",", '","') + '"\n' for line in text.splitlines()).encode(),
            lambda text: text.encode("utf-16"),
            lambda text: b"\xef\xbb\xbf" + text.encode()[:-1],
            lambda text: ("Laboratory A\n\n" + text).encode(),
            lambda text: (text + "\n" + heading).encode(),
            lambda text: "\n".join(",".join(reversed(line.split(","))) for line in text.splitlines()).encode(),
        ]
        with tempfile.TemporaryDirectory() as scratch:
            for folder in "clean", "spelled":
                pathlib.Path(scratch, folder).mkdir()
            for f in range(300):
                rows = "".join(
                    f"L{f % 40}-{f}-{i},2026-08-{1 + f // 20:02} {7 + f % 20 // 2:02}:{f % 2 * 30 + i:02}:09,Soybean whole,"
                    f"6.{(f + i) % 90 + 10},37.{f * i * 7 % 90 + 10},20.{i * 3 % 90 + 10},4.{f % 9}1,4.{i % 9}2,5.{i % 8}3,0.5{i},ä\n"
                    for i in range(1 + f % 7))
                pathlib.Path(scratch, "clean", f"f{f:03}.csv").write_bytes((heading + rows).encode())
                spell = spellings[f // 3 % len(spellings) if f % 3 == 0 else 0]
                pathlib.Path(scratch, "spelled", f"f{f:03}.csv").write_bytes(spell(heading + rows))
            for command in "lines", "samples":
                clean = thresh(command, "clean", "--threads", "1", folder=scratch)
                self.assertGreater(len(clean.splitlines()), 40)
                for folder in "clean", "spelled":
                    for threads in "1", "2", "5":
                        self.assertEqual(thresh(command, folder, "--threads", threads, folder=scratch), clean, (command, folder, threads))

    def test_a_file_that_links_lead_to_is_read_once(self):
        with tempfile.TemporaryDirectory() as scratch:
            season, out = pathlib.Path(scratch, "season"), pathlib.Path(scratch, "out.csv")
            (season / "b").mkdir(parents=True)
            text = "Sample ID,Moisture (%),Protein (% as is)\nA-1,7,38\nA-2,7,39\n"
            for path in season / "b" / "week.csv", out:
                path.write_text(text, encoding="utf-8")
            (season / "a.csv").symlink_to("b/week.csv")
            (season / "c").symlink_to("b")
            (season / "b" / "up").symlink_to("..")
            (season / "out.csv").symlink_to(out)
            (season / "gone.csv").symlink_to("nowhere")
            pathlib.Path(scratch, "way").symlink_to("season")
            for given in (["season"], ["way"], ["season", "way/b/week.csv", "season/c/week.csv"]):
                thresh("run", *given, "--into", "results", "--only", "readings", folder=scratch)
                told = json.loads(pathlib.Path(scratch, "results", "run.json").read_text(encoding="utf-8"))
                self.assertEqual([entry["source"] for entry in told["inputs"]], [f"{given[0]}/a.csv"], given)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
