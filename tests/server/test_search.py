"""Searches as jobs, on the real server. Every demo value is invented."""

import json
import re
import subprocess
import time
import unittest

from api import BINARY, JSON, PATIENCE, SANITIZED, TERN, Case
from test_events import Stream

AIMS = ["kerb_effort", "road_effort", "lock_angle", "bump_steer", "cost", "hours"]


def said(*words):
    """What the command line says; a limit exceeded is no failure here."""
    run = subprocess.run([BINARY, *words, "--json"], capture_output=True, text=True, check=False)
    assert run.returncode in (0, 1), run.stderr
    return json.loads(run.stdout)


def copies(text, table, name, count):
    """The text with `count` more parts that are as one of its parts."""
    at = re.search(rf"\[{table}\.{name}\]\n", text)
    head = re.compile(rf"\n(#|\[(?!\[?{table}\.{name}\b))")
    part = text[at.start() : head.search(text, at.end()).start()]
    more = [part.replace(f"{table}.{name}", f"{table}.{name}-{i}") for i in range(count)]
    return text + "\n\n" + "\n\n".join(more) + "\n"


def large():
    """Many more combinations than can be looked at before a test asks to stop."""
    return copies(TERN.read_text(), "rack", "slow", 60)


# What these run is run under the sanitizers by the tests of the library and by the others here.
no_sanitizers = unittest.skipIf(SANITIZED, "whole searches take minutes with them")


