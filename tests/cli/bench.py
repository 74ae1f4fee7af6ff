"""Runs of the real steerbench binary for the tests beside this file. Standard library only."""

import json
import os
import pathlib
import shutil
import subprocess
import tempfile
import unittest

BINARY = pathlib.Path(os.environ["STEERBENCH"]).resolve()
ROOT = pathlib.Path(__file__).resolve().parents[2]
# Under the sanitizers a search takes ten times as long: it is done less often there.
SANITIZED = os.environ.get("STEERBENCH_SANITIZE") == "1"
TERN = ROOT / "examples" / "tern.toml"
VAN = ROOT / "examples" / "light-van.toml"

# Exit statuses, as README.md promises them.
ALL_WELL, LIMIT_EXCEEDED, UNUSABLE, FAILED = 0, 1, 2, 3

SOLVE_RACK_HEIGHT = [
    "--vary", "rack-up", "--from", "-20 mm", "--to", "20 mm", "--target", "least-bump-steer",
]  # fmt: skip


class Case(unittest.TestCase):
    """Each test in an empty directory of its own, which nothing but the test may change."""

    def setUp(self):
        self.here = pathlib.Path(tempfile.mkdtemp(prefix="steerbench-"))
        self.addCleanup(shutil.rmtree, self.here)

    def run_bench(self, *arguments, stdin=b"", **options):
        """Runs the binary through pipes; the answer has returncode, stdout and stderr (text)."""
        if isinstance(stdin, str):
            stdin = stdin.encode()
        done = subprocess.run(
            [BINARY, *map(str, arguments)],
            input=stdin,
            stdout=options.pop("stdout", subprocess.PIPE),
            stderr=subprocess.PIPE,
            cwd=self.here,
            timeout=120,
            **options,
        )
        done.stdout = done.stdout.decode() if done.stdout is not None else None
        done.stderr = done.stderr.decode()
        return done

    def good(self, *arguments, status=ALL_WELL, **options):
        """Standard output of a run that must end with `status` and complain of nothing."""
        done = self.run_bench(*arguments, **options)
        self.assertEqual((done.returncode, done.stderr), (status, ""), arguments)
        return done.stdout

    def refused(self, *arguments, **options):
        """Standard error of a run that must refuse its input and print no result."""
        done = self.run_bench(*arguments, **options)
        self.assertEqual((done.returncode, done.stdout), (UNUSABLE, ""), (arguments, done.stderr))
        self.assertNotIn("internal error", done.stderr)
        self.assertTrue(done.stderr.endswith("\n"), done.stderr)
        return done.stderr

    def json(self, *arguments, status=ALL_WELL):
        return json.loads(self.good(*arguments, "--json", status=status))

    def setup_of(self, file, name, status=ALL_WELL):
        (setup,) = self.json("check", file, "--setup", name, status=status)["setups"]
        return setup

    def write(self, name, content):
        path = self.here / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    def files(self):
        """All files here with what they hold, to see that a run changed nothing."""
        return {p: p.read_bytes() for p in self.here.rglob("*") if p.is_file()}

    def assert_mentions(self, text, *wanted):
        for part in wanted:
            self.assertIn(part, text)
