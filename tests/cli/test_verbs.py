"""What check, compare, sweep, solve, form and schema print, and how they relate."""

import json
import math
import os
import pty
import re
import subprocess

from bench import (
    ALL_WELL, BINARY, FAILED, LIMIT_EXCEEDED, ROOT, SOLVE_RACK_HEIGHT, TERN, UNUSABLE, VAN, Case,
)  # fmt: skip

SETUPS_OF_TERN = {
    "works": ALL_WELL,
    "first-try": LIMIT_EXCEEDED,
    "calm": ALL_WELL,
    "keen": ALL_WELL,
}
SWEEP_AT_REST = ["--rack-travel", "0 mm"]


class Check(Case):
    def test_exit_status_tells_whether_a_limit_is_exceeded(self):
        for name, status in SETUPS_OF_TERN.items():
            said = self.good("check", TERN, "--setup", name, status=status)
            self.assertEqual("✗ EXCEEDED" in said, status == LIMIT_EXCEEDED, name)
        self.good("check", TERN, status=LIMIT_EXCEEDED)

    def test_setups_in_the_order_asked_for(self):
        said = self.good("check", TERN, "--setup", "keen", "--setup", "works")
        self.assertEqual(re.findall(r"(?m)^Setup ([\w-]+)", said), ["keen", "works"])
        said = self.good("check", TERN, status=LIMIT_EXCEEDED)
        self.assertEqual(re.findall(r"(?m)^Setup ([\w-]+)", said), list(SETUPS_OF_TERN))

    def test_option_before_the_file(self):
        want = self.good("check", TERN, "--setup", "calm")
        self.assertEqual(self.good("check", "--setup", "calm", TERN), want)

    def test_unknown_setup(self):
        said = self.refused("check", TERN, "--setup", "clam")
        self.assert_mentions(said, "'clam'", "works, first-try, calm, keen")

    def test_light_van(self):
        now = self.setup_of(VAN, "now")
        self.assertEqual(now["level"], "turn_plate")
        results = now["results"]
        # Straight from the file: 3.8 turns, half of 130 mm each way.
        self.assertAlmostEqual(results["turns"]["si"], 3.8 * 2 * math.pi)
        self.assertAlmostEqual(results["travel_left"]["si"], 0.065)
        self.assertAlmostEqual(results["travel_per_turn"]["si"] * 2 * math.pi, 0.130 / 3.8)
        # The readings are a mirror of each other; the stop at 65 mm lies just inside the last.
        for wheel in ("inner_wheel", "outer_wheel"):
            left, right = (results[f"{wheel}_{side}"]["si"] for side in ("left", "right"))
            self.assertAlmostEqual(left, -right)
        self.assertTrue(33 < math.degrees(results["inner_wheel_left"]["si"]) < 35)
        self.assertTrue(28 < math.degrees(results["outer_wheel_left"]["si"]) < 29.5)
        # What a turn plate cannot tell is not told, and what would tell it is named.
        self.assertIsNone(results["bump_steer_left"]["si"])
        self.assertIn("car.front.left", results["bump_steer_left"]["missing"])

    def test_quicker_rack_turns_the_light_van_as_far(self):
        now, quicker = (self.setup_of(VAN, n)["results"] for n in ("now", "quicker"))
        self.assertAlmostEqual(now["kerb_circle_left"]["si"], quicker["kerb_circle_left"]["si"])
        ratio = now["ratio_centre"]["si"] / quicker["ratio_centre"]["si"]
        self.assertAlmostEqual(ratio, 3.8 / 3.1)


