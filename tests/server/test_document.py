"""Reading and editing the document, its history, two clients at once, an editor beside it."""

import json
import pathlib
import re
import subprocess

from api import BINARY, OPENAPI, PATIENCE, ROOT, TERN, Case, Server


class Description(Case):
    def test_every_route_is_described_and_none_else(self):
        text = (ROOT / "src" / "server" / "routes.cc").read_text()
        served = set(re.findall(r'Route\{"(\w+)", "([^"]+)"', text))
        served.add(("GET", "/api/events"))
        self.assertGreater(len(served), 15)
        described = {
            (method.upper(), path) for path, item in OPENAPI["paths"].items() for method in item
        }
        self.assertEqual(served, described)

    def test_every_route_is_answered(self):
        for path, item in OPENAPI["paths"].items():
            if path == "/api/events":
                continue
            for method in item:
                path = path.replace("{id}", "1")
                body = "{}" if method == "post" else None
                headers = {"Content-Type": "application/json"} if body else {}
                answer = self.server.ask(method.upper(), path, body, headers)
                self.assertNotIn(answer.status, (405, 500), path)
                if answer.status == 404:
                    self.assertNotEqual(answer.code(), "route", path)


class Reading(Case):
    def test_document(self):
        document = self.server.get("/api/document").json()
        self.assertEqual(document["toml"], TERN.read_text())
        self.assertEqual(document["name"], "my-car.toml")
        self.assertEqual(document["form"]["title"], document["title"])
        self.assertEqual((document["problems"], document["undo"], document["redo"]), ([],) + (None,) * 2)
        said = subprocess.run([BINARY, "form", TERN, "--json"], capture_output=True, check=True)
        self.assertEqual(document["form"], json.loads(said.stdout))

    def test_export_is_the_file(self):
        answer = self.server.get("/api/export")
        self.assertEqual(answer.body, self.server.file.read_bytes())
        self.assertIn('filename="my-car.toml"', answer.headers["Content-Disposition"])

    def test_fields_are_those_of_the_reference(self):
        tables = {t["path"]: t for t in self.server.get("/api/fields").json()["tables"]}
        said = subprocess.run([BINARY, "schema", "--reference"], capture_output=True, text=True)
        reference = set(said.stdout.splitlines())
        for path, table in tables.items():
            named = path.replace("*", "NAME").replace("[]", "")
            if path:
                self.assertTrue({f"## `[{named}]`", f"## `[[{named}]]`"} & reference, path)
            for field in table["fields"]:
                line = f"- `{field['key']}`: {field['help']} ("
                self.assertTrue(any(r.startswith(line) for r in reference), line)
        self.assertEqual(len(tables) - 1, sum(line.startswith("## `[") for line in reference))
        titles = {t["section"]["id"]: t["section"]["title"] for t in tables.values()}
        self.assertEqual((titles["car.front"], titles["setup"]), ("Front axle", "Setups"))
        self.assertEqual(tables["car.oil"]["section"]["id"], "car")
        # A heading of its own words for each: no table goes by its key.
        self.assertFalse([key for key, title in titles.items() if key == title])
        setup = {f["key"]: f for f in tables["setup.*"]["fields"]}
        self.assertEqual(setup["second_control_valve"]["part"], "control_valve")
        self.assertEqual(setup["stops"]["choices"], ["kept", "removed"])
        self.assertEqual(setup["rack_up"]["kind"], "length")
        self.assertIn("car.front.obstacle[]", tables)


