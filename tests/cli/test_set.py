"""set: one value changed, all else byte for byte as it was. new: nothing overwritten."""

import json
import os
import resource
import signal

from bench import ALL_WELL, TERN, UNUSABLE, VAN, Case


class Set(Case):
    def setUp(self):
        super().setUp()
        self.text = TERN.read_text()
        self.car = self.write("car.toml", self.text)

    def change(self, field, value):
        """What `set` says of a change that it must make, in its one line on standard error."""
        done = self.run_bench("set", "car.toml", field, value)
        self.assertEqual((done.returncode, done.stdout), (ALL_WELL, ""), done.stderr)
        self.assertEqual(done.stderr.count("\n"), 1)
        return done.stderr.rstrip("\n")

    def assert_refused(self, field, value, *wanted):
        before = self.files()
        said = self.refused("set", "car.toml", field, value)
        self.assertEqual(self.files(), before)
        self.assert_mentions(said, "car.toml", "nothing was changed", *wanted)

    def test_keeps_everything_else(self):
        said = self.change("pulley.middle.diameter", "127.2 ± 0.1 mm")
        self.assertEqual(said, "pulley.middle.diameter: 5 in ± 1/32 in -> 127.2 ± 0.1 mm")
        want = self.text.replace('"5 in ± 1/32 in"', '"127.2 ± 0.1 mm"')
        self.assertEqual(self.car.read_text(), want)
        self.change("pulley.middle.diameter", "5 in ± 1/32 in")
        self.assertEqual(self.car.read_text(), self.text)

    def test_new_part_is_said(self):
        said = self.change("pulley.smal.diameter", "120 mm")
        want = "pulley.smal.diameter set to 120 mm (new part [pulley.smal])"
        self.assertEqual(said, want)
        self.assertTrue(self.car.read_text().startswith(self.text))
        self.assertIn('[pulley.smal]\ndiameter = "120 mm"', self.car.read_text())

    def test_a_part_whose_name_needs_quotes(self):
        text = self.text.replace("[rack.slow]", '[rack."5.5 inch"]')
        text = text.replace("[[rack.slow.", '[[rack."5.5 inch".')
        self.write("car.toml", text.replace('"slow"', '"5.5 inch"'))
        done = self.run_bench("check", "car.toml", "--setup", "calm", "--json")
        inputs = json.loads(done.stdout)["setups"][0]["results"]["kerb_torque"]["from"]
        paths = [each["input"] for each in inputs if "inch" in each["input"]]
        self.assertIn('rack."5.5 inch".piston_bore', paths)
        # What is printed can be given back.
        said = self.change('rack."5.5 inch".piston_bore', "43 ± 0.1 mm")
        self.assertIn('rack."5.5 inch".piston_bore', said)

    def test_an_old_problem_elsewhere_is_no_reason_to_refuse(self):
        face = '\n[[car.face]]\nat = "pinion"\nsplines = 36\n'
        self.write("car.toml", "format = 1\n" + face + face)
        self.change("title", "hello")
        self.change("car.note", "a line more moves those below")

    def test_many_old_problems_are_mended_one_by_one(self):
        rows = "".join(f'[pulley.p{i}]\ndiameter = "-1 mm"\n' for i in range(251))
        self.write("car.toml", "format = 1\n" + rows)
        self.change("pulley.p7.diameter", "120 mm")

    def test_new_setup_is_said(self):
        said = self.change("setup.bold.rack", "quick")
        self.assertEqual(said, "setup.bold.rack set to quick (new setup [setup.bold])")

    def test_new_field_of_a_part(self):
        said = self.change("pulley.middle.note", "measured twice")
        self.assertEqual(said, "pulley.middle.note set to measured twice")

    def test_field_of_a_row(self):
        said = self.change("car.front.obstacle[0].gap", "12 mm")
        self.assertEqual(said, "car.front.obstacle[0].gap: 10 mm -> 12 mm")

    def test_remove(self):
        field = "rack.works.friction"
        self.assertEqual(self.change(field, ""), f"{field} removed, was 130 ± 30 N")
        want = self.text.replace('friction = "130 ± 30 N"\n', "", 1)
        self.assertEqual(self.car.read_text(), want)
        self.assertEqual(self.change(field, ""), f"{field}: nothing to remove")
        self.assertEqual(self.car.read_text(), want)

    def test_value_with_origin_keeps_it(self):
        self.change("car.front.left.tie_rod_inner", "(-150, 318, 228) mm ± 1 mm")
        want = self.text.replace(
            '"(-158, 318, 228) mm", tolerance = "1.5 mm"', '"(-150, 318, 228) mm ± 1 mm"'
        )
        self.assertEqual(self.car.read_text(), want)

    def test_what_stays_a_guess_is_said(self):
        field = "car.front.tyre.cornering_stiffness"
        said = self.change(field, "830 ± 20 N/deg")
        self.assertIn(f"still from guess: if it is measured now, set {field}.from measured", said)
        self.change(field + ".from", "measured")
        self.assertNotIn("still from", self.change(field, "840 ± 20 N/deg"))

    def test_negative_value(self):
        said = self.change("setup.calm.rack_up", "-5 mm")
        self.assertEqual(said, "setup.calm.rack_up: 0 ± 0.5 mm -> -5 mm")

    def test_escape_codes_are_not_passed_on(self):
        self.assert_refused("car.note", "\x1b[31mred", "control characters")
        self.assert_refused("title", "photo\u202egpj", "control characters")

    def test_refuses_nonsense(self):
        line = self.text[: self.text.index('"5 in ± 1/32 in"')].count("\n") + 1
        wanted = (f"car.toml:{line}:13: ", '"banana"', "Expected a length")
        self.assert_refused("pulley.middle.diameter", "banana", *wanted)
        self.assert_refused("pulley.middle.diameter", "5 kg", "a unit of mass")
        self.assert_refused("pulley.middle.diameter", "-5 in", "greater than zero")
        self.assert_refused("pulley.middle.diamter", "5 in", "did you mean 'diameter'?")
        self.assert_refused("pully.middle.diameter", "5 in", "did you mean 'pulley'?")
        self.assert_refused("pulley.middle", "5 in", "name one of them")
        self.assert_refused("rack.works.owned", "maybe", "true or false")
        self.assert_refused("setup.calm.rack", "nix", "rack.nix")
        self.assert_refused("car.front.left.wheel_centre", "(0, 731) mm", "three numbers")
        self.assert_refused("", "5 in", "car.front.track")
        self.assert_refused("format", "2", "format")
        self.assert_refused("rack..travel", "5 in", "path")

    def test_refuses_a_broken_file(self):
        self.car.write_text(self.text.replace('"2515 ± 3 mm"', '"2515 ± 3 mm'))
        line = self.text[: self.text.index('"2515 ± 3 mm"')].count("\n") + 1
        self.assert_refused("title", "Tern", f"car.toml:{line}:13: ", "closing quote")

    def test_missing_file_is_not_made(self):
        self.assertIn("nope.toml: No such file", self.refused("set", "nope.toml", "title", "x"))
        self.assertFalse((self.here / "nope.toml").exists())

    def test_standard_input_to_standard_output(self):
        done = self.run_bench("set", "-", "title", "Tern", stdin=self.text)
        self.assertEqual(done.returncode, ALL_WELL)
        old = "Tern: which rack, pump and pulley?"
        self.assertEqual(done.stdout, self.text.replace(old, "Tern"))
        self.assertEqual(done.stderr, f"title: {old} -> Tern\n")

    def test_keeps_link_and_permissions(self):
        self.car.chmod(0o640)
        link = self.here / "link.toml"
        link.symlink_to("car.toml")
        self.assertEqual(self.run_bench("set", "link.toml", "title", "Tern").returncode, ALL_WELL)
        self.assertTrue(link.is_symlink())
        self.assertEqual(self.car.stat().st_mode & 0o777, 0o640)
        self.assertIn('title = "Tern"', self.car.read_text())

    def test_closed_streams_do_not_end_up_in_the_file(self):
        def closed():
            for stream in (1, 2):
                os.close(stream)

        self.run_bench("set", "car.toml", "title", "Tern", preexec_fn=closed)
        want = self.text.replace("Tern: which rack, pump and pulley?", "Tern")
        self.assertEqual(self.car.read_text(), want)
        self.run_bench("new", "new.toml", preexec_fn=closed)
        self.assertEqual((self.here / "new.toml").read_text(), self.good("new", "-"))

    def test_full_disk_leaves_the_file(self):
        def no_room():
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))

        before = self.files()
        done = self.run_bench("set", "car.toml", "title", "Tern", preexec_fn=no_room)
        self.assertEqual(done.returncode, UNUSABLE)
        self.assert_mentions(done.stderr, "car.toml: ", "the file is as it was")
        self.assertEqual(self.files(), before)