class Compare(Case):
    def test_change_is_the_difference_of_two_checks(self):
        asked = ["--setup", "calm", "--setup", "keen"]
        calm, keen = (self.setup_of(TERN, name)["results"] for name in ("calm", "keen"))
        answer = self.json("compare", TERN, *asked)
        self.assertEqual(answer["base"], "calm")
        changes = 0
        for key, result in answer["setups"][1]["results"].items():
            if "change" not in result:
                continue
            changes += 1
            self.assertEqual(result["si"], keen[key]["si"], key)
            difference = keen[key]["si"] - calm[key]["si"]
            self.assertAlmostEqual(result["change"]["si"], difference, 12, key)
            self.assert_shared_errors_cancel(result["change"]["si_pm"], calm[key], keen[key])
        self.assertGreater(changes, 40)

    def assert_shared_errors_cancel(self, si_pm, a, b):
        """± of b - a by the law of propagation (JCGM 100:2008, 5.1.2), each input counted once:
        its sensitivity is the difference of the two, its own ± follows from its share."""

        def parts(figure):
            slopes, widths = {}, {}
            for c in figure["from"]:
                slope = slopes[c["input"]] = c["sensitivity_si"]
                if slope != 0.0:
                    half_width = math.sqrt(c["share"]) * figure["si_pm"]
                    widths[c["input"]] = half_width / abs(slope)
            return slopes, widths

        (slope_a, width_a), (slope_b, width_b) = parts(a), parts(b)
        width = {**width_a, **width_b}
        parts_of_change = [
            (slope_b.get(i, 0.0) - slope_a.get(i, 0.0)) * width[i] for i in width
        ]
        near = 1e-6 * (a["si_pm"] + b["si_pm"]) + 1e-15
        self.assertAlmostEqual(si_pm, math.hypot(*parts_of_change), delta=near)

    def test_base(self):
        there = self.json("compare", TERN, "--setup", "calm", "--setup", "keen")
        back = self.json("compare", TERN, "--setup", "calm", "--setup", "keen", "--base", "keen")
        self.assertEqual(back["base"], "keen")
        alone = self.json("compare", TERN, "--setup", "calm", "--base", "keen")
        self.assertEqual([x["name"] for x in alone["setups"]], ["keen", "calm"])
        change = there["setups"][1]["results"]["inner_wheel_left"]["change"]
        turned = back["setups"][0]["results"]["inner_wheel_left"]["change"]
        self.assertAlmostEqual(change["si"], -turned["si"])
        self.assertAlmostEqual(change["si_pm"], turned["si_pm"])

    def test_many_setups_stand_below_each_other_on_a_page(self):
        page = 92
        names = [s["name"] for s in self.json("check", TERN, status=LIMIT_EXCEEDED)["setups"]]
        text = self.good("compare", TERN, status=LIMIT_EXCEEDED)
        self.assertEqual([line for line in text.splitlines() if len(line) > page], [])
        heads = [line.split() for line in text.splitlines() if set(line.split()) & set(names)
                 and set(line.split()) <= {*names, "(base)"}]  # fmt: skip
        self.assertGreater(len(heads), 1)
        self.assertEqual([n for head in heads for n in head if n != "(base)"], names)
        two = self.good("compare", TERN, "--setup", "works", "--setup", "calm")
        side_by_side = two[: two.index("change by change")]
        self.assertEqual(side_by_side.count("Turns lock to lock"), 1)

    def test_each_change_is_told_apart(self):
        asked = ["compare", TERN, "--setup", "calm", "--setup", "first-try"]
        base, other = self.json(*asked, status=LIMIT_EXCEEDED)["setups"]
        self.assertNotIn("changes", base)
        swaps = {s["of"][0]["field"]: s for s in other["changes"]["swaps"]}
        self.assertEqual(list(swaps), ["rack", "spacer", "pump", "pulley", "rack_up"])
        self.assertEqual(swaps["pulley"]["text"], "pulley works -> middle")
        # Nothing but the pulley turns the pump faster.
        whole = other["results"]["pump_idle"]["change"]["si"]
        for field, swap in swaps.items():
            effect = swap["results"].get("pump_idle")
            if field != "pulley":
                self.assertIsNone(effect, field)
                continue
            self.assertAlmostEqual(effect["alone_si"], whole)
            self.assertAlmostEqual(effect["last_si"], whole)
        # The quicker rack is heavier by as much as the larger pump is lighter.
        self.assertTrue(other["results"]["kerb_torque"]["change"]["same"])
        self.assertGreater(swaps["rack"]["results"]["kerb_torque"]["alone_si"], 0.5)
        self.assertLess(swaps["pump"]["results"]["kerb_torque"]["alone_si"], -0.5)
        text = self.good(*asked, status=LIMIT_EXCEEDED)
        table = text[text.index("first-try against calm, change by change:") :]
        self.assertRegex(table, r"Kerb, brake off, dry, +same within 0\.\d+ N·m +\+0\.69, last \+0\.59")
        # What the JSON shows is what stands in the table.
        words = " ".join(table.split())
        for row in other["changes"]["shown"]["rows"]:
            for effect in row["effects"]:
                if not effect["none"]:
                    self.assertIn(effect["alone"], words)

    def test_one_change_is_named(self):
        text = TERN.read_text()
        calm = text[text.index("[setup.calm]") : text.index("[setup.keen]")]
        twin = calm.replace("[setup.calm]", "[setup.twin]")
        asked = ["--setup", "calm", "--setup", "twin"]
        said = self.good("compare", self.write("a.toml", text + twin), *asked)
        self.assertIn("twin against calm: the same parts and adjustments", said)
        twin = twin.replace('pulley = "works"', 'pulley = "middle"')
        said = self.run_bench("compare", self.write("b.toml", text + twin), *asked).stdout
        self.assertIn("twin against calm: all that differs comes from pulley works -> middle", said)

    def test_a_change_that_makes_results_unknown_is_not_idle(self):
        text = TERN.read_text()
        calm = text[text.index("[setup.calm]") : text.index("[setup.keen]")]
        twin = calm.replace("[setup.calm]", "[setup.twin]").replace('pulley = "works"\n', "")
        file = self.write("a.toml", text + twin.replace('"0 ± 0.5 mm"', '"4 ± 0.5 mm"'))
        asked = ["compare", file, "--setup", "calm", "--setup", "twin"]
        changes = json.loads(self.run_bench(*asked, "--json").stdout)["setups"][1]["changes"]
        self.assertIn("pulley works -> none", changes["shown"]["swaps"])
        rows = {r["name"]: r for r in changes["shown"]["rows"]}
        kerb = rows["Kerb, brake off, dry, torque"]
        self.assertEqual(kerb["all"], "not known now")
        at = changes["shown"]["swaps"].index("pulley works -> none")
        self.assertEqual(kerb["effects"][at]["alone"], "?")
        swap = next(s for s in changes["swaps"] if s["text"] == "pulley works -> none")
        nothing = {"alone_si": None, "last_si": None}
        self.assertEqual(swap["results"]["kerb_torque"], nothing)
        self.assertIn("not known now", self.run_bench(*asked).stdout)

    def test_unknown_base(self):
        said = self.refused("compare", VAN, "--base", "nix")
        self.assert_mentions(said, "--base nix", "now, quicker")

    def test_exit_status(self):
        self.good("compare", TERN, "--setup", "works", "--setup", "calm")
        self.good("compare", TERN, status=LIMIT_EXCEEDED)


