# SPDX-License-Identifier: Apache-2.0
"""What the program does on a terminal but not in a pipe: progress messages, line width, colour.

    python3 tests/page/terminal_test.py PROGRAM SOURCE_FOLDER
"""
import fcntl
import os
import pty
import signal
import struct
import subprocess
import sys
import tempfile
import termios
import threading
import time
import unittest

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import sites  # noqa: E402

PROGRAM, SOURCE = sys.argv[1], sys.argv[2]
SITE = os.path.join(SOURCE, "examples/school-prep-room.toml")
os.chdir(os.path.join(SOURCE, "examples"))  # keeps long paths out of the text


def on_terminal(arguments, columns=100, out=True, err=True, before=None, **environment):
    """Runs the program with standard output, standard error or both on a terminal.

    Returns the text there and in the pipes.
    """
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
    clean = {name: value for name, value in os.environ.items()
             if name not in ("NO_COLOR", "TERM", "COLUMNS", "LC_ALL", "LC_CTYPE", "LANG")}
    process = subprocess.Popen([PROGRAM, *arguments], stdin=subprocess.DEVNULL, env={**clean, "LC_ALL": "C", **environment},
                               stdout=theirs if out else subprocess.PIPE, stderr=theirs if err else subprocess.PIPE)
    os.close(theirs)
    said = bytearray()

    def listen():
        while True:
            try:
                piece = os.read(ours, 65536)
            except OSError:  # the other side is closed
                return
            if not piece:
                return
            said.extend(piece)

    listener = threading.Thread(target=listen)
    listener.start()
    if before:
        before()
    piped = process.communicate(timeout=120)
    listener.join(60)
    os.close(ours)
    return said.decode(), [(text or b"").decode() for text in piped]


class Terminal(unittest.TestCase):
    def slow_site(self, **setting):
        """Checks a site that arrives through a pipe after two seconds, so that the program has to wait on any machine."""
        with tempfile.TemporaryDirectory() as folder:
            pipe = os.path.join(folder, "site.toml")
            os.mkfifo(pipe)

            def write():
                with open(SITE, encoding="utf-8") as site, open(pipe, "w", encoding="utf-8") as out:
                    time.sleep(2.3)
                    out.write(site.read())

            return on_terminal(["check", pipe, *setting.pop("more", [])], before=write, **setting)

    def test_slow_reading_shows_progress(self):
        said, (out, _) = self.slow_site(out=False)
        self.assertRegex(said, r"\rleanside: reading the site, 1 s so far ")
        self.assertIn("\r\x1b[K", said)
        self.assertNotIn("so far", out)

    def test_no_progress_without_a_terminal_or_when_quiet(self):
        said, (_, err) = self.slow_site(out=True, err=False)
        other = [line for line in err.splitlines() if "may gather" not in line]  # notices about rooms that stay mixed
        self.assertEqual(other, [])
        self.assertNotIn("so far", said)
        said, _ = self.slow_site(more=["--quiet"], out=False)
        self.assertEqual(said, "")

    def stopped(self, command, site, *options):
        """Runs a sweep on a terminal until its progress bar appears, then sends Ctrl-C.

        Returns the exit code, the text on the terminal, the output and the files left.
        """
        with tempfile.TemporaryDirectory() as folder:
            with open(os.path.join(folder, "site.toml"), "w", encoding="utf-8") as out:
                out.write(site)
            ours, theirs = pty.openpty()
            process = subprocess.Popen([PROGRAM, command, "site.toml", "--output", "answer", *options], cwd=folder,
                                       stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=theirs)
            os.close(theirs)
            said, asked = b"", False
            while True:
                try:
                    piece = os.read(ours, 65536)
                except OSError:
                    break
                if not piece:
                    break
                said += piece
                if not asked and b"] " in said:
                    process.send_signal(signal.SIGINT)
                    asked = True
            out, _ = process.communicate(timeout=60)
            os.close(ours)
            return process.returncode, said.decode(), out, sorted(os.listdir(folder))

    def test_control_c_stops_a_sweep(self):
        with open(os.path.join(SOURCE, "examples/uncertain-store.toml"), encoding="utf-8") as text:
            store = text.read()
        for command, site, options in (("spread", store, ["--draws", "200000"]),
                                       ("failures", sites.large(200), ["--in-time", "--pairs"])):
            code, said, out, left = self.stopped(command, site, *options)
            self.assertEqual(code, 130, said)
            self.assertRegex(said, r"\rleanside: .*, \d+ s so far, \[#*-*\] \d+ %")
            self.assertRegex(said, r"site.toml: error: stopped after \d+ of \d+ runs; there is no answer, and nothing was written")
            self.assertEqual(out, b"")
            self.assertEqual(left, ["site.toml"])

    def test_quick_work_shows_no_progress(self):
        said, _ = on_terminal(["substances", "methane"], out=False)
        self.assertEqual(said, "")

    def test_text_is_as_wide_as_the_terminal(self):
        for columns in (40, 60, 80, 110):
            said, _ = on_terminal(["check", "school-prep-room.toml"], columns=columns, err=False, NO_COLOR="1")
            lines = said.split("\r\n")
            self.assertLessEqual(max(map(len, lines)), columns)
            self.assertGreater(max(map(len, lines)), columns - 12)

    def test_colour_only_on_a_capable_terminal(self):
        self.assertIn("\x1b[", on_terminal(["check", SITE], err=False)[0])
        self.assertNotIn("\x1b", on_terminal(["check", SITE], err=False, NO_COLOR="1")[0])
        self.assertNotIn("\x1b", on_terminal(["check", SITE], err=False, TERM="dumb")[0])
        piped = on_terminal(["check", SITE], out=False, err=True)[1][0]
        self.assertNotIn("\x1b", piped)

    def test_ascii_in_an_ascii_locale(self):
        for arguments in (["check", SITE], ["explain", SITE, "prep-room"]):
            self.assertTrue(on_terminal(arguments, err=False)[0].isascii())
        self.assertIn("×", on_terminal(["explain", SITE, "prep-room"], err=False, LC_ALL="C.UTF-8")[0])
        self.assertTrue(on_terminal(["explain", SITE, "prep-room", "--ascii"], err=False, LC_ALL="C.UTF-8")[0].isascii())


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