class Editing(Case):
    def value(self, path):
        at = self.server.get("/api/document").json()["form"]
        for step in path.split("."):
            at = at[step]
        return at

    def test_a_field(self):
        done = self.server.edit("pulley.works.diameter", "5.5 in").json()
        self.assertEqual(done["changed"], ["pulley.works.diameter"])
        self.assertRegex(done["what"], r"^pulley\.works\.diameter: .* -> 5\.5 in$")
        self.assertEqual(self.value("pulley.works.diameter"), "5.5 in")
        self.assertIn('diameter = "5.5 in"', self.server.file.read_text())
        self.assertEqual(self.server.file.read_text().count("#"), TERN.read_text().count("#"))

    def test_kinds_of_values(self):
        for path, value, written in [
            ("car.wheelbase", "2516 mm", "2516 mm"),
            ("limits.thread_engagement", 1.25, 1.25),
            ("setup.works.control_powered", False, False),
            ("setup.works.stops", "kept", "kept"),
            ("car.wheelbase", {"value": "2517 mm", "tolerance": "2 mm", "from": "measured",
                               "note": "tape"},
             {"value": "2517 mm ± 2 mm", "from": "measured", "note": "tape"}),
        ]:  # fmt: skip
            self.server.edit(path, value)
            self.assertEqual(self.value(path), written, path)
        # A text replaces value and ±, and keeps where it comes from.
        self.server.edit("car.wheelbase", "2518 ± 1 mm")
        self.assertEqual(
            self.value("car.wheelbase"), {"value": "2518 ± 1 mm", "from": "measured", "note": "tape"}
        )

    def test_removing_and_nothing_to_do(self):
        self.server.edit("car.body_width", None)
        self.assertNotIn("body_width", self.value("car"))
        revision = self.server.revision()
        done = self.server.edit("car.body_width", None).json()
        self.assertEqual((done["revision"], done["changed"]), (revision, []))

    def test_new_parts_setups_and_list_items_come_to_be(self):
        edits = [
            {"path": "rack.third.travel", "value": "140 mm"},
            {"path": "setup.new.rack", "value": "third"},
            {"path": "car.front.obstacle[2].name", "value": "hose"},
        ]
        body = {"base": self.server.revision(), "client": "c", "edits": edits, "what": "a try"}
        done = self.server.post("/api/edit", body).json()
        self.assertEqual(done["what"], "a try")
        self.assertEqual(
            done["changed"],
            ["car.front.obstacle[2].name", "rack.third.travel", "setup.new.rack"],
        )
        names = [s["name"] for s in self.server.get("/api/check").json()["setups"]]
        self.assertIn("new", names)
        self.server.post("/api/undo", {"base": done["revision"], "client": "c"})
        self.assertNotIn("third", self.server.file.read_text())

    def test_whole_tables_are_removed(self):
        text = self.server.file.read_text()
        for path in ("setup.keen", "car.front.obstacle[1]"):
            self.server.edit(path, None)
        document = self.server.get("/api/document").json()
        self.assertNotIn("keen", document["form"]["setup"])
        self.assertEqual(len(document["form"]["car"]["front"]["obstacle"]), 1)
        # A part that a setup uses stays.
        refused = self.server.edit("rack.quick", None, status=422)
        self.assertIn("quick", json.dumps(refused.json()))
        for _ in range(2):
            self.server.post("/api/undo", {"base": self.server.revision(), "client": "c"})
        self.assertEqual(self.server.file.read_text(), text)

    def test_problems_in_the_words_of_the_command_line(self):
        before = self.server.get("/api/document").json()
        for path, value in [
            ("car.wheelbase", "2515 bananas"),
            ("car.weelbase", "2515 mm"),
            ("setup.works.rack", "none such"),
            ("car", "x"),
            ("", "x"),
            ("car.wheelbase", "\x07 mm"),
        ]:
            refused = self.server.edit(path, value, status=422).json()["error"]
            self.assertEqual(refused["code"], "problems")
            said = subprocess.run(
                [BINARY, "set", self.server.file, path, value], capture_output=True, text=True
            )
            if path:
                self.assertIn(refused["problems"][0]["message"], said.stderr)
        # All or none.
        edits = [
            {"path": "car.wheelbase", "value": "2400 mm"},
            {"path": "car.rear_track", "value": "wide"},
        ]
        body = {"base": before["revision"], "client": "c", "edits": edits}
        self.server.post("/api/edit", body, 422)
        self.assertEqual(self.server.get("/api/document").json(), before)

    def test_bad_bodies(self):
        good = {"base": 1, "client": "c", "edits": [{"path": "car.wheelbase", "value": "1 m"}]}
        for change in (
            {"base": "1"}, {"base": 1.5}, {"client": None}, {"client": "x" * 201}, {"edits": []},
            {"edits": {}}, {"edits": [1]}, {"edits": [{"path": "car.wheelbase"}]},
            {"edits": [{"path": 1, "value": "1 m"}]}, {"edits": [{"path": "a", "value": [1]}]},
            {"edits": [{"path": "a", "value": {"tolerance": "1 m"}}]},
            {"edits": [{"path": "a", "value": {"value": "1 m", "unit": "m"}}]},
            {"edits": good["edits"] * 501}, {"what": "x" * 201},
        ):  # fmt: skip
            self.server.post("/api/edit", {**good, **change}, 400)
        for body in ("", "[]", "nonsense", "{", "[" * 10000, '{"a":' * 10000, "\xff", "null"):
            answer = self.server.ask(
                "POST", "/api/edit", body.encode("latin-1"), {"Content-Type": "application/json"}
            )
            self.assertEqual((answer.status, answer.code()), (400, "body"), body[:20])