class NotKnown(Case):
    def test_what_is_not_known_says_what_it_needs(self):
        file = self.write("lacks.toml", TERN.read_text())
        self.run_bench("set", file, "car.friction.column", "")
        self.assertNotIn("not known: Kerb", self.good("check", TERN, "--setup", "calm"))
        said = " ".join(self.good("check", file, "--setup", "calm").split())
        self.assertRegex(
            said, r"not known: Kerb, brake off, dry; [^?]*? more; needed: car\.friction\.column"
        )

    def test_turn_plates_are_not_asked_for_camber(self):
        self.run_bench("new", self.here / "new.toml")
        results = self.json("check", self.here / "new.toml")["setups"][0]["results"]
        self.assertEqual(results["inner_wheel_left"]["missing"][-1], "car.front.turn_plate")
        for of in ("camber_left", "bump_steer_left", "tie_rod_left"):
            self.assertEqual(results[of]["missing"], ["car.front.left"], of)


    def results_without(self, *fields):
        file = self.write("lacks.toml", TERN.read_text())
        for field in fields:
            self.run_bench("set", file, field, "")
        return self.setup_of(file, "calm")

    def test_each_state_asks_for_its_own_engine_speed(self):
        whole = self.setup_of(TERN, "calm")["results"]
        no_cruise = self.results_without("car.engine.cruise")["results"]
        no_idle = self.results_without("car.engine.idle")["results"]
        self.assertEqual(no_idle["asked_flow"]["si"], whole["asked_flow"]["si"])
        for of in ("kerb_torque", "kerb_pressure", "inlet_pressure", "catch_up_left", "parking_oil"):
            self.assertEqual(no_cruise[of]["si"], whole[of]["si"], of)
            self.assertEqual(no_idle[of]["missing"], ["car.engine.idle"], of)
        for of in ("road_torque", "centre_gradient", "town_torque", "road_oil", "hill_oil"):
            self.assertEqual(no_idle[of]["si"], whole[of]["si"], of)
            self.assertEqual(no_cruise[of]["missing"], ["car.engine.cruise"], of)

    def test_understeer_asks_for_no_friction(self):
        whole = self.setup_of(TERN, "calm")["results"]["understeer"]["si"]
        less = self.results_without("car.friction.column", "car.friction.joints")["results"]
        self.assertEqual(less["understeer"]["si"], whole)

    def test_which_side_the_rack_steers_to_is_said_to_be_taken(self):
        said = "rack travel to the left steers to the left (no linkage to tell)"
        granted = self.results_without("car.front.left")["taken_for_granted"]
        self.assertTrue(any(g.startswith(said) for g in granted), granted)
        self.assertFalse(any(said in g for g in self.setup_of(TERN, "calm")["taken_for_granted"]))


