"""Killed at any moment: no edit that was acknowledged is lost, and file and history agree."""

import json
import os
import random
import threading
import time
import unittest

from api import PATIENCE, Server

KILLS = int(os.environ.get("STEERBENCH_KILLS", "200"))
SEED = int(os.environ.get("STEERBENCH_SEED", "1"))
SECONDS = 55 * PATIENCE  # of patience; said when it was not enough

TEXT = 'format = 1\ntitle = "kill"\n\n[car]\nwheelbase = "1 mm"\nrear_track = "1 mm"\n'


class Kill(unittest.TestCase):
    def test_no_acknowledged_edit_is_lost(self):
        chance = random.Random(SEED)
        server = Server(text=TEXT.replace('"1 mm"', '"2000 mm"'))
        value, acknowledged, kills = 2000, 2000, 0
        until = time.monotonic() + SECONDS
        try:
            while kills < KILLS and time.monotonic() < until:
                killer = threading.Timer(chance.uniform(0.0, 0.08), server.kill)
                killer.start()
                try:
                    while True:
                        revision = json.loads(server.raw("GET", "/api/document").body)["revision"]
                        value += 1
                        body = {"base": revision, "client": "k",
                                "edits": [{"path": "car.wheelbase", "value": f"{value} mm"}]}  # fmt: skip
                        answer = server.raw(
                            "POST", "/api/edit", json.dumps(body), {"Content-Type": "application/json"}
                        )
                        self.assertEqual(answer.status, 200, answer.body)
                        acknowledged = value
                except (OSError, ValueError, __import__("http").client.HTTPException):
                    pass  # cut off
                killer.join()
                kills += 1
                server.start()
                document = server.get("/api/document").json()
                found = int(document["form"]["car"]["wheelbase"].split()[0])
                # The one edit on its way may have made it or not.
                self.assertIn(found, (acknowledged, value), f"seed {SEED}, kill {kills}")
                self.assertEqual(server.file.read_text(), document["toml"])
                value = acknowledged = found
            history = server.get("/api/history").json()["revisions"]
            self.assertNotIn("changed outside", {r["what"] for r in history})
            if SEED == 1:
                self.assertGreater(len(history), KILLS // (2 * PATIENCE))
        finally:
            server.stop()
        print(f"{kills} kills under {len(history)} edits, none lost", flush=True)
        self.assertEqual(kills, KILLS)