class TwoClients(Case):
    def test_conflict_and_no_conflict(self):
        base = self.server.revision()
        self.server.edit("car.wheelbase", "2520 mm", base, "laptop")
        # Another field of the older revision goes through, on top of the newer.
        done = self.server.edit("car.rear_track", "1390 mm", base, "phone").json()
        self.assertEqual(done["revision"], base + 2)
        self.assertIn('wheelbase = "2520 mm"', self.server.file.read_text())
        # The same field does not, and neither does one above or below it.
        for path, value in [
            ("car.wheelbase", "2530 mm"), ("car.wheelbase.note", "x"),
        ]:  # fmt: skip
            refused = self.server.edit(path, value, base, "phone", status=409).json()["error"]
            self.assertEqual(refused["code"], "conflict")
            self.assertEqual(refused["revision"], base + 2)
            self.assertEqual(refused["changed"], [{"path": "car.wheelbase", "value": "2520 mm"}])
        # Seen and meant, it does.
        self.server.edit("car.wheelbase", "2530 mm", base + 2, "phone")
        # Undo, redo, restore and import want the newest revision.
        for path, more in (
            ("/api/undo", {}), ("/api/redo", {}), ("/api/history/restore", {"revision": 1}),
            ("/api/import", {"text": TERN.read_text()}),
        ):  # fmt: skip
            refused = self.server.post(path, {"base": base, "client": "c", **more}, 409)
            self.assertEqual(refused.code(), "conflict")
        # A revision that nobody has seen holds everything.
        self.assertEqual(self.server.edit("car.wheelbase", "1 m", 999, status=409).code(), "conflict")

    def test_what_was_changed_and_changed_back_is_no_conflict(self):
        base = self.server.revision()
        self.server.edit("car.body_width", "1.7 m", base, "laptop")
        self.server.post("/api/undo", {"base": base + 1, "client": "laptop"})
        self.server.edit("car.body_width", "1.8 m", base, "phone")


class Rename(Case):
    def rename(self, path, name, status=200):
        edits = [{"path": path, "name": name}]
        body = {"base": self.server.revision(), "client": "test", "edits": edits}
        return self.server.post("/api/edit", body, status).json()

    def results(self, setup):
        check = self.server.get(f"/api/check?setup={setup}").json()["setups"][0]
        return {key: figure.get("text") for key, figure in check["results"].items()}

    def test_a_setup_under_another_name(self):
        before = self.server.file.read_text()
        results = self.results("calm")
        self.rename("setup.calm", "gentle")
        self.assertEqual(self.server.file.read_text(), before.replace("[setup.calm", "[setup.gentle"))
        self.server.get("/api/check?setup=calm", 404)
        self.assertEqual(self.results("gentle"), results)
        document = self.server.get("/api/document").json()
        self.assertEqual(document["undo"]["what"], "setup.calm is called gentle")
        self.server.post("/api/undo", {"base": document["revision"], "client": "test"})
        self.assertEqual(self.server.file.read_text(), before)

    def test_refused(self):
        for path, name in (("setup.calm", "keen"), ("setup.none", "x"), ("rack.quick", "x"), ("setup", "x")):
            refused = self.rename(path, name, 422)["error"]
            self.assertTrue(refused["problems"][0]["message"], path)
        for name in ("", "x" * 201, 3, None):
            self.rename("setup.calm", name, 400)


class History(Case):
    def act(self, path, status=200, **more):
        body = {"base": self.server.revision(), "client": "me", **more}
        return self.server.post(path, body, status).json()

    def test_undo_redo_restore_name(self):
        self.assertEqual(self.act("/api/undo", 404)["error"]["code"], "nothing")
        first = self.server.file.read_text()
        self.server.edit("car.wheelbase", "2520 mm")
        second = self.server.file.read_text()
        self.server.edit("car.rear_track", "1390 mm")
        document = self.server.get("/api/document").json()
        self.assertIn("car.rear_track", document["undo"]["what"])
        self.assertIsNone(document["redo"])
        self.assertEqual(self.act("/api/undo")["changed"], ["car.rear_track"])
        self.assertEqual(self.server.file.read_text(), second)
        self.act("/api/undo")
        self.assertEqual(self.server.file.read_text(), first)
        self.assertIn("car.wheelbase", self.server.get("/api/document").json()["redo"]["what"])
        self.act("/api/redo")
        self.assertEqual(self.server.file.read_text(), second)
        self.server.post("/api/history/name", {"revision": 1, "name": "as bought"})
        self.server.post("/api/history/name", {"revision": 99, "name": "x"}, 404)
        self.act("/api/history/restore", revision=1)
        self.assertEqual(self.server.file.read_text(), first)
        gone = self.act("/api/history/restore", 404, revision=99)["error"]
        self.assertEqual((gone["code"], gone["where"]), ("revision", "revision"))
        revisions = self.server.get("/api/history").json()["revisions"]
        self.assertEqual([r["revision"] for r in revisions], list(range(len(revisions), 0, -1)))
        self.assertEqual(revisions[-1]["name"], "as bought")
        self.assertEqual(revisions[0]["what"], "back to as bought")
        self.assertEqual(revisions[0]["client"], "me")
        self.act("/api/undo")
        self.assertEqual(self.server.file.read_text(), second)
        # A restart keeps it all.
        self.server.kill()
        self.server.start()
        self.assertEqual(len(self.server.get("/api/history").json()["revisions"]), len(revisions) + 1)
        self.act("/api/redo")
        self.assertEqual(self.server.file.read_text(), first)