class Draws(Case):
    ASKED = ["check", TERN, "--setup", "keen", "--draws", "400"]

    def test_without_them_nothing_is_drawn(self):
        self.assertNotIn("drawn", self.setup_of(TERN, "keen"))

    def test_the_same_cars_are_drawn_in_every_run(self):
        self.assertEqual(self.good(*self.ASKED), self.good(*self.ASKED))

    def test_text_and_json_say_the_same(self):
        drawn = self.json(*self.ASKED)["setups"][0]["drawn"]
        self.assertEqual(drawn["draws"], 400)
        text = " ".join(self.good(*self.ASKED).split())
        for limit in drawn["exceeded"]:
            self.assertIn(f"{limit['name']} {limit['text']} {limit['note']}".strip(), text)
            self.assertLessEqual(limit["known_in"], 400)
        for remark in drawn["remarks"]:
            self.assertIn(remark, text)
        for row in drawn["otherwise"]:
            self.assertIn(f"{row['name']}, {row['stated']}: {row['middle']}", text)

    def test_a_second_end_of_the_travel_is_seen(self):
        """The tyre touches a little beyond the stop: in some cars it does so first, and the travel
        spreads to the low side only, which a straight line does not know."""
        setup = self.json(*self.ASKED)["setups"][0]
        self.assertEqual({s["rack"] for s in setup["drawn"]["runs_out_first"]["left"]}, {"left"})
        first = {s["limit"]: s["share"] for s in setup["drawn"]["runs_out_first"]["left"]}
        self.assertGreater(first["housing_stop"], 0.8)
        self.assertGreater(first["tyre_touch"], 0.05)
        self.assertAlmostEqual(sum(first.values()), 1.0)
        travel, middle = setup["results"]["travel_left"], setup["drawn"]["results"]["travel_left"]
        self.assertLess(middle["low_si"], travel["si"] - 1.2 * travel["si_pm"])
        self.assertIn("travel_left", [row["result"] for row in setup["drawn"]["otherwise"]])

    def test_setups_that_share_a_pump_draw_the_same_pumps(self):
        both = self.json("check", TERN, "--setup", "calm", "--setup", "keen", "--draws", "100")
        one, other = (s["drawn"]["results"] for s in both["setups"])
        for key in ("pump_idle", "pump_top", "inlet_pressure", "understeer"):
            self.assertEqual(one[key], other[key], key)
        # The control valve and the arms are those of one of them alone.
        self.assertNotEqual(one["road_torque"], other["road_torque"])

    def test_where_nothing_is_known_nothing_is_said_to_hold(self):
        self.run_bench("new", self.here / "new.toml")
        said = self.good("check", self.here / "new.toml", "--draws", "100")
        self.assertIn("Limits not known: housing stop, rack to the left", said)
        self.assertNotIn("is exceeded in any", said)
        self.assertNotIn("of every known result", said)

    def test_too_few_are_refused(self):
        self.assert_mentions(self.refused("check", TERN, "--draws", "5"), "--draws", "100")


