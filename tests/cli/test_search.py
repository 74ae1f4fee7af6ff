"""What search prints and writes, on the real program. Every demo value is invented."""

import json
import os
import pathlib
import signal
import subprocess
import tempfile
import time
import unittest

from bench import ALL_WELL, BINARY, LIMIT_EXCEEDED, SANITIZED, TERN, Case

WISHES = """
[search]
base = "first-try"
[search.want]
kerb_effort = "less"
cost = "less"
"""


def tern_with(search):
    text = pathlib.Path(TERN).read_text()
    begin, end = text.index("[search]"), text.index("# ---- setups")
    return text[:begin] + search + text[end:]


# What these run is run under the sanitizers by the tests of the library and by the others here.
no_sanitizers = unittest.skipIf(SANITIZED, "whole searches take minutes with them")


class Found(Case):
    def test_entries_keep_every_limit_when_checked(self):
        with tempfile.TemporaryDirectory() as folder:
            file = os.path.join(folder, "t.toml")
            pathlib.Path(file).write_text(pathlib.Path(TERN).read_text())
            found = json.loads(self.good("search", file, "--json"))
            self.assertGreater(len(found["entries"]), 1)
            taken = found["ranking"][: 1 if SANITIZED else None]
            for n in range(1, len(taken) + 1):
                self.good("search", file, "--take", str(n), "--as", f"plan-{n}")
            # A new setup makes a new document, but the same combinations.
            again = json.loads(self.good("search", file, "--json"))
            self.assertEqual(again["ranking"], found["ranking"])
            for n, rank in enumerate(taken, 1):
                entry = found["entries"][rank["entry"]]
                if "polished" in entry:
                    entry = entry["polished"]["entry"]
                said = json.loads(
                    self.good("check", file, "--setup", f"plan-{n}", "--json")
                )["setups"][0]
                self.assertAlmostEqual(
                    said["results"]["kerb_torque"]["si"], entry["aims"]["kerb_effort"]["si"], 6
                )
                inner = min(
                    abs(said["results"][f"inner_wheel_{side}"]["si"]) for side in ("left", "right")
                )
                self.assertAlmostEqual(inner, entry["aims"]["lock_angle"]["si"], 6)

    @no_sanitizers
    def test_every_combination_is_accounted_for(self):
        found = json.loads(self.good("search", TERN, "--json"))
        left = sum(reason["count"] for reason in found["left_out"])
        alike = sum(entry["alike"] for entry in found["entries"])
        self.assertEqual(found["looked_at"], found["combinations"])
        self.assertEqual(left + alike + len(found["entries"]), found["combinations"])

    @no_sanitizers
    def test_no_number_of_threads_changes_a_byte(self):
        one = self.good("search", TERN, "--json", "--threads", "1")
        self.assertEqual(self.good("search", TERN, "--json", "--threads", "5"), one)

    def test_nothing_found_says_why(self):
        text = tern_with(WISHES + '[search.at_most]\nkerb_effort = "0.1 N·m"\n\n')
        said = self.good("search", "-", stdin=text, status=LIMIT_EXCEEDED)
        self.assert_mentions(said, "None of them", "more than wished: effort at the kerb")
        self.assert_mentions(said, "Nearest comes", "more than the 0.1", "wished")
        found = json.loads(
            self.good("search", "-", "--json", stdin=text, status=LIMIT_EXCEEDED)
        )
        (miss,) = found["nearest"]["misses"]
        lightest = found["nearest"]["entry"]["aims"]["kerb_effort"]["si"]
        self.assertAlmostEqual(miss["by_si"], lightest - 0.1, 9)

    @no_sanitizers
    def test_a_price_that_is_missing_and_faces_that_differ_are_named(self):
        # Few enough combinations that every one is looked at.
        kept = "[search.keep]\npump = true\npulley = true\n"
        text = tern_with(WISHES + kept + '[search.at_most]\nturns = "2.9 turns"\n\n')
        # Only the quick rack turns so little; its price is taken out, then its coupler.
        # The oil is cooled well enough for it.
        text = text.replace('base = "first-try"', 'base = "calm"').replace("price = 240\n", "")
        text = text.replace('cooling = "10 W/K ± 20 %"', 'cooling = "20 W/K"')
        said = self.good("search", "-", stdin=text, status=LIMIT_EXCEEDED)
        self.assert_mentions(said, "cost is not known: state rack.quick.price")
        begin, end = text.index("[adapter.coupler]"), text.index("[adapter.port]")
        text = text[:begin] + text[end:]
        found = json.loads(self.good("search", "-", "--json", stdin=text, status=LIMIT_EXCEEDED))
        self.assertNotIn("quick", json.dumps(found["entries"]))
        text = text.replace(kept, kept + "rack = true\n").replace(
            'base = "calm"', 'base = "first-try"'
        )
        said = self.good("search", "-", stdin=text, status=LIMIT_EXCEEDED)
        self.assert_mentions(said, "does not go together", "pinion: car, rack.quick")

    @no_sanitizers
    def test_what_an_entry_takes_adds_up(self):
        found = json.loads(self.good("search", TERN, "--json"))
        for entry in found["entries"]:
            bought = [p for p in entry["pieces"] if not p["owned"] and p["price"] is not None]
            cost = sum(p["count"] * p["price"] for p in bought)
            self.assertAlmostEqual(cost, entry["aims"]["cost"]["si"])
            self.assertAlmostEqual(cost, entry["total"]["cost"]["si"])
            hours = sum(p["count"] * p["hours_si"] for p in entry["pieces"])
            self.assertAlmostEqual(hours, entry["aims"]["hours"]["si"])
        self.assert_mentions(self.good("search", TERN), "takes:", "in all:", "ask before ordering")

    def test_wishes_that_are_assumed_are_said_to_be(self):
        text = tern_with('[search]\nbase = "first-try"\n\n')
        self.assert_mentions(self.good("search", "-", stdin=text), "assumed", "[search.want]")


