"""What the program and its documents say of themselves, held against what it does."""

import os
import re
import shlex
import shutil
import signal
import subprocess

from bench import ALL_WELL, BINARY, ROOT, TERN, UNUSABLE, Case

README = (ROOT / "README.md").read_text()


def commands(text):
    """Command lines of steerbench in a text, those broken with a backslash made whole."""
    whole = re.sub(r"\\\n\s*", "", text)
    return re.findall(r"^(?:\$ |  )?(steerbench .+)$", whole, re.MULTILINE)


class Help(Case):
    def verbs(self):
        return re.findall(r"(?m)^  (\w+) ", self.good("-h").split("Subcommands:")[1])

    def examples(self, verb):
        return commands(self.good(verb, "-h").split("Example", 1)[1])

    def run_as_shown(self, command):
        """Runs a command as a reader would type it at the root of the sources."""
        shutil.copytree(ROOT / "examples", self.here / "examples", dirs_exist_ok=True)
        tools = self.here / "bin"
        tools.mkdir(exist_ok=True)
        if not (tools / "steerbench").exists():
            (tools / "steerbench").symlink_to(BINARY)
        path = f"{tools}:{os.environ['PATH']}"
        environment = {**os.environ, "PATH": path}
        if "steerbench serve" in command:
            return self.end_as_shown(command, environment)
        return subprocess.run(
            command, shell=True, cwd=self.here, env=environment, capture_output=True, text=True
        )

    def end_as_shown(self, command, environment):
        """Starts a server and ends it with Ctrl-C as soon as it says how."""
        environment.pop("DISPLAY", None)
        environment.pop("WAYLAND_DISPLAY", None)
        with subprocess.Popen(
            shlex.split(command), cwd=self.here, env=environment, text=True,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        ) as process:  # fmt: skip
            for line in process.stdout:
                if "Ctrl-C" in line:
                    break
            process.send_signal(signal.SIGINT)
            process.communicate(timeout=20)
            return process

    def test_verbs_are_listed(self):
        known = {"check", "compare", "sweep", "solve", "new", "set", "serve", "form", "schema"}
        self.assertLessEqual(known, set(self.verbs()))

    def test_each_verb_shows_an_example_and_its_exit_status(self):
        for verb in self.verbs():
            said = self.good(verb, "-h")
            self.assertTrue(self.examples(verb), verb)
            for command in self.examples(verb):
                self.assertTrue(command.startswith(f"steerbench {verb}"), verb)
            self.assertIn("Exit status: 0", said)
            self.assertNotIn("{false}", said)

    def test_examples_run(self):
        # `new` comes before `set`, which changes the file that the example of `new` writes.
        for verb in self.verbs():
            for command in self.examples(verb):
                done = self.run_as_shown(command)
                self.assertEqual(done.returncode, ALL_WELL, (command, done.stderr))
                if verb != "serve":
                    self.assertEqual(bool(done.stderr), verb in ("new", "set"), done.stderr)
        self.assertIn('diameter = "127.2 ± 0.1 mm"', (self.here / "my-car.toml").read_text())
        self.assertIn('"$schema"', (self.here / "steerbench.schema.json").read_text())

    def test_version(self):
        self.assertRegex(self.good("--version"), r"\A\d+\.\d+\.\d+\n\Z")

    def test_no_verb(self):
        self.assert_mentions(self.refused(), "say what to do", *self.verbs())

    def test_unknown_verb(self):
        self.assert_mentions(self.refused("chekc"), "'chekc'", "check, compare")

    def test_file_left_out(self):
        for verb in (v for v in self.verbs() if v != "schema"):
            said = self.refused(verb)
            self.assert_mentions(said, f"{verb}: ", "required", f"'steerbench {verb} -h'")

    def test_unknown_option(self):
        said = self.refused("check", TERN, "--frob")
        self.assert_mentions(said, "--frob", "'steerbench check -h'")

    def test_second_file(self):
        self.assertIn("more.toml", self.refused("check", TERN, "more.toml"))

    def test_word_that_is_none_of_the_choices(self):
        said = self.refused("check", TERN, "--units", "furlong")
        self.assert_mentions(said, "--units", "'furlong'", "as-written, metric, imperial")
        said = self.refused("new", "car.toml", "--suspension", "swing-axle")
        self.assert_mentions(said, "'swing-axle'", "double-wishbone, strut, five-link")


class Documents(Case):
    def test_reference_of_fields_is_printed_by_the_program(self):
        written = (ROOT / "docs" / "document.md").read_text()
        self.assertEqual(self.good("schema", "--reference"), written)

    def test_usual_limits_are_those_that_the_program_tells(self):
        told = dict(re.findall(r"(?m)^# - (\w+): (at (?:least|most) .+)$", self.good("new", "-")))
        page = (ROOT / "docs" / "methods" / "limits.md").read_text()
        table = dict(re.findall(r"(?m)^\| `(\w+)` \| (at (?:least|most) [^|]+?) \|", page))
        self.assertEqual(len(told), 8)
        self.assertEqual(table, told)
        limits = (ROOT / "docs" / "document.md").read_text().split("## `[limits]`")[1]
        fields = re.findall(r"(?m)^- `(\w+)`", limits.split("\n## ")[0])
        self.assertEqual(set(told), set(fields))

    def test_readme_names_verbs_and_options_that_exist(self):
        shown = commands(README)
        self.assertGreater(len(shown), 5)
        for command in shown:
            words = shlex.split(command, comments=True)
            said = self.good(words[1], "-h")
            self.assertIn(f"steerbench {words[1]}", said)
            for option in (w for w in words if w.startswith("--")):
                self.assertIn(option, said, command)

    def test_readme_shows_what_is_printed(self):
        blocks = re.findall(r"```\n\$ steerbench (.+)\n((?:.*\n)+?)```", README)
        self.assertEqual(len(blocks), 2)
        # Columns are as wide as their widest cell, of which README leaves some out.
        squeeze = lambda line: " ".join(line.split())
        for command, shown in blocks:
            words = command.split()
            words[1] = ROOT / words[1]
            done = self.run_bench(*words)
            self.assertEqual(done.stderr, "")
            printed = {squeeze(line) for line in done.stdout.splitlines()}
            for line in shown.splitlines():
                self.assertTrue(line == "..." or squeeze(line) in printed, f"not printed: {line}")

    def test_links_of_readme_lead_somewhere(self):
        for target in re.findall(r"\]\(([^)#:]+)\)", README):
            self.assertTrue((ROOT / target).exists(), target)

    def test_help_does_not_hide_errors(self):
        self.assertEqual(self.run_bench("check", "--frob", "-x").returncode, UNUSABLE)