class Sweep(Case):
    def row(self, *arguments):
        answer = self.json("sweep", TERN, "--setup", "calm", *arguments)
        (row,) = answer["rows"]
        return dict(zip((c["key"] for c in answer["columns"]), row))

    def test_at_rest_equals_check(self):
        row, results = self.row(*SWEEP_AT_REST), self.setup_of(TERN, "calm")["results"]
        same = ["toe", "camber", "caster", "inclination", "scrub", "trail", "bump_steer"]
        both = [f"{key}_{side}" for key in same for side in ("left", "right")]
        told = [key for key in both if key in row]
        self.assertGreater(len(told), 6)
        for key in told:
            self.assertAlmostEqual(row[key], results[key]["si"], 9, key)
        self.assertEqual(row["hand_wheel"], 0.0)

    def test_at_lock_equals_check(self):
        results = self.setup_of(TERN, "calm")["results"]
        # The tie rods lie behind the axle, so the rack goes to the right for a left turn.
        row = self.row("--rack-travel", f"{-results['travel_right']['si'] * 1e3!r} mm")
        self.assertAlmostEqual(row["travel"], -results["travel_right"]["si"])
        self.assertAlmostEqual(row["steer_left"], results["inner_wheel_left"]["si"], 9)
        self.assertAlmostEqual(row["steer_right"], results["outer_wheel_left"]["si"], 9)
        self.assertAlmostEqual(row["hand_wheel"], results["turns_right"]["si"], 9)

    def test_csv_and_json_hold_the_same(self):
        asked = ["sweep", TERN, "--setup", "calm", "--wheel-travel", "-60 mm .. 70 mm in 3"]
        answer = json.loads(self.good(*asked, "--json"))
        header, *lines = self.good(*asked, "--csv").splitlines()
        want = [f"{c['key']} [{c['si_unit']}]" for c in answer["columns"]]
        self.assertEqual(header.split(","), want)
        self.assertEqual(len(lines), len(answer["rows"]))
        for line, row in zip(lines, answer["rows"]):
            for cell, value in zip(line.split(","), row, strict=True):
                if value is None:
                    self.assertEqual(cell, "")
                else:
                    self.assertAlmostEqual(float(cell), value, delta=1e-6 * abs(value) + 1e-12)

    def test_range(self):
        def travels(text):
            return [r[0] for r in self.json("sweep", VAN, "--rack-travel", text)["rows"]]

        self.assertEqual(len(travels("-60 mm .. 60 mm")), 11)
        for got, want in zip(travels("-2 in .. 2 in in 3"), (-0.0508, 0.0, 0.0508), strict=True):
            self.assertAlmostEqual(got, want)
        (one,) = travels("10 mm")
        self.assertAlmostEqual(one, 0.010)

    def test_bad_ranges(self):
        for text, why in (
            ("1 .. 2", "the unit is missing"),
            ("1 mm - 2 mm", "'1 mm - 2 mm'"),
            ("0 mm .. 10 mm in 0", "the number of values"),
            ("0 mm .. 10 mm in 1000000", "the number of values"),
            ("0 deg .. 10 deg", "angle"),
            ("mm", "no number found"),
        ):
            said = self.refused("sweep", VAN, "--rack-travel", text)
            self.assert_mentions(said, "--rack-travel", why, '"-70 mm .. 70 mm in 15"')

    def test_columns(self):
        answer = self.json("sweep", VAN, "--columns", "steer_left,travel")
        self.assertEqual([c["key"] for c in answer["columns"]], ["steer_left", "travel"])
        self.assert_mentions(self.refused("sweep", VAN, "--columns", "foo"), "'foo'", "steer_left")

    def test_refuses_what_it_cannot_do(self):
        said = self.refused("sweep", VAN, "--wheel-travel", "0 mm .. 10 mm")
        self.assert_mentions(said, "'now'", "turn plates", "wheel travel")
        said = self.refused("sweep", VAN, "--setup", "now", "--setup", "quicker")
        self.assertIn("--setup once", said)
        self.assert_mentions(self.refused("sweep", VAN, "--csv", "--json"), "--csv", "--json")
        said = self.refused("sweep", TERN, "--wheel-travel", "1 mm", "--wheel-travel-left", "1 mm")
        self.assertIn("not both", said)


class Solve(Case):
    def test_rack_height_found_is_better_when_set(self):
        answer = self.json("solve", TERN, "--setup", "works", *SOLVE_RACK_HEIGHT)
        self.assertTrue(answer["reached"])
        self.assertLess(answer["after_si"], answer["before_si"])
        # The change, written into the file, is what the linkage then does: nothing is left to gain.
        car = self.write("car.toml", TERN.read_bytes())
        field, value = answer["field"], f"{answer['to_si'] * 1e3:.6f} mm"
        self.assertEqual(self.run_bench("set", car, field, value).returncode, ALL_WELL)
        again = self.json("solve", car, "--setup", "works", *SOLVE_RACK_HEIGHT)
        self.assertAlmostEqual(again["change_si"], 0.0, 5)
        self.assertAlmostEqual(again["before_si"], answer["after_si"], 7)

    def test_lengths_are_said_as_finely_as_they_can_be_set(self):
        said = self.good("solve", TERN, "--setup", "works", *SOLVE_RACK_HEIGHT)
        answer = self.json("solve", TERN, "--setup", "works", *SOLVE_RACK_HEIGHT)
        (shown,) = re.findall(r"rack by ([\d.]+) mm: reached", said)
        self.assertLess(len(shown.partition(".")[2]), 3)
        self.assertAlmostEqual(float(shown), answer["change_si"] * 1e3, delta=0.0051)

    def test_angle_is_reached(self):
        answer = self.json(
            "solve", TERN, "--setup", "calm", "--vary", "arm-length",
            "--from", "-20 mm", "--to", "20 mm", "--target", "35 deg", "--at", "-71 mm",
        )  # fmt: skip
        self.assertAlmostEqual(math.degrees(answer["after_si"]), 35, 6)

    def test_not_reached(self):
        said = self.good(
            "solve", TERN, "--setup", "calm", "--vary", "arm-length",
            "--from", "-1 mm", "--to", "1 mm", "--target", "45 deg", "--at", "-71 mm",
            status=LIMIT_EXCEEDED,
        )  # fmt: skip
        self.assertIn("not reached within the bounds", said)

    def test_says_what_is_wrong(self):
        def said(**changed):
            options = dict(zip(SOLVE_RACK_HEIGHT[::2], SOLVE_RACK_HEIGHT[1::2]))
            options.update({f"--{key}": value for key, value in changed.items()})
            return self.refused("solve", TERN, *(word for pair in options.items() for word in pair))

        self.assert_mentions(said(vary="rock-up"), "'rock-up'", "rack-up, rack-forward")
        self.assert_mentions(said(**{"from": "-20"}), "--from", "the unit is missing")
        self.assert_mentions(said(**{"from": "30 mm"}), "--from 30 mm", "less than", "--to 20 mm")
        self.assert_mentions(said(target="least"), "'least'", "least-bump-steer", "35 deg", "60 %")
        self.assert_mentions(said(target="35 deg"), "--at is needed")
        self.assert_mentions(said(rebound="-5 mm"), "--rebound -5 mm", "positive")
        self.assert_mentions(said(about="toe"), "'toe'", "static toe", "mean toe")

    def test_needs_points_in_space(self):
        said = self.refused("solve", VAN, *SOLVE_RACK_HEIGHT)
        self.assertIn("points of the suspension in space", said)


