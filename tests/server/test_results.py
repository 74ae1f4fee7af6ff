"""What the server computes is what the command line computes, and fast enough to drag by."""

import json
import math
import os
import pathlib
import re
import subprocess
import threading
import time

from api import BINARY, JSON, PATIENCE, ROOT, TERN, Case, Server

VAN = ROOT / "examples" / "light-van.toml"


def said(*arguments):
    """The JSON that the command line prints on the demo."""
    done = subprocess.run([BINARY, *arguments, "--json"], capture_output=True)
    return json.loads(done.stdout)


class Results(Case):
    def same(self, path, *arguments):
        answer = self.server.get(path).json()
        self.assertEqual(answer.pop("revision"), self.server.revision())
        self.assertEqual(answer, said(*arguments))

    def test_check(self):
        self.same("/api/check", "check", TERN)
        self.same("/api/check?setup=calm&units=imperial", "check", TERN, "--setup", "calm",
                  "--units", "imperial")  # fmt: skip

    def test_compare(self):
        self.same("/api/compare?base=keen&units=metric", "compare", TERN, "--base", "keen",
                  "--units", "metric")  # fmt: skip

    def test_many_setups_take_no_more_threads_than_the_machine_has_cores(self):
        setups = "".join(f'[setup.more-{i}]\nrack = "quick"\n' for i in range(12))
        server = Server(text=TERN.read_text() + "\n" + setups)
        self.addCleanup(server.stop)
        status = pathlib.Path(f"/proc/{server.process.pid}/status")
        threads = lambda: int(re.search(r"Threads:\s+(\d+)", status.read_text()).group(1))  # noqa: E731
        server.get("/api/session")
        before, most = threads(), 0
        asking = [threading.Thread(target=server.get, args=("/api/check",)) for _ in range(3)]
        for t in asking:
            t.start()
        while any(t.is_alive() for t in asking):
            most = max(most, threads())
            time.sleep(0.001)
        self.assertGreater(most, before)
        self.assertLessEqual(most, before + len(asking) + os.cpu_count())

    def test_identify(self):
        self.same("/api/identify", "identify", TERN)
        self.same("/api/identify?units=imperial&sure=0.6", "identify", TERN, "--sure", "60 %",
                  "--units", "imperial")  # fmt: skip
        for sure in ("0.4", "1", "x"):
            answer = self.server.get(f"/api/identify?sure={sure}", status=400)
            self.assertEqual(answer.json()["error"]["where"], "sure")

    def test_answers_are_edits(self):
        """A look at the bench-rack's rod settles it; taking it back brings back the doubt."""
        row = "identify.bench-rack.seen[3]"
        edits = [{"path": f"{row}.feature", "value": "rod"},
                 {"path": f"{row}.length", "value": "24.02 ± 0.05 mm"}]  # fmt: skip
        before = self.server.get("/api/identify").json()["riddles"][0]
        base = self.server.revision()
        self.server.post("/api/edit", {"base": base, "edits": edits, "client": "test"})
        rack = self.server.get("/api/identify").json()["riddles"][0]
        self.assertEqual((rack["settled"], rack["answer"]), (True, "slow"))
        self.server.edit(row, None)
        self.assertEqual(self.server.get("/api/identify").json()["riddles"][0], before)

    def test_curves(self):
        for of in ("kerb", "road", "boost", "pump"):
            self.same(f"/api/curve?of={of}&setup=calm", "sweep", TERN, "--setup", "calm",
                      "--of", of)  # fmt: skip
        rows = self.server.get("/api/curve?setup=calm").json()["rows"]
        self.assertGreater(len(rows), 20)

    def test_curves_with_their_plus_minus(self):
        plain = self.server.get("/api/curve?of=kerb&setup=calm").json()
        answer = self.server.get("/api/curve?of=kerb&setup=calm&pm=1").json()
        keys = [c["key"] for c in answer["columns"]]
        self.assertIn("turn_left_pm", keys)
        self.assertNotIn("travel_pm", keys)
        middle = answer["rows"][len(answer["rows"]) // 2]
        row = dict(zip(keys, middle))
        (setup,) = said("check", TERN, "--setup", "calm")["setups"]
        self.assertAlmostEqual(row["turn_left_pm"], setup["results"]["kerb_torque"]["si_pm"], 6)
        for with_pm, without in zip(answer["rows"], plain["rows"]):
            self.assertEqual(with_pm[: len(without)], without)

    def test_draws(self):
        self.same("/api/check?setup=calm&draws=100", "check", TERN, "--setup", "calm",
                  "--draws", "100")  # fmt: skip
        self.assertEqual(
            self.server.get("/api/check?draws=100", status=400).json()["error"]["where"], "setup"
        )
        for draws in ("0", "-0", "99", "5001", "100.5", "-100", "nan", "many"):
            answer = self.server.get(f"/api/check?setup=calm&draws={draws}", status=400)
            self.assertEqual(answer.json()["error"]["where"], "draws")

    def test_only_the_largest_shares(self):
        whole = self.server.get("/api/check?setup=calm").json()["setups"][0]["results"]
        short = self.server.get("/api/check?setup=calm&inputs=2").json()["setups"][0]["results"]
        for key, figure in whole.items():
            if "from" in figure:
                self.assertEqual(short[key]["from"], figure["from"][:2], key)

    def test_gzip_when_taken(self):
        plain = self.server.get("/api/check?inputs=1")
        self.assertNotIn("Content-Encoding", plain.headers)
        zipped = self.server.raw("GET", "/api/check?inputs=1", headers={"Accept-Encoding": "br, gzip"})
        self.assertEqual(zipped.headers["Content-Encoding"], "gzip")
        import gzip

        self.assertEqual(gzip.decompress(zipped.body), plain.body)
        refused = self.server.raw("GET", "/api/check", headers={"Accept-Encoding": "gzip;q=0"})
        self.assertNotIn("Content-Encoding", refused.headers)

    def test_wrong_parameters(self):
        for path, status, where in [
            ("check?setup=none", 404, "setup"), ("check?units=cubits", 400, "units"),
            ("check?inputs=x", 400, "inputs"), ("check?inputs=-1", 400, "inputs"),
            ("compare?base=none", 404, "base"), ("curve?of=bananas", 400, "of"),
            ("turn?setup=none", 404, "setup"), ("turn?travel=nan", 400, "travel"),
            ("turn?travel=0.6", 400, "travel"), ("turn?left=1e9", 400, "left"),
            ("turn?hand_wheel=inf", 400, "hand_wheel"), ("turn?travel=", 400, "travel"),
            ("turn?temperature=0", 400, "temperature"), ("turn?travel=1%2C5", 400, "travel"),
            ("turn?engine_speed=-1", 400, "engine_speed"), ("turn?road_speed=151", 400, "road_speed"),
        ]:  # fmt: skip
            error = self.server.get(f"/api/{path}", status).json()["error"]
            self.assertEqual(error["where"], where, path)

    def test_what_is_missing_is_named(self):
        server = Server(text=VAN.read_text())
        try:
            curve = server.get("/api/curve?of=kerb").json()
            self.assertEqual((curve["columns"], curve["rows"]), ([], []))
            self.assertIn("setup 'now' needs for this curve: car.front.left", curve["trouble"])
            self.assertNotIn("trouble", server.get("/api/curve?of=linkage").json())
            turn = server.get("/api/turn?travel=0.03").json()
            self.assertEqual(turn["level"], "turn_plate")
            self.assertEqual(turn["wheels"]["left"]["points"], {})
            self.assertIsNone(turn["weight"]["turn_left"])
        finally:
            server.stop()


class Turn(Case):
    def turn(self, **query):
        query.setdefault("setup", "calm")
        asked = "&".join(f"{k}={v}" for k, v in query.items())
        return self.server.get(f"/api/turn?{asked}").json()

    def test_same_as_the_sweep(self):
        table = said("sweep", TERN, "--setup", "calm", "--rack-travel", "25 mm",
                     "--wheel-travel-left", "30 mm", "--wheel-travel-right", "-20 mm")  # fmt: skip
        row = dict(zip((c["key"] for c in table["columns"]), table["rows"][0]))
        turn = self.turn(travel=0.025, left=0.03, right=-0.02)
        self.assertAlmostEqual(turn["hand_wheel"], row["hand_wheel"], 12)
        for side in ("left", "right"):
            wheel = turn["wheels"][side]
            for key in ("steer", "toe", "camber", "caster", "inclination", "scrub", "trail",
                        "rod_arm_angle", "inner_tilt", "outer_tilt"):  # fmt: skip
                self.assertAlmostEqual(wheel[key], row[f"{key}_{side}"], 9, (side, key))
            self.assertAlmostEqual(wheel["ground"]["patch"][1], row[f"contact_y_{side}"], 9)

    def test_same_as_the_check_at_lock(self):
        (setup,) = said("check", TERN, "--setup", "calm")["setups"]
        results = {k: v["si"] for k, v in setup["results"].items()}
        binding = next(e for e in setup["travel_limits"]["left"] if e["binds"])
        turn = self.turn(travel=results["travel_left"])
        self.assertEqual(turn["travel_range"]["left"]["limit"], binding["limit"])
        self.assertEqual(turn["travel_range"]["left"]["travel"], results["travel_left"])
        # On this car rack travel to the left turns the car to the right.
        self.assertAlmostEqual(-turn["hand_wheel"], results["turns_left"], 9)
        self.assertAlmostEqual(turn["circle"]["kerb"], results["kerb_circle_right"], 6)
        self.assertAlmostEqual(turn["ackermann"], results["ackermann_inner_right"], 9)
        rest = self.turn(travel=0)
        self.assertIsNone(rest["circle"])
        self.assertAlmostEqual(rest["weight"]["turn_left"]["torque"], results["kerb_torque"], 9)
        self.assertAlmostEqual(rest["pump_speed"], results["pump_idle"], 9)

    def test_hand_wheel_and_rack_travel_are_one(self):
        turn = self.turn(hand_wheel=2.5)
        self.assertAlmostEqual(turn["hand_wheel"], 2.5, 9)
        again = self.turn(travel=turn["travel"])
        self.assertAlmostEqual(again["wheels"]["left"]["steer"], turn["wheels"]["left"]["steer"], 12)

    def test_handles_bear_on_the_weight(self):
        def torque(**query):
            turn = self.turn(travel=0.01, setup="keen", **query)
            return turn["weight"]["turn_left"]["torque"]

        usual = torque()
        self.assertNotEqual(torque(temperature=273.15), usual)
        self.assertNotEqual(torque(road_speed=38), usual)
        fast = self.turn(engine_speed=600)
        self.assertGreater(fast["pump_speed"], self.turn()["pump_speed"])

    def test_figures_when_the_hand_rests(self):
        (setup,) = said("check", TERN, "--setup", "calm")["setups"]
        results = setup["results"]
        turn = self.turn(travel=0, pm=1)
        figures = turn["figures"]
        for key, result in {
            "wheels.left.toe": "toe_left", "wheels.left.camber": "camber_left",
            "wheels.right.scrub": "scrub_right", "pump_speed": "pump_idle",
            "weight.turn_left.torque": "kerb_torque", "weight.turn_left.pull": "kerb_pull",
            "weight.turn_left.pressure": "kerb_pressure", "weight.turn_left.flow": "idle_flow",
        }.items():  # fmt: skip
            self.assertAlmostEqual(figures[key]["si"], results[result]["si"], 9, key)
            self.assertAlmostEqual(figures[key]["si_pm"], results[result]["si_pm"], 9, key)
            self.assertEqual(figures[key]["text"], results[result]["text"], key)
        # At lock, too, but for what the lock's own ± adds there.
        lock = self.turn(travel=results["travel_left"]["si"], pm=1, inputs=2)["figures"]
        self.assertAlmostEqual(lock["circle.kerb"]["si"], results["kerb_circle_right"]["si"], 6)
        self.assertLessEqual(lock["circle.kerb"]["si_pm"], results["kerb_circle_right"]["si_pm"])
        self.assertEqual(len(lock["circle.kerb"]["from"]), 2)
        self.assertNotIn("figures", self.turn())

    def test_beyond_reach(self):
        turn = self.turn(travel=0.4)
        self.assertFalse(turn["reached"])
        self.assertIn("rack", turn["why"])
        self.assertTrue(0.07 < turn["travel"] < 0.4)
        for point in turn["wheels"]["left"]["points"].values():
            self.assertTrue(all(math.isfinite(x) for x in point))

    def test_fast_enough_to_drag_by(self):
        """One page dragging. The goal is 4 ms; a machine busy with other tests gets more."""
        most = 0.020 * PATIENCE
        took = []
        connection = self.server.connect()
        for i in range(600):
            travel = 0.07 * math.sin(i / 20)
            began = time.perf_counter()
            connection.request("GET", f"/api/turn?setup=calm&travel={travel}")
            answer = connection.getresponse()
            answer.read()
            took.append(time.perf_counter() - began)
            self.assertEqual(answer.status, 200)
        connection.close()
        took.sort()
        p50, p99 = took[len(took) // 2], took[len(took) * 99 // 100]
        print(f"turn: p50 {p50 * 1e3:.2f} ms, p99 {p99 * 1e3:.2f} ms", flush=True)
        self.assertLess(p50, most)


class Jobs(Case):
    def wait(self, job):
        for _ in range(600 * PATIENCE):
            state = self.server.get(f"/api/jobs/{job}").json()
            if state["state"] != "running":
                return state
            time.sleep(0.05)
        self.fail("the job does not end")

    def begin(self, status=202, **order):
        order = {"verb": "simulate", "setup": "calm", **order}
        return self.server.post("/api/jobs", order, status).json()

    def test_a_simulation_is_that_of_the_command_line(self):
        job = self.begin(run="step", amplitude="45 deg")["id"]
        done = self.wait(job)
        self.assertEqual((done["state"], done["progress"], done["error"]), ("done", 1.0, None))
        result = done["result"]
        result.pop("revision")
        self.assertEqual(
            result,
            said("simulate", TERN, "--setup", "calm", "--run", "step", "--amplitude", "45 deg"),
        )
        self.server.post(f"/api/jobs/{job}/stop", {})
        self.assertEqual(self.wait(job)["state"], "done")

    def test_stopped(self):
        job = self.begin(run="sine", duration="600 s", time="1 s")["id"]
        self.server.post(f"/api/jobs/{job}/stop", {})
        stopped = self.wait(job)
        self.assertEqual((stopped["state"], stopped["result"]), ("stopped", None))

    def test_no_more_than_two_at_a_time(self):
        long = {"run": "sine", "duration": "600 s", "time": "1 s"}
        jobs = [self.begin(**long)["id"] for _ in range(2)]
        self.assertEqual(self.begin(429, **long)["error"]["code"], "busy")
        for job in jobs:
            self.server.post(f"/api/jobs/{job}/stop", {})
            self.wait(job)

    def test_refused_orders(self):
        for order, status, where in [
            ({"verb": "dance"}, 400, "verb"), ({"setup": "none"}, 404, "setup"),
            ({"run": "wild"}, 422, "run"), ({"time": "3 mm"}, 422, "time"),
            ({"air": 1}, 400, "air"),
        ]:  # fmt: skip
            self.assertEqual(self.begin(status, **order)["error"]["where"], where)
        for job in (0, 999, 2**70):
            self.server.get(f"/api/jobs/{job}", 404)
            self.server.post(f"/api/jobs/{job}/stop", {}, 404)

    def test_ends_with_the_server(self):
        server = Server()
        order = {"verb": "simulate", "setup": "calm", "run": "sine", "duration": "600 s"}
        server.post("/api/jobs", order, 202)
        began = time.monotonic()
        server.stop()
        self.assertLess(time.monotonic() - began, 10 * PATIENCE)
