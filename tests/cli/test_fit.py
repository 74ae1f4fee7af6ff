"""What fits what, on the real program. Every demo value is invented: what is tested is the telling."""

import json

from bench import ALL_WELL, LIMIT_EXCEEDED, TERN, Case

WHOLE = """format = 1
[[car.face]]
at = "pinion"
splines = 36
[[rack.other.face]]
at = "pinion"
splines = 40
[adapter.coupler]
owned = true
one = { at = "pinion", splines = 40 }
other = { splines = 36 }
[setup.mine]
rack = "other"
"""


class Faces(Case):
    def checked(self, text, status):
        answer = json.loads(self.good("check", "-", "--json", stdin=text, status=status))
        return answer["setups"][0]

    def test_adapter_cures(self):
        setup = self.checked(WHOLE, ALL_WELL)
        self.assertEqual(setup["fit"]["status"], "fits")
        (joint,) = setup["fit"]["joints"]
        self.assertEqual((joint["status"], joint["as_they_are"]), ("fits", "differs"))
        self.assertEqual((joint["one"], joint["other"]), ("car.face[0]", "rack.other.face[0]"))
        self.assertEqual(
            joint["features"],
            [
                {
                    "feature": "splines",
                    "status": "differs",
                    "one": "36",
                    "other": "40",
                    "taken_as_exact": False,
                }
            ],
        )
        self.assertEqual([a["name"] for a in joint["adapters"]], ["coupler"])
        self.assertEqual([n["adapter"] for n in setup["needs"]], ["coupler"])

    def test_without_adapter_the_status_is_that_of_a_limit_exceeded(self):
        text = WHOLE.replace("[adapter.coupler]", "[adapter.coupler]\nmade = 'machined'")
        text = text.replace("splines = 40 }", "splines = 48 }")
        setup = self.checked(text, LIMIT_EXCEEDED)
        self.assertEqual(setup["fit"]["status"], "differs")
        self.assertIn("36 splines against 40 splines", " ".join(setup["fit"]["joints"][0]["text"]))
        self.assertIn("adapted_steering", [c["key"] for c in setup["cautions"]])

    def test_unstated_is_unknown(self):
        setup = self.checked(WHOLE.replace("splines = 40\n", ""), ALL_WELL)
        self.assertEqual(setup["fit"]["status"], "unknown")
        self.assertIsNone(setup["fit"]["joints"][0]["features"][0]["other"])

    def test_nothing_stated_says_nothing(self):
        bare = WHOLE.replace('[[car.face]]\nat = "pinion"\nsplines = 36\n', "")
        setup = self.checked(bare, ALL_WELL)
        self.assertNotIn("fit", setup)
        self.assertEqual(setup["needs"], [])
        self.assertNotIn("go together", self.good("check", "-", stdin=bare))

    def test_slips_are_told_with_their_place(self):
        said = self.refused("check", "-", stdin=WHOLE.replace('at = "pinion"\nsplines = 40', ""))
        self.assertRegex(said, r":\d+:\d+: rack\.other\.face\[0\]: at is missing")
        said = self.refused("check", "-", stdin=WHOLE.replace("{ splines", "{ at = 'belt', splines"))
        self.assertRegex(said, r"11:\d+: adapter\.coupler\.other\.at: its other side is at the pinion")


class Needs(Case):
    def needs(self, *edits):
        copy = self.here / "tern.toml"
        copy.write_bytes(TERN.read_bytes())
        for path, value in edits:
            self.assertEqual(self.run_bench("set", copy, path, value).returncode, ALL_WELL)
        done = self.run_bench("check", copy, "--setup", "calm", "--json")
        return json.loads(done.stdout)["setups"][0]["needs"]

    def test_nothing(self):
        self.assertEqual(self.needs(), [])

    def test_pulley(self):
        (need,) = self.needs(("setup.calm.pulley", ""))
        self.assertEqual((need["key"], need["field"]), ("pulley", "setup.calm.pulley"))

    def test_belt_length_is_between_the_sizes_named(self):
        (need,) = self.needs(("belt.ribbed.length", "1200 mm"))
        self.assertEqual(need["key"], "belt_length")
        below, above = need["sizes_si"]
        self.assertAlmostEqual(above - below, 0.005)
        # A belt of either length is what was asked for.
        for metres in (below, above):
            self.assertEqual(self.needs(("belt.ribbed.length", f"{metres * 1000} mm")), [])

    def test_stops(self):
        needs = self.needs(("setup.calm.stops", "removed"))
        self.assertEqual([n["key"] for n in needs], ["stop"])
        self.assertGreater(needs[0]["within_si"], 0.05)


class Compared(Case):
    def test_row_of_the_comparison(self):
        said = self.good("compare", TERN, "--base", "works", status=LIMIT_EXCEEDED)
        rows = [line for line in said.splitlines() if line.startswith("Does it go together?")]
        told = " ".join(" ".join(row.split()[4:]) for row in rows)
        self.assertIn("fits DIFFERS: belt fits", told)
        self.assertEqual(told.count("DIFFERS"), 1)
