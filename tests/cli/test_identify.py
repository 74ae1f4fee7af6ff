"""steerbench identify: which variant a part of unknown history is."""

import re

from bench import LIMIT_EXCEEDED, TERN, Case

PUMP = """format = 1
title = "box"
[pump.middle]
[pump.large]
[setup.try] # what is tried
pump = "middle" # from the box
[identify.box]
fills = "pump"
none = "2 %"
[[identify.box.feature]]
name = "ears"
wrong = "2 %"
effort = "1 min"
[[identify.box.variant]]
name = "middle"
part = "middle"
trait = [{ feature = "ears", count = 2 }]
order = [{ thing = "line", which = "flared" }]
[[identify.box.variant]]
name = "large"
part = "large"
trait = [{ feature = "ears", count = 3 }]
order = [{ thing = "line", which = "O-ring" }]
"""
SEEN = '[[identify.box.seen]]\nfeature = "ears"\ncount = 3\n'


class Identify(Case):
    def test_demo(self):
        """One riddle is settled, the other has a contradiction and what to look at next."""
        said = self.good("identify", TERN, status=LIMIT_EXCEEDED)
        self.assert_mentions(
            said, "? not settled: slow leads", "✓ settled: it is large", "none of these",
            "tag: blue was seen, but slow shows green", "▶ How thick is the rack bar",
            "✗ WAIT  seal kit: 24 mm rod for slow; 25 mm rod for quick",
            "✓ safe  boots: long", "taken for granted",
        )  # fmt: skip
        self.good("identify", TERN, "box-pump")

    def test_nothing_is_safe_while_two_looks_disagree(self):
        self.assertIn("✓ safe", self.good("identify", TERN, "box-pump"))
        again = TERN.read_text() + "\n" + SEEN.replace("box", "box-pump").replace("3", "2")
        after = self.good(
            "identify", self.write("again.toml", again), "box-pump", status=LIMIT_EXCEEDED
        )
        self.assertNotIn("✓ safe", after)
        self.assertIn("while two looks at one thing disagree", after)

    def test_json_says_the_same(self):
        (rack, pump) = self.json("identify", TERN, status=LIMIT_EXCEEDED)["riddles"]
        self.assertEqual((rack["settled"], rack["answer"]), (False, None))
        self.assertEqual((pump["settled"], pump["answer"]), (True, "large"))
        for riddle in (rack, pump):
            self.assertAlmostEqual(sum(v["probability"] for v in riddle["variants"]), 1.0)
        # By hand: priors .97/3 and .03; ports .01 .99 .99 1/2; tag of four answers, wrong 30 %;
        # splines of three, wrong 10 %.
        weights = [
            0.97 / 3 * 0.01 * 0.1 * 0.9,
            0.97 / 3 * 0.99 * 0.1 * 0.9,
            0.97 / 3 * 0.99 * 0.7 * 0.05,
            0.03 * 0.5 / 4 / 3,
        ]
        for variant, weight in zip(rack["variants"], weights, strict=True):
            self.assertAlmostEqual(variant["probability"], weight / sum(weights), places=12)
        best = rack["next"][0]
        self.assertEqual((best["feature"], best["field"], best["effort_si"]), ("rod", "length", 480))
        self.assertAlmostEqual(best["bits_per_minute"], best["bits"] / 8)
        self.assertTrue(all(a["bits_per_minute"] >= b["bits_per_minute"]
                            for a, b in zip(rack["next"], rack["next"][1:])))  # fmt: skip
        (contradiction,) = rack["contradictions"]
        self.assertEqual((contradiction["kind"], contradiction["rows"]), ("against_likeliest", [1]))
        self.assertEqual([n["safe"] for n in rack["order"]], [False, True])

    def test_order_of_the_rows_does_not_matter(self):
        text = TERN.read_text()
        rows = re.findall(r"\[\[identify\.bench-rack\.seen\]\]\n(?:[^\n[]+\n)+", text)
        self.assertEqual(len(rows), 3)
        turned = text
        for row in rows:
            turned = turned.replace(row, "")
        turned += "\n" + "\n".join(reversed(rows))
        get = lambda file: [
            v["probability"]
            for v in self.json("identify", file, "bench-rack", status=LIMIT_EXCEEDED)["riddles"][0][
                "variants"
            ]
        ]
        self.assertEqual(get(TERN), get(self.write("turned.toml", turned)))

    def test_fill_writes_the_part_and_keeps_the_rest(self):
        file = self.write("car.toml", PUMP + SEEN)
        done = self.run_bench("identify", file, "--fill", "try")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertIn("setup.try.pump: middle -> large", done.stderr)
        wanted = (PUMP + SEEN).replace('pump = "middle" # from', 'pump = "large" # from')
        self.assertEqual(file.read_text(), wanted)

    def test_fill_is_refused_while_it_is_not_settled(self):
        file = self.write("car.toml", PUMP)
        done = self.run_bench("identify", file, "--fill", "try")
        self.assertEqual((done.returncode, done.stdout), (LIMIT_EXCEEDED, ""))
        self.assert_mentions(done.stderr, "not settled", "look at next: ears?")
        self.assertEqual(file.read_text(), PUMP)
        # 97.6 %, by hand: .98/2 * .98 against .98/2 * .01 (of two other counts) and .02 / 3.
        file = self.write("sure.toml", PUMP + SEEN)
        self.assertEqual(self.run_bench("identify", file, "--sure", "99 %").returncode, 1)
        self.good("identify", file, "--sure", "97 %")

    def test_what_cannot_be_done_is_said(self):
        file = self.write("car.toml", PUMP + SEEN)
        self.assert_mentions(self.refused("identify", file, "bix"), "no [identify.bix]", "box")
        self.assertIn("no setup 'tyr'", self.refused("identify", file, "--fill", "tyr"))
        self.assertIn("50 %", self.refused("identify", file, "--sure", "20 %"))
        self.assertIn("--sure", self.refused("identify", file, "--sure", "much"))
        self.assertIn("say which one", self.refused("identify", TERN, "--fill", "calm"))
        bare = self.write("bare.toml", "format = 1\n")
        self.assertIn("nothing to identify", self.refused("identify", bare))
        said = self.refused("identify", self.write("bad.toml", PUMP + SEEN.replace("ears", "eras")))
        self.assert_mentions(said, "bad.toml:25:11", "did you mean 'ears'?")

    def test_what_is_assumed_is_said(self):
        text = (PUMP + SEEN).replace('none = "2 %"\n', "").replace('wrong = "2 %"\n', "")
        said = self.good("identify", self.write("car.toml", text), status=LIMIT_EXCEEDED)
        self.assert_mentions(
            said, "wrong 5 % a", "a chance of 5 % that it is none of these", "equally common"
        )

    def test_rows_without_an_answer_do_not_count(self):
        text = PUMP + '[[identify.box.seen]]\nfeature = "ears"\n'
        said = self.good("identify", self.write("car.toml", text), status=LIMIT_EXCEEDED)
        self.assertIn("ears; has no answer yet", said)

    def test_riddle_without_variants(self):
        bare = self.write("bare.toml", 'format = 1\n[identify.box]\nfills = "pump"\n')
        said = self.good("identify", bare, status=LIMIT_EXCEEDED)
        self.assertIn("no variant is known yet", said)