class Searching(Case):
    def setUp(self):
        self.server.post(
            "/api/import",
            {"base": self.server.revision(), "client": "test", "text": TERN.read_text()},
        )

    def begin(self, status=202, **order):
        return self.server.post("/api/jobs", {"verb": "search", **order}, status).json()

    def job(self, job, query=""):
        return self.server.get(f"/api/jobs/{job}{query}").json()

    def wait(self, job):
        for _ in range(600 * PATIENCE):
            state = self.job(job)
            if state["state"] != "running":
                return state
            time.sleep(0.05)
        self.fail("the search does not end")

    def done(self, **order):
        job = self.begin(**order)["id"]
        ended = self.wait(job)
        self.assertEqual((ended["state"], ended["progress"], ended["error"]), ("done", 1.0, None))
        return job, ended["result"]

    def test_a_search_is_that_of_the_command_line(self):
        _, result = self.done(most=20)
        self.assertEqual(result.pop("revision"), self.server.revision())
        self.assertEqual(result, said("search", self.server.file, "--most", "20"))
        self.assertGreater(len(result["entries"]), 2)

    @no_sanitizers
    def test_units_are_those_asked_for(self):
        job, as_written = self.done()
        imperial = self.job(job, "?units=imperial")["result"]
        self.assertEqual(imperial["ranking"], as_written["ranking"])
        self.assertIn("lbf", imperial["entries"][0]["aims"]["kerb_effort"]["text"])
        self.server.get(f"/api/jobs/{job}?units=furlongs", 400)

    @no_sanitizers
    def test_no_more_entries_than_asked_for(self):
        _, result = self.done(most=1)
        self.assertEqual(len(result["entries"]), 1)
        self.assertGreater(result["not_shown"], 0)

    @no_sanitizers
    def test_the_unbeaten_of_two_wishes_are_beaten_by_none(self):
        _, result = self.done()
        self.assertEqual(len(result["unbeaten"]), 15)
        for pair in result["unbeaten"]:
            if pair["aims"] != ["cost", "hours"]:
                continue
            values = [tuple(e["aims"][a]["si"] for a in pair["aims"]) for e in result["entries"]]
            for i in pair["entries"]:
                better = [v for v in values if v[0] < values[i][0] and v[1] < values[i][1]]
                self.assertEqual(better, [])

    @no_sanitizers
    def test_weights(self):
        job, result = self.done()
        ask = lambda query, status=200: self.server.get(  # noqa: E731
            f"/api/jobs/{job}/ranking{query}", status
        ).json()
        self.assertEqual(ask("")["ranking"], result["ranking"])
        for aim in AIMS:
            self.assertEqual(ask(f"?{aim}=1")["ranking"], result["ranking"])
        only = "&".join(f"{aim}=0" for aim in AIMS if aim != "lock_angle")
        first = ask(f"?{only}")["ranking"][0]
        angles = [entry["aims"]["lock_angle"]["si"] for entry in result["entries"]]
        self.assertEqual(angles[first["entry"]], max(angles))
        self.assertEqual(first["balance"], 0.0)
        for query in ("?cost=11", "?cost=-1", "?cost=x", "?cost=nan", "?beauty=1", "?cost="):
            error = ask(query, 400 if query != "?cost=" else 400)["error"]
            self.assertEqual(error["code"], "parameter")
        self.server.get("/api/jobs/999/ranking", 404)

    @no_sanitizers
    def test_an_entry_is_looked_at_like_a_setup(self):
        job, result = self.done()
        for n, entry in enumerate(result["entries"]):
            seen = self.server.get(f"/api/check?job={job}&entry={n}").json()["setups"]
            self.assertEqual(len(seen), 1)
            angles = [seen[0]["results"][f"inner_wheel_{side}"]["si"] for side in ("left", "right")]
            self.assertAlmostEqual(
                min(map(abs, angles)), entry["aims"]["lock_angle"]["si"], places=9
            )
        shimmed = self.server.get(f"/api/turn?job={job}&entry=0").json()
        best = self.server.get(f"/api/turn?job={job}&entry=0&best=1").json()
        self.assertIn("polished", result["entries"][0])
        self.assertNotEqual(shimmed["rack"] if "rack" in shimmed else shimmed["wheels"],
                            best["rack"] if "rack" in best else best["wheels"])  # fmt: skip
        for query in ("entry=99", "entry=-1", "entry=1e30"):
            self.server.get(f"/api/turn?job={job}&{query}", 404)
        self.server.get(f"/api/turn?job={job}&entry=x", 400)
        self.server.get("/api/turn?job=999&entry=0", 404)
        self.server.get("/api/turn?job=x", 404)

    def test_the_newest_search_is_known_and_whether_it_still_stands(self):
        job, result = self.done()
        newest = {"id": job, "revision": result["revision"], "current": True}
        ask = lambda: self.server.get("/api/search").json()  # noqa: E731
        self.assertEqual(ask(), newest)
        entry = result["entries"][0]["setup"]
        self.server.post("/api/edit", {
            "base": self.server.revision(), "client": "test", "what": "kept",
            "edits": [{"path": f"setup.plan.{key}", "value": value} for key, value in entry.items()],
        })  # fmt: skip
        self.assertEqual(ask(), newest)  # another setup bears on nothing
        self.server.edit("search.want.turns", "less")
        self.assertEqual(ask(), {**newest, "current": False})
        self.server.edit("search.want.turns", None)
        self.assertEqual(ask(), newest)
        self.assertEqual(self.job(job)["result"]["ranking"], result["ranking"])

    @no_sanitizers
    def test_the_last_four_are_kept(self):
        jobs = [self.done(most=1)[0] for _ in range(5)]
        self.server.get(f"/api/jobs/{jobs[0]}/ranking", 404)
        self.assertIsNone(self.job(jobs[0])["result"])
        for job in jobs[1:]:
            self.server.get(f"/api/jobs/{job}/ranking")

    def test_refused_orders(self):
        for order, where in [
            ({"most": 0}, "most"), ({"most": 201}, "most"), ({"most": "x"}, "most"),
            ({"most": 1.5}, "most"), ({"most": None}, "most"), ({"resume": "x"}, "resume"),
        ]:  # fmt: skip
            self.assertEqual(self.begin(400, **order)["error"]["where"], where)
        for resume in (0, -1, 999, 2**62):
            self.assertEqual(self.begin(404, resume=resume)["error"]["where"], "resume")
        job, _ = self.done()
        self.assertEqual(self.begin(409, resume=job)["error"]["code"], "nothing")
        for body in (b"", b"[]", b'{"verb":', b'{"verb":"search","most":' + b"9" * 400 + b"}"):
            answer = self.server.ask("POST", "/api/jobs", body, JSON)
            self.assertEqual(answer.status, 400, body)

    def test_a_document_that_cannot_be_searched(self):
        text = TERN.read_text()
        file = self.server.file
        file.write_text(re.sub(r"\n\[setup\.(.|\n)*", "\n", text).replace('base = "first-try"', ""))
        error = self.begin(422)["error"]
        self.assertEqual((error["code"], error["where"]), ("document", "setup"))
        file.write_text(text.replace("[search]", "[search"))
        self.assertEqual(self.begin(422)["error"]["code"], "document")
        self.assertFalse(self.server.get("/api/search").json()["current"])
        file.write_text(text)

    def test_wishes_that_nothing_keeps(self):
        self.server.edit("search.at_most.cost", "1")
        self.server.edit("search.at_least.lock_angle", "60 deg")
        job, result = self.done()
        self.assertEqual((result["entries"], result["ranking"]), ([], []))
        left = sum(reason["count"] for reason in result["left_out"])
        self.assertEqual(left, result["combinations"])
        self.assertEqual(self.server.get(f"/api/jobs/{job}/ranking").json()["ranking"], [])


