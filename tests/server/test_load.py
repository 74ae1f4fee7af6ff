"""Many pages dragging at once, each with its stream of events open."""

import math
import os
import pathlib
import threading
import time

from api import PATIENCE, SANITIZED, Case
from test_events import Stream

CLIENTS = 64
SECONDS = float(os.environ.get("STEERBENCH_LOAD_SECONDS", "3"))


class Load(Case):
    def memory(self):
        """Resident memory of the server [MiB]."""
        status = pathlib.Path(f"/proc/{self.server.process.pid}/status").read_text()
        (line,) = (x for x in status.splitlines() if x.startswith("VmRSS"))
        return int(line.split()[1]) / 1024

    def drag(self, number, until, took, errors):
        try:
            stream = Stream(self.server)
            connection = self.server.connect()
            i = number
            while time.monotonic() < until:
                i += 1
                began = time.perf_counter()
                connection.request("GET", f"/api/turn?setup=calm&travel={0.07 * math.sin(i / 20)}")
                answer = connection.getresponse()
                size = len(answer.read())
                took.append(time.perf_counter() - began)
                if answer.status != 200 or size < 1000:
                    errors.append((answer.status, size))
            connection.close()
            stream.close()
        except Exception as e:  # whatever it is, the test is to say it
            errors.append(e)

    def run_for(self, seconds):
        took, errors = [], []
        until = time.monotonic() + seconds
        threads = [
            threading.Thread(target=self.drag, args=(n, until, took, errors)) for n in range(CLIENTS)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        self.assertEqual(errors, [])
        return sorted(took)

    def test_many_pages_drag_at_once(self):
        self.run_for(1.0)  # until threads and caches are there
        before = self.memory()
        took = self.run_for(SECONDS)
        after = self.memory()
        p50, p99 = (took[len(took) * share // 100] * 1e3 for share in (50, 99))
        print(
            f"{CLIENTS} clients, {SECONDS:.0f} s: {len(took)} answers, p50 {p50:.1f} ms, "
            f"p99 {p99:.1f} ms, memory {before:.0f} -> {after:.0f} MiB",
            flush=True,
        )
        self.assertGreater(len(took), 100 * SECONDS / PATIENCE)
        if not SANITIZED:
            self.assertLess(after - before, 20)
