"""Requests that mean no good, by the ten thousand: the server never ends and goes on answering."""

import contextlib
import json
import os
import random
import socket
import time

from api import JSON, OPENAPI, PATIENCE, Case

SECONDS = float(os.environ.get("STEERBENCH_FUZZ_SECONDS", "20"))
SEED = int(os.environ.get("STEERBENCH_SEED", "1"))


class Hostile(Case):
    def setUp(self):
        self.random = random.Random(SEED)
        routes = [
            (method.upper(), path.replace("{id}", "1"))
            for path, item in OPENAPI["paths"].items()
            for method in item
            if path not in ("/api/events", "/api/pair")
        ]
        # Those that compute much are asked seldom, so that more is asked in all.
        slow = ("/api/check", "/api/compare", "/api/curve", "/api/history", "/api/document")
        self.routes = [r for r in routes if r[1] not in slow] * 20 + routes

    def junk(self, most):
        """Bytes of one of several sorts."""
        n = self.random.randrange(most)
        sort = self.random.randrange(4)
        if sort == 0:
            return self.random.randbytes(n)
        if sort == 1:
            return self.random.choice([b"\r\n", b"\0", b"%00", b"\xff\xfe", b"[", b'{"a":']) * (n // 2)
        words = [b"GET", b"POST", b" ", b"/api/edit", b"/", b"HTTP/1.1", b"HTTP/9", b"\r\n", b"\n",
                 b"Host: x", b"Content-Length: ", b"99999999999999999999", b"-1", b"chunked", b":",
                 b"Transfer-Encoding: chunked", b"0\r\n\r\n", b"Range: bytes=0-", b"Cookie: "]  # fmt: skip
        return b"".join(self.random.choice(words) for _ in range(n // 8))

    def value(self, depth=0):
        r = self.random
        sort = r.randrange(9 if depth < 3 else 7)
        if sort == 0:
            return r.choice([None, True, False])
        if sort == 1:
            return r.choice([0, -1, 1, 2**53, 2**63, -(2**63), 10**30, 1e308, -0.0, 0.1])
        if sort < 5:
            return r.choice(
                ["", "car.wheelbase", "setup.works", "rack.*", "1 m", "± 1", "\0", "\u202e", "a" * 300,
                 "car.front.obstacle[99999999999999999999]", "car.front.left.toe", "[[x]]", "format",
                 "5 in ± 1/0 in", "\ud7ff\U0001f600", "rack.quick.travel", "setup.calm", "..", "'"]
            )  # fmt: skip
        if sort == 5:
            return self.random.randbytes(r.randrange(40)).decode("latin-1")
        if sort == 6:
            return r.randrange(20)
        if sort == 7:
            return [self.value(depth + 1) for _ in range(r.randrange(4))]
        keys = ["base", "client", "edits", "path", "value", "text", "revision", "name", "verb", "run"]
        return {r.choice(keys): self.value(depth + 1) for _ in range(r.randrange(5))}

    def body(self):
        """A body that is nearly right."""
        r = self.random
        base = r.choice([1, self.known, self.known, "x"])
        good = {"base": base, "client": "fuzz", "revision": 1, "name": "x", "verb": "simulate",
                "run": "step", "setup": "none", "text": "format = 1\n", "code": "1",
                "edits": [{"path": self.value(3), "value": self.value(2)} for _ in range(3)]}  # fmt: skip
        for _ in range(r.randrange(3)):
            good[r.choice(list(good))] = self.value()
        text = json.dumps(good)
        if r.randrange(5) == 0:
            at = r.randrange(len(text))
            text = text[:at] + r.choice(["", "}", "[" * 50, "\\u0000", "1e999"]) + text[at + 1 :]
        return text

    def raw(self):
        """Sends bytes that may be no request at all."""
        with contextlib.suppress(OSError):
            with contextlib.closing(socket.create_connection(("127.0.0.1", self.server.port), 5)) as s:
                if self.random.randrange(2):
                    method, path = self.random.choice(self.routes)
                    s.sendall(f"{method} {path} HTTP/1.1\r\n".encode())
                s.sendall(self.junk(4000))
                s.shutdown(socket.SHUT_WR)
                s.settimeout(5)
                while s.recv(65536):
                    pass

    def query(self):
        r = self.random
        names = ["setup", "units", "inputs", "travel", "hand_wheel", "left", "right", "of", "base",
                 "temperature", "engine_speed", "road_speed"]  # fmt: skip
        values = ["calm", "keen", "0.01", "-0.5", "1e999", "nan", "%00", "%ff", "%", "x" * 100, "", "0x1p3",
                  "linkage", "metric", "0.49999", "1e-320", "+1"]  # fmt: skip
        pairs = [f"{r.choice(names)}={r.choice(values)}" for _ in range(r.randrange(4))]
        return "?" + "&".join(pairs) if pairs else ""

    def test_it_goes_on_answering(self):
        self.known = 1
        until = time.monotonic() + SECONDS
        sent, statuses = 0, {}
        connection = self.server.connect(timeout=20)
        while time.monotonic() < until:
            if self.random.randrange(20) == 0:
                self.raw()
                sent += 1
                continue
            method, path = self.random.choice(self.routes)
            body = self.body() if method == "POST" else None
            try:
                connection.request(method, path + self.query(), body, JSON if body else {})
                answer = connection.getresponse()
                said = answer.read()
            except OSError:
                # Not before it has ended a connection for a reason of its own.
                connection.close()
                connection = self.server.connect(timeout=20)
                continue
            sent += 1
            statuses[answer.status] = statuses.get(answer.status, 0) + 1
            self.assertNotIn(answer.status, (500, 503), (method, path, body, said))
            if answer.status == 200 and b'"revision"' in said[:20]:
                self.known = json.loads(said)["revision"]
        connection.close()
        print(f"{sent} requests in {SECONDS:.0f} s (seed {SEED}): {statuses}", flush=True)
        self.assertGreater(sent, 50 * SECONDS / PATIENCE)
        self.assertIsNone(self.server.process.poll())
        self.server.get("/api/document")
