"""The stream of events, for one page and for many."""

import contextlib
import json
import time

from api import PATIENCE, Case, Server


class Stream:
    """One open event stream."""

    def __init__(self, server, **headers):
        self.connection = server.connect(timeout=20)
        self.connection.request("GET", "/api/events", headers=headers)
        self.response = self.connection.getresponse()
        assert self.response.status == 200, self.response.read()
        assert self.response.headers["Content-Type"] == "text/event-stream"

    def next(self):
        """Type, id and data of the next event."""
        event = {}
        while True:
            line = self.response.readline().decode().rstrip("\n")
            if not line and "event" in event:
                return event["event"], event.get("id"), json.loads(event["data"])
            if line:
                key, _, value = line.partition(": ")
                event[key] = value

    def close(self):
        self.connection.close()


class Events(Case):
    def test_begins_with_where_the_document_is(self):
        stream = Stream(self.server)
        head = self.server.revision()
        self.assertEqual(
            stream.next(),
            ("revision", str(head), {"revision": head, "client": "", "changed": []}),
        )
        stream.close()

    def test_every_change_is_told_to_everybody(self):
        streams = [Stream(self.server) for _ in range(3)]
        for stream in streams:
            stream.next()
        done = self.server.edit("car.wheelbase", "2520 mm", client="laptop").json()
        self.server.post("/api/undo", {"base": done["revision"], "client": "phone"})
        for stream in streams:
            kind, number, data = stream.next()
            self.assertEqual((kind, number), ("revision", str(done["revision"])))
            self.assertEqual((data["client"], data["changed"]), ("laptop", ["car.wheelbase"]))
            self.assertEqual(stream.next()[2]["client"], "phone")
            stream.close()

    def test_an_editor_beside_is_told_without_being_asked_for(self):
        stream = Stream(self.server)
        stream.next()
        text = self.server.file.read_text()
        self.server.file.write_text(text.replace("742 ± 10 mm", "750 mm"))
        kind, _, data = stream.next()
        self.assertEqual((kind, data["changed"]), ("revision", ["car.front_overhang"]))
        stream.close()

    def test_outlives_a_file_that_cannot_be_read(self):
        stream = Stream(self.server)
        stream.next()
        file = self.server.file
        text = file.read_text()
        while not file.is_dir():  # the server writes a file again that is gone
            with contextlib.suppress(FileExistsError):
                file.unlink()
                file.mkdir()
        self.assertEqual(self.server.get("/api/document", 503).code(), "disk")
        self.assertEqual(self.server.get("/api/events", 503).code(), "disk")
        time.sleep(2.5)  # two beats of the stream
        self.server.get("/api/session", 503)
        self.assertIsNone(self.server.process.poll())
        back = file.with_name("back")
        back.write_text(text + "# as it was\n")
        file.rmdir()
        back.replace(file)  # at once, so that it is never seen half written
        self.assertEqual(stream.next()[0], "revision")
        self.assertEqual(self.server.get("/api/document").json()["toml"], text + "# as it was\n")
        stream.close()

    def test_a_page_that_comes_back_is_told_what_it_missed(self):
        seen = self.server.revision()
        self.server.edit("car.body_width", "1.7 m")
        self.server.edit("car.rear_track", "1.4 m")
        stream = Stream(self.server, **{"Last-Event-ID": str(seen)})
        self.assertEqual(stream.next()[2]["changed"], ["car.body_width", "car.rear_track"])
        stream.close()
        for odd in ("0", "999", "x", "-1", "9" * 40):
            stream = Stream(self.server, **{"Last-Event-ID": odd})
            self.assertEqual(stream.next()[0], "revision")
            stream.close()

    def test_jobs_are_told(self):
        stream = Stream(self.server)
        stream.next()
        order = {"verb": "simulate", "setup": "calm", "run": "step"}
        job = self.server.post("/api/jobs", order, 202).json()["id"]
        shares = []
        while True:
            kind, _, data = stream.next()
            if kind != "job":
                continue
            self.assertEqual(data["id"], job)
            shares.append(data["progress"])
            if data["state"] != "running":
                break
        self.assertEqual(data["state"], "done")
        self.assertEqual(shares, sorted(shares))
        self.assertGreater(len(shares), 5)
        self.assertEqual(self.server.get(f"/api/jobs/{job}").json()["state"], "done")
        stream.close()


class Many(Case):
    def test_many_open_streams_leave_room_for_answers(self):
        streams = [Stream(self.server) for _ in range(100)]
        for stream in streams:
            stream.next()
        began = time.monotonic()
        self.server.edit("car.wheelbase", "2521 mm")
        self.assertLess(time.monotonic() - began, 5 * PATIENCE)
        for stream in streams:
            self.assertEqual(stream.next()[2]["changed"], ["car.wheelbase"])
            stream.close()

    def test_ends_at_once_with_streams_and_idle_connections_open(self):
        server = Server()
        streams = [Stream(server) for _ in range(5)]
        idle = server.connect()
        idle.request("GET", "/api/session")
        idle.getresponse().read()
        began = time.monotonic()
        server.stop()
        self.assertLess(time.monotonic() - began, 4 * PATIENCE)
        for stream in streams:
            stream.close()
        idle.close()