class Json(Case):
    DOCUMENTED = set(re.findall(r"`([^`]+)`", (ROOT / "docs" / "json.md").read_text()))
    BY_NAME = {"results", "margins"}  # keyed by names of outputs and limits

    def assert_documented(self, node, by_name=False):
        if isinstance(node, list):
            for item in node:
                self.assert_documented(item)
        elif isinstance(node, dict):
            for key, value in node.items():
                if not by_name:
                    self.assertIn(key, self.DOCUMENTED)
                if key != "breakdown":  # numbers by names of terms
                    self.assert_documented(value, key in self.BY_NAME and not by_name)

    def assert_answer(self, verb, *arguments, status=ALL_WELL):
        answer = self.json(verb, *arguments, status=status)
        self.assertEqual(list(answer)[:3], ["steerbench", "format", "title"])
        self.assertEqual((answer["steerbench"], answer["format"]), (verb, 1))
        self.assertTrue(answer["title"].startswith(("Tern", "Light van")))
        self.assert_documented(answer)

    def test_check(self):
        self.assert_answer("check", TERN, status=LIMIT_EXCEEDED)
        self.assert_answer("check", VAN)

    def test_compare(self):
        self.assert_answer("compare", TERN, status=LIMIT_EXCEEDED)
        self.assert_answer("compare", VAN)

    def test_sweep(self):
        self.assert_answer("sweep", TERN, "--wheel-travel", "-60 mm .. 70 mm")
        self.assert_answer("sweep", VAN)
        for curve in ("kerb", "road", "boost", "pump"):
            with self.subTest(curve=curve):
                self.assert_answer("sweep", TERN, "--setup", "keen", "--of", curve)

    def test_sweep_with_plus_minus(self):
        arguments = (TERN, "--setup", "keen", "--of", "kerb", "--pm",
                     "--rack-travel", "0 mm .. 40 mm in 2")
        self.assert_answer("sweep", *arguments)
        answer = self.json("sweep", *arguments)
        keys = [c["key"] for c in answer["columns"]]
        self.assertNotIn("travel_pm", keys)
        for row in answer["rows"]:
            self.assertLess(0, row[keys.index("turn_left_pm")])
            self.assertLess(row[keys.index("turn_left_pm")], row[keys.index("turn_left")])

    def test_simulate_without_oil(self):
        said = self.good("simulate", TERN, "--setup", "calm", "--run", "step",
                         "--engine-speed", "0 rpm")
        self.assertIn("the pump delivers nothing: the wheel is heavy all along",
                      " ".join(said.split()))
        self.assertNotIn("keeps up", said)
        self.assertNotRegex(said, r"\de-1\d")

    def test_sweep_says_what_to_doubt(self):
        arguments = (TERN, "--setup", "calm", "--of", "pump")
        answer = self.json("sweep", *arguments)
        self.assertEqual(["catch_up_left", "catch_up_right"], answer["doubts"][0]["columns"])
        self.assertIn("the pump leaks nothing inside (no bench reading)",
                      answer["taken_for_granted"])
        text = self.good("sweep", *arguments)
        self.assertIn("(outside the model):\ncatch_up_left, catch_up_right\n", text)
        self.assertIn("taken for granted: ", text)
        self.assertIn("the pump leaks nothing inside (no bench reading)", " ".join(text.split()))
        # Of columns that are not asked for nothing is said.
        text = self.good("sweep", *arguments, "--columns", "engine_speed,flow")
        self.assertNotIn("outside the model", text)

    def test_simulate(self):
        for run in ("step", "ramp", "sine", "parking", "lock-impact"):
            with self.subTest(run=run):
                self.assert_answer("simulate", TERN, "--setup", "calm", "--run", run)

    def test_simulate_at_a_given_engine_speed_asks_for_no_idle(self):
        whole = ("simulate", TERN, "--setup", "calm", "--engine-speed", "900 rpm")
        lacks = self.write("lacks.toml", TERN.read_text())
        self.run_bench("set", lacks, "car.engine.idle", "")
        self.assertEqual(self.good(whole[0], lacks, *whole[2:]), self.good(*whole))
        ended = self.run_bench("simulate", lacks, "--setup", "calm")
        self.assertIn("car.engine.idle", ended.stderr)

    def test_simulate_says_what_it_comes_to(self):
        asked = ("simulate", TERN, "--setup", "calm", "--run", "parking")
        summary = {s["key"]: s for s in self.json(*asked)["summary"]}
        text = " ".join(self.good(*asked).split())
        for said in summary.values():
            self.assertIn(said["label"] + ":", text)
        torques = [row[2] for row in self.json(*asked)["rows"]]
        peak = summary["peak_torque"]["si"]
        self.assertGreaterEqual(peak, max(map(abs, torques)))
        self.assertLess(peak, 1.2 * max(map(abs, torques)))
        self.assertLess(summary["unbalanced"]["si"], 1e-3)

    def test_solve(self):
        self.assert_answer("solve", TERN, *SOLVE_RACK_HEIGHT)

    def test_out_of_reach_is_null(self):
        answer = self.json("sweep", TERN, "--rack-travel", "500 mm")
        self.assertIn(None, answer["rows"][0])

    def test_form_follows_the_schema(self):
        schema = json.loads(self.good("schema"))
        for file in (TERN, VAN):
            self.follow(json.loads(self.good("form", file, "--json")), schema, schema)

    def follow(self, node, shape, schema, at="document"):
        """The keys of a document against the schema: each is described, each required is there."""
        if "$ref" in shape:
            shape = schema["$defs"][shape["$ref"].rsplit("/", 1)[1]]
        if isinstance(node, list) and "items" in shape:
            for item in node:
                self.follow(item, shape["items"], schema, at)
        if not isinstance(node, dict):
            return
        for choice in shape.get("oneOf", []) + shape.get("anyOf", []):
            if "properties" in choice:
                shape = choice
        for key in shape.get("required", []):
            self.assertIn(key, node, at)
        for key, value in node.items():
            inner = shape.get("properties", {}).get(key, shape.get("additionalProperties"))
            self.assertTrue(inner, f"{at}.{key} is not in the schema")
            self.follow(value, inner, schema, f"{at}.{key}")