class New(Case):
    def ask(self, answers):
        return self.run_bench("new", "car.toml", "--ask", stdin=answers)

    def text(self):
        return (self.here / "car.toml").read_text()

    def test_every_starter_can_be_checked(self):
        for kind in ("double-wishbone", "strut", "five-link"):
            for points in ([], ["--points"]):
                text = self.good("new", "-", "--suspension", kind, *points)
                self.assertIn("not known", self.good("check", "-", stdin=text))

    def test_says_what_to_do_next(self):
        done = self.run_bench("new", "car.toml")
        self.assertEqual((done.returncode, done.stdout), (ALL_WELL, ""))
        self.assert_mentions(done.stderr, "wrote car.toml", "steerbench check car.toml")
        self.good("check", "car.toml")

    def test_never_overwrites(self):
        self.write("car.toml", VAN.read_bytes())
        (self.here / "garage").mkdir()
        (self.here / "dangling.toml").symlink_to("nowhere.toml")
        before = self.files()
        for name in ("car.toml", "garage"):
            said = self.refused("new", name)
            self.assert_mentions(said, name, "File exists", "nothing was written")
        for name in ("no/such/place.toml", "dangling.toml"):
            self.assert_mentions(self.refused("new", name), name, "nothing was written")
        self.assertEqual(self.files(), before)

    def test_never_overwrites_what_was_asked_for(self):
        self.write("car.toml", VAN.read_bytes())
        self.assertEqual(self.ask("van\nstrut\nno\n").returncode, UNUSABLE)
        self.assertEqual((self.here / "car.toml").read_bytes(), VAN.read_bytes())

    def test_ask_through_a_pipe(self):
        done = self.ask('my "blue" van\nStrut\nyes\n')
        self.assertEqual((done.returncode, done.stdout), (ALL_WELL, ""), done.stderr)
        want = self.good("new", "-", "--car", 'my "blue" van', "--suspension", "strut", "--points")
        self.assertEqual(self.text(), want)
        self.assertIn(r'name = "my \"blue\" van"', want)

    def test_ask_takes_what_stands_in_brackets(self):
        self.assertEqual(self.ask("\n\n\n").returncode, ALL_WELL)
        self.assertEqual(self.text(), self.good("new", "-"))

    def test_ask_again_after_an_answer_that_is_none(self):
        done = self.ask("van\nswing axle\nstrut\nmaybe\nno\n")
        self.assertEqual(done.returncode, ALL_WELL)
        wanted = ("'swing axle' is none of the three", "'maybe' is neither yes nor no")
        self.assert_mentions(done.stderr, *wanted)
        want = self.good("new", "-", "--car", "van", "--suspension", "strut")
        self.assertEqual(self.text(), want)

    def test_end_of_input_writes_nothing(self):
        for answers in ("", "van\n", "van\nstrut\n", "van\nnonsense\n", "van\nstrut\nmaybe"):
            done = self.ask(answers)
            self.assertEqual((done.returncode, done.stdout), (UNUSABLE, ""), answers)
            self.assertIn("nothing was written", done.stderr)
            self.assertEqual(self.files(), {})