class Import(Case):
    def put(self, text, status=200):
        body = {"base": self.server.revision(), "client": "c", "text": text}
        return self.server.post("/api/import", body, status).json()

    def test_export_import_both_forms(self):
        exported = self.server.get("/api/export").body.decode()
        form = self.server.get("/api/document").json()["form"]
        van = (ROOT / "examples" / "light-van.toml").read_text()
        self.put(van)
        self.assertEqual(self.server.file.read_text(), van)
        self.put(exported)
        self.assertEqual(self.server.file.read_text(), exported)
        self.put(json.dumps(form))
        self.assertEqual(self.server.get("/api/document").json()["form"], form)

    def test_refused_with_its_problems(self):
        before = self.server.get("/api/document").json()
        for text in ("format = 1\n[car]\nwheelbase = \"x\"\n", "{\"format\": 1, \"car\": 3}", "[", "{", ""):
            error = self.put(text, 422)["error"]
            self.assertEqual(error["code"], "problems")
            self.assertTrue(error["problems"][0]["message"])
        self.assertEqual(self.server.get("/api/document").json(), before)


class Outside(Case):
    """Somebody else changes the file."""

    def test_an_editor_is_taken_over_and_conflicts_are_told(self):
        base = self.server.revision()
        text = self.server.file.read_text()
        self.server.file.write_text(text.replace('"2515 ± 3 mm"', '"2600 mm"'))
        refused = self.server.edit("car.wheelbase", "2550 mm", base, status=409).json()["error"]
        self.assertEqual(refused["changed"], [{"path": "car.wheelbase", "value": "2600 mm"}])
        self.assertIn('"2600 mm"', self.server.file.read_text())
        self.server.edit("car.rear_track", "1391 mm", base)
        self.assertIn('"2600 mm"', self.server.file.read_text())
        whats = [r["what"] for r in self.server.get("/api/history").json()["revisions"]]
        self.assertIn("changed outside", whats)

    def test_a_broken_file_is_shown_with_its_problems(self):
        text = self.server.file.read_text()
        self.server.file.write_text("format = 1\n[car]\nwheelbase = \"long\"\n")
        document = self.server.get("/api/document").json()
        self.assertIsNone(document["form"])
        self.assertEqual(document["problems"][0]["line"], 3)
        for path in ("check", "compare", "curve", "turn"):
            self.assertEqual(self.server.get(f"/api/{path}", 422).code(), "document")
        self.server.edit("car.wheelbase", "2.5 m")
        self.assertEqual(self.server.get("/api/check", 422).json()["error"]["where"], "setup")
        self.server.file.write_text(text)
        self.server.get("/api/check")

    def test_a_file_that_goes_missing_is_written_again(self):
        text = self.server.file.read_text()
        self.server.file.unlink()
        self.server.get("/api/document")
        self.assertEqual(self.server.file.read_text(), text)


class Starting(Case):
    def refused(self, *arguments):
        done = subprocess.run(
            [BINARY, "serve", "--no-open", *arguments],
            capture_output=True,
            text=True,
            timeout=20 * PATIENCE,
        )
        self.assertEqual((done.returncode, done.stdout), (2, ""), done.stderr)
        return done.stderr

    def test_what_cannot_be_served(self):
        here = self.server.here
        self.assertIn("No such file", self.refused(here / "none.toml"))
        self.assertFalse((here / "none.toml.history").exists())
        self.assertIn("directory", self.refused(here))
        self.assertIn("served already", self.refused(self.server.file))
        other = here / "other.toml"
        other.write_text(TERN.read_text())
        self.assertIn("port", self.refused(other, "--port", str(self.server.port)))
        self.assertIn("--port", self.refused(other, "--port", "99999"))
        pathlib.Path(f"{other}.history").write_text("not a database, but long enough to look at")
        self.assertIn("not a history", self.refused(other))


class Broken(Case):
    def test_a_document_that_is_broken_from_the_start_is_served(self):
        server = Server(text="format = 1\ntitle = 3\n")
        try:
            self.assertTrue(server.get("/api/document").json()["problems"])
            server.edit("title", "mended")
            self.assertEqual(server.get("/api/document").json()["problems"], [])
        finally:
            server.stop()
