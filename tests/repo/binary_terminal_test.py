"""binary_terminal_test.py BINARY: what people see at a terminal, and what must not reach a pipe, a pager or a log."""
import fcntl
import os
import pathlib
import pty
import re
import select
import struct
import subprocess
import sys
import tempfile
import termios
import time
import unittest

BINARY = str(pathlib.Path(sys.argv[1]).resolve())
HEADINGS = "Sample ID,Instrument,Analysis,Moisture (%),Protein (% as-is),Oil (% as-is)\n"
ROWS = "".join(f"S-{i:03},Bench,Soy whole,{6 + i % 9 / 10:.1f},{35 + i % 7}.1,{18 + i % 3}.2\n" for i in range(40))
ESCAPE = "\x1b"


def left_on_screen(seen):
    """What is to be read in the end: each carriage return lets what follows stand over what the line has."""
    lines = []
    for line in seen.split("\n"):
        left = ""
        for piece in line.split("\r"):
            left = piece + left[len(piece):]
        lines.append(left.rstrip())
    return "\n".join(lines)


class Terminal(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)
        (self.folder / "week.csv").write_text(HEADINGS + ROWS, encoding="utf-8")

    def at_terminal(self, *arguments, width=80, environment=None, output=None, feed=None):
        """Runs the program at a terminal of `width`; returns what it showed. `feed`: what it gets on standard input, and
        before that either seconds to wait or what it must show first."""
        leader, follower = pty.openpty()
        fcntl.ioctl(follower, termios.TIOCSWINSZ, struct.pack("HHHH", 50, width, 0, 0))
        variables = {"PATH": os.environ["PATH"], "HOME": str(self.folder), "TERM": "xterm", **(environment or {})}
        program = subprocess.Popen([BINARY, *arguments], cwd=self.folder, env=variables, stderr=follower,
                                   stdin=subprocess.PIPE if feed else subprocess.DEVNULL, stdout=output or follower)
        os.close(follower)
        seen = b""
        if feed:
            if isinstance(feed[0], str):
                while feed[0].encode() not in seen and select.select([leader], [], [], 30)[0]:
                    seen += os.read(leader, 65536)
            else:
                time.sleep(feed[0])
            program.stdin.write(feed[1].encode())
            program.stdin.close()
        while True:
            try:
                piece = os.read(leader, 65536)
            except OSError:  # the terminal is gone
                break
            if not piece:
                break
            seen += piece
        os.close(leader)
        self.assertEqual(program.wait(60), 0, seen.decode(errors="replace"))
        return seen.decode().replace("\r\n", "\n")

    def piped(self, *arguments):
        done = subprocess.run([BINARY, *arguments], cwd=self.folder, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
        self.assertEqual(done.returncode, 0, done.stderr)
        return done

    def test_a_table_keeps_to_the_width_of_the_terminal_with_all_that_is_said_below_it(self):
        for command in ("lines", "samples", "readings", "findings", "todo"):
            for width in (40, 60, 80, 132):
                seen = self.at_terminal(command, "week.csv", "--assume-material", "soybean-whole", width=width)
                seen = re.sub(r"\x1b\[[0-9;]*m", "", seen)
                for line in re.split("[\n\r]", seen):  # a machine under load shows progress, and takes it away again
                    self.assertLessEqual(len(line), width, f"{command} at {width}: {line!r}")

    def test_colour_is_for_terminals_and_heeds_no_color(self):
        (self.folder / "week.csv").write_text(HEADINGS + ROWS + "S-900,Bench,Soy whole,6.0,52.0,18.0\n", encoding="utf-8")
        arguments = ("lines", "week.csv", "--assume-material", "soybean-whole", "-q")
        self.assertIn(ESCAPE + "[38;5;208m", self.at_terminal(*arguments))
        plain = self.at_terminal(*arguments, environment={"NO_COLOR": "1"})
        self.assertNotIn(ESCAPE, plain)
        self.assertIn("\u25b2", plain)  # the mark stays
        self.assertNotIn(ESCAPE, self.piped(*arguments, "--format", "table").stdout)

    def test_a_pipe_or_a_file_gets_nothing_but_results(self):
        read, write = os.pipe()
        seen = self.at_terminal("lines", "week.csv", "--assume-material", "soybean-whole", output=write)
        os.close(write)
        with os.fdopen(read, encoding="utf-8") as pipe:
            text = pipe.read()
        self.assertTrue(text.startswith("material,line,"), text[:40])
        self.assertNotIn(ESCAPE, text)
        self.assertIn("can be used", seen)

    def test_long_work_says_what_it_is_at_and_takes_the_line_away_again(self):
        seen = self.at_terminal("lines", "-", "--assume-material", "soybean-whole", width=60, feed=("reading exports", HEADINGS + ROWS))
        stages = re.findall(r"\r([a-z][^\r\n]*), [0-9]+ s", seen)
        self.assertEqual(stages[0], "reading exports", seen)
        left = left_on_screen(seen)
        for stage in set(stages):  # under load there are more than one
            self.assertNotIn(stage, left)
            self.assertLess(seen.rindex("\r" + stage), seen.index("line "))
        self.assertRegex(left, r"\nline +moisture")

    def test_quiet_work_logs_and_simple_terminals_see_no_progress(self):
        arguments = ("lines", "-", "--assume-material", "soybean-whole")
        feed = (1.2, HEADINGS + ROWS)
        self.assertNotIn("reading exports", self.at_terminal(*arguments, "-q", feed=feed))
        self.assertNotIn("reading exports", self.at_terminal(*arguments, environment={"TERM": "dumb"}, feed=feed))
        logged = subprocess.Popen([BINARY, *arguments], cwd=self.folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                                  stderr=subprocess.PIPE, text=True)
        time.sleep(1.2)
        self.assertNotIn("reading exports", logged.communicate(HEADINGS + ROWS)[1])

    def test_escape_sequences_of_ids_and_file_names_reach_no_terminal(self):
        name = "we\x1b[31mek.csv"
        rows = ('"S\x1b]0;x\x07-1",Bench,Soy whole,6.5,"3\x1b[1m6",19\n' "A\x1b[2J,Bench,Soy whole,9.9,36,19\n" "B,Be\x1b[5mnch,Soy whole,6.1,36,19\n")
        (self.folder / name).write_text(HEADINGS + rows, encoding="utf-8")
        for command in (["lines"], ["samples"], ["readings"], ["findings"], ["todo"], ["drift"], ["lines", "-v"], ["inspect"],
                        ["trace", "--line", "B", "--constituent", "protein"]):
            color = [] if command[0] == "inspect" else ["--color", "never"]
            seen = self.at_terminal(command[0], name, *command[1:], *color, "--assume-material", "soybean-whole")
            self.assertNotIn(ESCAPE, seen, command)
            self.assertNotIn("\x07", seen, command)

    def test_the_summary_draws_moisture_and_a_provisional_mean_is_marked(self):
        (self.folder / "week.csv").write_text(HEADINGS + ROWS + "WET,Bench,Soy whole,11.0,36.0,18.0\n", encoding="utf-8")
        seen = self.at_terminal("lines", "week.csv", "--assume-material", "soybean-whole", "--color", "never", width=100)
        self.assertRegex(seen, r"WET .*[0-9]~")
        self.assertIn("~ provisional", seen)
        self.assertRegex(seen, r"Moisture of 41 readings of soybean-whole, window 5 to 8 %: 0 below, 1 above\n +\d+\.\d\d \| +\d+  #+")


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
