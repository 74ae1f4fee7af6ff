"""solve --find: a number of the file from a measurement on the assembled car."""

import json
import re

from bench import LIMIT_EXCEEDED, TERN, UNUSABLE, Case

HOLE = "control_valve.bypass.opening[0].diameter"
FRICTION = ["--find", "car.front.tyre.friction"]


class Find(Case):
    def unplugged(self):
        """The demo with a setup in which the control valve's coil is unplugged."""
        text = TERN.read_text().replace(
            'control_valve = "bypass"\n', 'control_valve = "bypass"\ncontrol_powered = false\n', 1
        )
        return self.write("car.toml", text)

    def find(self, car, *arguments, status=0):
        return self.json("solve", car, "--setup", "keen", *arguments, status=status)

    def result(self, car, key):
        done = self.run_bench("check", car, "--setup", "keen", "--json")
        return json.loads(done.stdout)["setups"][0]["results"][key]["si"]

    def test_opening_comes_back_from_the_weight_that_it_makes(self):
        car = self.unplugged()
        torque = self.result(car, "kerb_torque")
        answer = self.find(car, "--find", HOLE, "--seen", f"kerb_effort = {torque:.12f} N·m")
        self.assertTrue(answer["reached"])
        self.assertAlmostEqual(answer["value"]["si"], 1.9e-3, delta=1.9e-9)
        self.assertEqual(answer["seen"]["result"], "kerb_torque")
        # By its pull just so, and the ± of the opening stated counts for nothing.
        pull = self.result(car, "kerb_pull")
        again = self.find(car, "--find", HOLE, "--seen", f"kerb_effort = {pull:.12f} ± 3 N")
        self.assertAlmostEqual(again["value"]["si"], 1.9e-3, delta=1.9e-9)
        self.assertEqual(again["seen"]["result"], "kerb_pull")
        self.assertGreater(again["value"]["si_pm"], answer["value"]["si_pm"])
        self.assertNotIn(HOLE, [c["input"] for c in again["value"]["from"]])
        shares = again["seen"]["share"] + sum(c["share"] for c in again["value"]["from"])
        self.assertLess(shares, 1 + 1e-9)

    def test_what_is_found_is_written_and_the_rest_left(self):
        car = self.unplugged()
        before = car.read_text()
        done = self.run_bench(
            "solve", car, "--setup", "keen", "--find", HOLE,
            "--seen", "kerb_pressure = 22 ± 1 bar", "--write",
        )  # fmt: skip
        self.assertEqual((done.returncode, done.stderr), (0, ""))
        self.assert_mentions(done.stdout, f"{HOLE} = ", "of the squared ±", "written into")
        after = car.read_text()
        changed = [x for x in after.splitlines() if x not in before.splitlines()]
        self.assertEqual(len(changed), 1)
        self.assert_mentions(changed[0], 'from = "measured"', "kerb_pressure = 22 ± 1 bar", "keen")
        self.assertAlmostEqual(self.result(car, "kerb_pressure") / 1e5, 22, delta=0.2)

    def test_a_number_that_the_file_lacks(self):
        text = re.sub(r'(?m)^friction = "0.9 ± 0.1"\n(friction_wet)', r"\1", TERN.read_text())
        car = self.write("car.toml", text)
        seen = ["--seen", "kerb_lost_pull = 120 ± 4 N"]
        said = self.refused("solve", car, "--setup", "calm", *FRICTION, *seen)
        self.assert_mentions(said, "does not state it", "--from", "--to")
        answer = self.json(
            "solve", car, "--setup", "calm", *FRICTION, *seen, "--from", "0.2", "--to", "2"
        )
        self.assertTrue(answer["reached"])
        self.assertIsNone(answer["stated_si"])
        same = self.json("solve", TERN, "--setup", "calm", *FRICTION, *seen)
        self.assertAlmostEqual(same["value"]["si"], answer["value"]["si"], 9)
        self.assertEqual(car.read_text(), text)

    def test_what_is_stated_fits_too(self):
        """A hose that is wide enough hardly bears on the pull: what is found is far off, and said."""
        of = ("solve", TERN, "--setup", "calm", "--find", "car.oil.pressure_bore", "--seen")
        self.assertIn("keep what is stated", self.good(*of, "kerb_pull = 20.1 ± 1 N"))
        self.assertNotIn("keep what is stated", self.good(*of, "kerb_pull = 30 ± 1 N"))

    def test_no_value_and_no_effect(self):
        said = self.good(
            "solve", TERN, "--setup", "calm", *FRICTION, "--seen", "kerb_lost_pull = 9000 N",
            status=LIMIT_EXCEEDED,
        )  # fmt: skip
        self.assert_mentions(said, "no value within the bounds", "; 9 comes")
        said = self.good(
            "solve", TERN, "--setup", "keen", "--find", HOLE, "--seen", "kerb_pull = 20 ± 1 N",
            status=LIMIT_EXCEEDED,
        )  # fmt: skip
        self.assertIn("does not depend on it", said)

    def test_says_what_is_wrong(self):
        def said(*arguments):
            return self.refused("solve", TERN, "--setup", "calm", *arguments)

        seen = ["--seen", "kerb_pull = 62 N"]
        self.assert_mentions(said("--find", "car.front.tyre.frction", *seen), "friction")
        self.assert_mentions(said("--find", "car.front.tyre", *seen), "this is no number")
        self.assert_mentions(
            said("--find", HOLE, *seen, "--from", "1 mm", "--to", "3 mm"), "'calm'", "no use of it"
        )
        self.assert_mentions(said(*FRICTION), "--seen")
        self.assert_mentions(said(*FRICTION, "--seen", "kerb_pull"), "kerb_pull = 62")
        self.assert_mentions(said(*FRICTION, "--seen", "kerb_pul = 2 N"), "did you mean 'kerb_pull'")
        self.assert_mentions(said(*FRICTION, "--seen", "kerb_pull = 2 mm"), "kerb_pull", "a force")
        self.assert_mentions(said(*FRICTION, *seen, "--from", "1", "--to", "mm"), "--to")
        self.assert_mentions(said(*FRICTION, *seen, "--from", "2", "--to", "1"), "less than")
        self.assert_mentions(said(*FRICTION, *seen, "--vary", "rack-up"), "--vary")
        self.assert_mentions(said(*seen), "--find")
        self.assert_mentions(said("--find", "setup.calm.rack_up", *seen), "--from", "--to")
        done = self.run_bench("solve", TERN, *FRICTION, *seen, "--from", "", "--to", "1")
        self.assertEqual(done.returncode, UNUSABLE)
