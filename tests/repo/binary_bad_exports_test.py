"""binary_bad_exports_test.py BINARY: exports that are no tables are refused with a reason, in bounded time and memory."""
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import unittest

binary = pathlib.Path(sys.argv[1]).resolve()
MEBIBYTES = 250


class BadExports(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="thresh-bad-"))
        self.addCleanup(shutil.rmtree, self.folder, ignore_errors=True)
        (self.folder / "good.csv").write_text("Sample ID,Protein (% as is)\nG1,38.1\n")

    def check(self, name, *words):
        """Refused for `words`, the sound export beside it read, within a bound of memory."""
        with open(self.folder / "out", "w+b") as out, open(self.folder / "err", "w+b") as err:
            child = subprocess.Popen([binary, "readings", "good.csv", name], cwd=self.folder, stdout=out, stderr=err,
                                     stdin=subprocess.DEVNULL)
            _, status, usage = os.wait4(child.pid, 0)
            child.returncode = os.waitstatus_to_exitcode(status)
            out.seek(0)
            err.seek(0)
            told = err.read().decode()
            self.assertEqual(child.returncode, 2, told)
            for word in ("file-refused", "help: ", *words):
                self.assertIn(word, told)
            self.assertIn(b"good.csv,2,seed", out.read())
        self.assertLess(usage.ru_maxrss / 1024, MEBIBYTES)

    def test_a_line_without_end_is_refused_with_its_place(self):
        with open(self.folder / "line.csv", "wb") as export:
            export.write(b"Sample ID,Protein (% as is)\nA1,38.1\nA2,")
            for _ in range(300):
                export.write(b"9" * (1 << 20))
            export.write(b"\nA3,37.2\n")
        self.check("line.csv", "line.csv:3", "longer than 16 MiB")

    def test_a_first_line_without_end_is_refused(self):
        with open(self.folder / "first.csv", "wb") as export:
            for _ in range(300):
                export.write(b"a,b " * (1 << 18))
        self.check("first.csv", "line 1 is longer than 16 MiB")

    def test_garbage_is_refused(self):
        (self.folder / "garbage.csv").write_bytes(bytes((i * i * 31 + i // 7) % 256 for i in range(100_000)))
        self.check("garbage.csv", "not text")


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