class Form(Case):
    def test_round_trip_of_both_forms(self):
        for file in (TERN, VAN):
            as_json = self.good("form", file, "--json")
            self.assertEqual(self.good("form", "-", "--json", stdin=as_json), as_json)
            as_toml = self.good("form", file)
            self.assertEqual(self.good("form", "-", stdin=as_toml), as_toml)
            self.assertEqual(self.good("form", "-", "--json", stdin=as_toml), as_json)

    def test_schema_of_draft_2020_12(self):
        schema = json.loads(self.good("schema"))
        self.assertEqual(schema["$schema"], "https://json-schema.org/draft/2020-12/schema")
        self.assertFalse(schema["additionalProperties"])


class Units(Case):
    def test_text_follows_the_units_and_numbers_do_not(self):
        metric, imperial = (
            self.json("check", VAN, "--setup", "now", "--units", u)["setups"][0]["results"]
            for u in ("metric", "imperial")
        )
        for key in metric:
            self.assertEqual(metric[key]["si"], imperial[key]["si"], key)
        shown = lambda results, key: re.match(r"([\d.]+)(?: ± [\d.]+)? (.+)", results[key]["text"])
        for key, factor, units in (
            ("travel_left", 25.4, ("mm", "in")),  # the inch: 25.4 mm exactly, by definition
            ("kerb_circle_left", 0.3048, ("m", "ft")),  # the foot: 0.3048 m exactly
        ):
            (m, m_unit), (i, i_unit) = shown(metric, key).groups(), shown(imperial, key).groups()
            self.assertEqual((m_unit, i_unit), units)
            self.assertAlmostEqual(float(m) / float(i), factor, delta=0.002 * factor)

    def test_as_written(self):
        want = self.good("check", VAN, "--units", "metric")
        self.assertEqual(self.good("check", VAN), want)
        self.assertEqual(self.good("check", VAN, "--units", "AS-WRITTEN"), want)
        self.assertNotEqual(self.good("check", VAN, "--units", "imperial"), want)