class Taken(Case):
    def test_it_says_what_was_written_and_any_name_may_be_given(self):
        file = self.write("t.toml", pathlib.Path(TERN).read_text())
        said = self.good("search", file, "--take", "1", "--as", "my plan")
        self.assert_mentions(said, "Entry 1 is now setup my plan", "set to the best: rack up")
        self.assertIn('[setup."my plan"]', file.read_text())
        self.good("check", file, "--setup", "my plan")
        found = json.loads(self.good("search", file, "--json", "--take", "2", "--as", "other"))
        self.assertEqual(found["taken"]["setup"], "other")

    def test_a_cooler_is_a_job(self):
        text = tern_with(
            '[work.cooler]\ncooling = "60 W/K"\nhours = "1 h"\nprice = 45\n'
            '[search]\nbase = "calm"\n[search.want]\ncost = "less"\n[search.keep]\nrack = true\n\n'
        )
        # The oil sheds so little that it gets too hot without one.
        text = text.replace('cooling = "10 W/K ± 20 %"', 'cooling = "2 W/K"')
        base = json.loads(self.good("search", "-", "--json", stdin=text))
        jobs = [[p["name"] for p in e["pieces"] if p["of"] == "work"] for e in base["entries"]]
        self.assertTrue(any("cooler" in names for names in jobs), jobs)

    def test_arm_length_is_polished_with_its_caution(self):
        text = tern_with(
            '[search]\nbase = "calm"\n[search.want]\nlock_angle = "more"\n'
            '[search.from]\narm_length = "110 mm"\n[search.to]\narm_length = "150 mm"\n\n'
        )
        found = json.loads(self.good("search", "-", "--json", stdin=text))
        (polished,) = [e["polished"] for e in found["entries"] if "polished" in e]
        self.assertEqual([s["of"] for s in polished["settings"]], ["arm_length"])
        self.assertIn("never heat", polished["cautions"][0])
        self.assertIn("arm_length", polished["entry"]["setup"])