class Large(Searching):
    """Searches that take a while."""

    def setUp(self):
        self.server.post(
            "/api/import", {"base": self.server.revision(), "client": "test", "text": large()}
        )

    def stopped(self):
        stream = Stream(self.server)
        job = self.begin(most=5)["id"]
        shares = []
        while not shares:
            kind, _, data = stream.next()
            if kind == "job" and data["id"] == job:
                self.assertEqual(data["state"], "running")
                shares.append(data["progress"])
        stream.close()
        self.assertEqual(self.job(job)["result"], None)
        self.server.get(f"/api/jobs/{job}/ranking", 409)
        self.assertEqual(self.begin(409, resume=job)["error"]["code"], "nothing")
        began = time.monotonic()
        self.server.post(f"/api/jobs/{job}/stop", {})
        ended = self.wait(job)
        self.assertLess(time.monotonic() - began, 10 * PATIENCE)
        self.assertEqual(ended["state"], "stopped")
        return job, ended["result"]

    def test_a_stopped_search_keeps_what_it_found_and_can_be_gone_on_with(self):
        job, result = self.stopped()
        self.assertLess(result["looked_at"], result["combinations"])
        self.server.get(f"/api/jobs/{job}/ranking")
        again = self.begin(most=5, resume=job)["id"]
        time.sleep(0.3)
        self.server.post(f"/api/jobs/{again}/stop", {})
        further = self.wait(again)["result"]
        self.assertGreaterEqual(further["looked_at"], result["looked_at"])

    def test_what_has_changed_is_not_gone_on_with(self):
        job, _ = self.stopped()
        self.server.edit("search.want.turns", "less")
        error = self.begin(409, resume=job)["error"]
        self.assertEqual((error["code"], error["where"]), ("revision", "resume"))

    def test_a_drag_stays_smooth_beside_a_search(self):
        job = self.begin()["id"]
        slowest = 0.0
        self.server.get("/api/turn?setup=calm")
        for i in range(60):
            began = time.monotonic()
            self.server.get(f"/api/turn?setup=calm&travel={i * 0.001}")
            slowest = max(slowest, time.monotonic() - began)
        self.assertEqual(self.job(job)["state"], "running")
        self.server.post(f"/api/jobs/{job}/stop", {})
        self.wait(job)
        print(f"\nslowest frame beside a search: {slowest * 1000:.0f} ms")
        self.assertLess(slowest, 0.5 * PATIENCE)


# What is inherited for its helpers is not run twice.
for name in [n for n in vars(Searching) if n.startswith("test_")]:
    setattr(Large, name, None)