PRINTING = [
    ("check", VAN), ("check", VAN, "--json"), ("compare", VAN), ("compare", VAN, "--json"),
    ("sweep", VAN), ("sweep", VAN, "--csv"), ("sweep", VAN, "--json"),
    ("solve", TERN, *SOLVE_RACK_HEIGHT),
    ("form", VAN), ("form", VAN, "--json"), ("schema",), ("schema", "--reference"), ("new", "-"),
    ("-h",), ("check", "-h"), ("--version",),
]  # fmt: skip


class Output(Case):
    def test_what_to_measure_next(self):
        """Every limit that is close is named with what makes its ±, the greatest share first."""
        said = self.good("check", TERN, "--setup", "calm", status=ALL_WELL)
        part = said[said.index("What to measure next") : said.index("Does it go together?")]
        lines = re.sub(r"\n {6,}", " ", part).splitlines()[1:]
        setup = self.setup_of(TERN, "calm")
        close = [m["label"] for m in setup["margins"].values() if m["status"] == "close"]
        self.assertTrue(close)
        for label in close:
            self.assertTrue([x for x in lines if x.startswith(f"    {label}: ")], (label, lines))
        for line in filter(None, lines):
            shares = [int(n) for n in re.findall(r"(\d+) %", line)]
            self.assertEqual(shares, sorted(shares, reverse=True))
            self.assertLessEqual(sum(shares), 102)

    def test_pipes_get_no_escape_codes(self):
        for arguments in PRINTING:
            self.assertNotIn("\x1b", self.good(*arguments), arguments)
        self.assertNotIn("\x1b", self.good("check", TERN, status=LIMIT_EXCEEDED))

    def on_terminal(self, **environment):
        master, slave = pty.openpty()
        self.addCleanup(os.close, master)
        kept = {k: v for k, v in os.environ.items() if k != "NO_COLOR"}
        command = [BINARY, "check", VAN]
        with subprocess.Popen(command, stdout=slave, env={**kept, **environment}) as run:
            os.close(slave)
            shown = b""
            while chunk := self.read_terminal(master):
                shown += chunk
        self.assertEqual(run.returncode, ALL_WELL)
        return shown

    @staticmethod
    def read_terminal(master):
        try:
            return os.read(master, 1 << 16)
        except OSError:  # how Linux ends the reading of a terminal that nobody writes to any more
            return b""

    def test_colour_on_a_terminal_only_where_it_is_wanted(self):
        self.assertIn(b"\x1b[", self.on_terminal())
        self.assertNotIn(b"\x1b", self.on_terminal(NO_COLOR="1"))  # https://no-color.org

    def test_closed_output_is_an_error(self):
        done = self.run_bench("check", VAN, preexec_fn=lambda: os.close(1))
        self.assertEqual(done.returncode, FAILED)
        self.assertIn("writing the output", done.stderr)

    def test_closed_input_is_an_error(self):
        done = self.run_bench("check", "-", preexec_fn=lambda: os.close(0))
        self.assertEqual(done.returncode, UNUSABLE)

    def test_output_that_cannot_be_written(self):
        for arguments in PRINTING:
            with open("/dev/full", "wb") as full:
                done = self.run_bench(*arguments, stdout=full)
            self.assertEqual(done.returncode, FAILED, arguments)
            self.assertIn("writing the output: No space left", done.stderr)

    def test_same_bytes_every_time_and_on_one_core(self):
        one_core = lambda: os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
        for arguments in (("check", TERN, "--json"), ("compare", TERN)):
            first = self.good(*arguments, status=LIMIT_EXCEEDED)
            for options in ({}, {"preexec_fn": one_core}):
                again = self.good(*arguments, status=LIMIT_EXCEEDED, **options)
                self.assertEqual(again, first)

    def test_words_of_another_locale_change_nothing(self):
        want = self.good("check", VAN)
        for locale in ("C", "de_DE.UTF-8"):
            self.assertEqual(self.good("check", VAN, env={**os.environ, "LC_ALL": locale}), want)