class Refused(Case):
    def test_wrong_wishes_are_told_with_their_place(self):
        for wishes, words in (
            ('[search]\nbase = "frist-try"\n', ("search.base", "first-try")),
            ('[search.want]\nroad_effort = "near"\n', ("search.want.road_effort", "near which")),
            (
                '[search.at_least]\nturns = "4 turns"\n[search.at_most]\nturns = "3 turns"\n',
                ("search.at_least.turns", "swapped"),
            ),
            ('[search.want]\nkerb_efort = "less"\n', ("kerb_efort", "kerb_effort")),
            ('[search.at_most]\nhours = 5\n', ("search.at_most.hours", "1.5 h")),
            ('[job.shim]\nhours = "1 h"\n', ("unknown key 'job'", "work")),
            ("[search.keep]\nrack = yes\n", ("write true or false",)),
        ):
            said = self.refused("search", "-", stdin=tern_with(wishes + "\n"))
            self.assert_mentions(said, *words)

    def test_one_slip_is_told_once(self):
        for wishes in (
            '[search.want]\nroad_effort = "near"\n[search.near]\nroad_effort = "4 m"\n',
            '[[spacer.thin.face]]\nat = "iner thread"\n',
            '[adapter.x]\none = { at = "pinoin", splines = 36 }\n',
        ):
            said = self.refused("search", "-", stdin=tern_with(wishes + "\n"))
            self.assertEqual(len(said.splitlines()), 2, said)
            self.assertIn("1 problem;", said)

    def test_without_a_setup_there_is_nothing_to_count_from(self):
        said = self.refused("search", "-", stdin="format = 1\n")
        self.assert_mentions(said, "[setup.now]")

    def test_more_than_can_be_held_is_refused(self):
        jobs = "".join(
            f'[work.{field}-{n}]\n{field} = "{n / 100} mm"\n'
            for field in ("rack_up", "rack_forward")
            for n in range(200)
        )
        said = self.refused("search", "-", stdin=tern_with(jobs + WISHES + "\n"))
        self.assert_mentions(said, "too many", "[search.keep]")

    def test_take_needs_a_name_and_an_entry(self):
        with tempfile.TemporaryDirectory() as folder:
            file = os.path.join(folder, "t.toml")
            text = pathlib.Path(TERN).read_text()
            pathlib.Path(file).write_text(text)
            said = self.refused("search", file, "--take", "1")
            self.assert_mentions(said, "--as")
            said = self.refused("search", file, "--take", "99", "--as", "x")
            self.assert_mentions(said, "--take 99", "entries")
            # An entry never mixes with a setup that is there.
            said = self.refused("search", file, "--take", "1", "--as", "calm")
            self.assert_mentions(said, "--as calm", "already")
            self.assert_mentions(self.refused("search", file, "--as", "x"), "--take")
            self.assertEqual(pathlib.Path(file).read_text(), text)


class Kept(Case):
    def test_goes_on_from_what_was_kept_and_refuses_another_document(self):
        with tempfile.TemporaryDirectory() as folder:
            keep = os.path.join(folder, "progress")
            want = json.loads(self.good("search", TERN, "--json"))
            first = json.loads(self.good("search", TERN, "--json", "--keep", keep))
            self.assertEqual(first, want)
            again = json.loads(self.good("search", TERN, "--json", "--keep", keep))
            self.assertEqual(again, want | {"resumed_at": want["combinations"]})
            self.assert_mentions(self.good("search", TERN, "--keep", keep), "had been looked at")
            kept = pathlib.Path(keep).read_bytes()
            said = self.refused("search", "-", "--keep", keep, stdin=tern_with(WISHES + "\n"))
            self.assert_mentions(said, "--keep", "changed")
            pathlib.Path(keep).write_bytes(kept[: len(kept) // 2])
            self.assert_mentions(self.refused("search", TERN, "--keep", keep), "not whole")

    @no_sanitizers
    def test_interrupt_ends_it_with_what_was_found(self):
        # Many jobs make the search long enough to be interrupted.
        jobs = "".join(
            f'[work.shim-{n}]\nrack_up = "{n / 10} mm"\nhours = "1 h"\n' for n in range(1, 40)
        ) + "".join(
            f'[work.front-{n}]\nrack_forward = "{n / 10} mm"\nhours = "1 h"\n'
            for n in range(1, 35)
        )
        text = tern_with(jobs + WISHES + "\n")
        with tempfile.TemporaryDirectory() as folder:
            file, keep = os.path.join(folder, "t.toml"), os.path.join(folder, "progress")
            pathlib.Path(file).write_text(text)
            process = subprocess.Popen(
                [BINARY, "search", file, "--threads", "1", "--keep", keep],
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
            )
            time.sleep(1.0)
            process.send_signal(signal.SIGINT)
            out, err = process.communicate(timeout=60)
            self.assertIn(process.returncode, (ALL_WELL, LIMIT_EXCEEDED), err)
            self.assertIn("stopped after", out.decode())
            self.assertTrue(os.path.exists(keep))
