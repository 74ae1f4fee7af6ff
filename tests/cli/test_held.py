"""Readings made on the car, held against what is computed."""

from bench import LIMIT_EXCEEDED, TERN, Case


class Held(Case):
    def car(self, *readings):
        text = TERN.read_text().split("[setup.first-try.seen]")
        rest = text[1][text[1].index("\n[") :]
        return self.write("car.toml", text[0] + "[setup.first-try.seen]\n" + "\n".join(readings) + rest)

    def setup(self, car):
        answer = self.json("check", car, "--setup", "first-try", status=LIMIT_EXCEEDED)
        return answer["setups"][0]

    def test_readings_that_agree_make_results_surer(self):
        setup = self.setup(self.car('kerb_lost_pull = "127 ± 4 N"'))
        seen = setup["seen"]
        self.assertTrue(seen["agree"])
        self.assertEqual(seen["suspects"], [])
        self.assertEqual(seen["compared"][0]["status"], "✓ agrees")
        counted = {row["result"]: row for row in seen["results"]}
        self.assertTrue(counted["kerb_lost_pull"]["shown"])
        self.assertLess(sum(row["shown"] for row in counted.values()), len(counted))
        plain = setup["results"]
        # A pull of 4 N leaves no more than that of the pull, and of the torque by the rim's radius.
        self.assertLessEqual(counted["kerb_lost_pull"]["si_pm"], 4.0)
        self.assertLess(counted["kerb_lost_torque"]["si_pm"], 4.0 * 0.2)
        self.assertGreater(plain["kerb_lost_torque"]["si_pm"], 4.0)
        for key, row in counted.items():
            self.assertLess(row["si_pm"], plain[key]["si_pm"])
        # What the file says is computed as if nothing had been read.
        self.assertEqual(plain, self.setup(TERN)["results"])

    def test_a_reading_that_differs_names_what_may_be_off(self):
        car = self.car('kerb_lost_pull = "200 ± 4 N"')
        seen = self.setup(car)["seen"]
        self.assertFalse(seen["agree"])
        self.assertEqual((seen["inputs"], seen["results"]), ([], []))
        suspects = {row["input"]: row for row in seen["suspects"]}
        friction = suspects["car.front.tyre.friction"]
        self.assertTrue(friction["explains"])
        self.assertGreater(friction["si_pm"], 0.0)
        # What alone would explain it is what solve finds, but for the straight line.
        found = self.json("solve", car, "--setup", "first-try", "--find", "car.front.tyre.friction",
                          "--seen", "kerb_lost_pull = 200 ± 4 N")  # fmt: skip
        self.assertAlmostEqual(friction["si"], found["value"]["si"], delta=0.05)
        text = self.run_bench("check", car, "--setup", "first-try").stdout
        self.assertIn("✗ DIFFERS", text)
        self.assertIn("Any one of these, if it alone is off, would explain it", text)

    def test_what_nothing_explains_is_said(self):
        text = self.run_bench(
            "check", self.car('turns = "5 ± 0.02 turns"'), "--setup", "first-try"
        ).stdout
        self.assertIn("No single number of the file explains it", text)

    def test_a_right_turn_is_read_without_a_sign(self):
        seen = self.setup(self.car('inner_wheel_right = "40 ± 1 deg"'))["seen"]
        self.assertTrue(seen["agree"])

    def test_readings_are_checked_as_other_fields_are(self):
        self.refused(self.car('turns = "-2 turns"'), "setup.first-try.seen.turns")
        self.refused(self.car('turms = "2 turns"'), "did you mean 'turns'?")

    def refused(self, car, words):
        done = self.run_bench("check", car)
        self.assertEqual(done.returncode, 2)
        self.assertIn(words, done.stderr)
