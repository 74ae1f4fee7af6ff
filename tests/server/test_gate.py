"""Who is answered, and in which form: hosts, origins, pairing, bodies, headers, the page."""

import contextlib
import json
import re
import socket
import time
import unittest

from api import JSON, PATIENCE, SANITIZED, Case, Server, check_answer

EDIT = {"base": 1, "client": "c", "edits": [{"path": "car.wheelbase", "value": "2.5 m"}]}


def lan_address():
    """An address of this machine that is not loopback; None without a network."""
    with contextlib.closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as s:
        with contextlib.suppress(OSError):
            s.connect(("192.0.2.1", 9))  # documentation range: nothing is sent
            address = s.getsockname()[0]
            return None if address.startswith("127.") else address
    return None


class Hosts(Case):
    def talk(self, text):
        """Status of the answer to bytes sent as they are; None when there is none."""
        with contextlib.closing(socket.create_connection(("127.0.0.1", self.server.port), 20)) as s:
            s.sendall(text.encode("latin-1"))
            said = s.recv(65536)
        found = re.match(rb"HTTP/1\.[01] (\d+)", said)
        return int(found.group(1)) if found else None

    def test_only_its_own_names(self):
        port = self.server.port
        for host in (f"127.0.0.1:{port}", f"localhost:{port}", f"LOCALHOST:{port}", f"[::1]:{port}"):
            self.server.get("/api/session", Host=host)
            self.assertEqual(self.server.raw("GET", "/", headers={"Host": host}).status, 200)
        for host in ("evil.example", f"evil.example:{port}", "127.0.0.1", f"127.0.0.1:{port + 1}",
                     f"localhost.evil.example:{port}", f"127.0.0.1:{port}.evil.example", f"10.0.0.1:{port}",
                     f"user@127.0.0.1:{port}"):  # fmt: skip
            for path in ("/api/session", "/", "/api/events"):
                answer = self.server.raw("GET", path, headers={"Host": host})
                self.assertEqual((answer.status, answer.code()), (421, "host"), host)

    def test_host_missing_or_twice(self):
        port = self.server.port
        for path in ("/api/session", "/"):
            self.assertEqual(self.talk(f"GET {path} HTTP/1.1\r\n\r\n"), 421)
            self.assertEqual(self.talk(f"GET {path} HTTP/1.0\r\n\r\n"), 421)
            self.assertEqual(self.talk(f"GET {path} HTTP/1.1\r\nHost:\r\n\r\n"), 421)
            twice = f"Host: 127.0.0.1:{port}\r\n" * 2
            self.assertEqual(self.talk(f"GET {path} HTTP/1.1\r\n{twice}\r\n"), 400)

    def test_other_sites(self):
        own = f"http://127.0.0.1:{self.server.port}"
        before = self.server.revision()
        for origin in ("http://evil.example", "null", f"https://127.0.0.1:{self.server.port}",
                       own + ".evil.example", f"http://localhost:{self.server.port}", "x"):  # fmt: skip
            self.assertEqual(self.server.get("/api/document", 403, Origin=origin).code(), "origin")
            self.assertEqual(self.server.post("/api/edit", EDIT, 403, Origin=origin).code(), "origin")
        for site in ("cross-site", "same-site"):
            headers = {"Sec-Fetch-Site": site}
            self.server.get("/api/document", 403, **headers)
            self.server.post("/api/undo", {"base": 1, "client": "c"}, 403, **headers)
            # A link to the page from elsewhere is followed.
            self.assertEqual(self.server.raw("GET", "/", headers=headers).status, 200)
        self.server.get("/api/document", Origin=own, **{"Sec-Fetch-Site": "same-origin"})
        self.server.get("/api/document", **{"Sec-Fetch-Site": "none"})
        self.assertEqual(self.server.revision(), before)

    def test_a_form_of_another_site_cannot_post(self):
        for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x",
                     "", "application/json; charset=latin-1", "application/jsonx", "text/json"):  # fmt: skip
            headers = {"Content-Type": kind} if kind else {}
            answer = self.server.ask("POST", "/api/edit", json.dumps(EDIT), headers)
            self.assertEqual((answer.status, answer.code()), (415, "type"), kind)
        self.server.post("/api/edit", EDIT, 200, **{"Content-Type": "Application/JSON; charset=UTF-8"})

    def test_lengths_of_bodies(self):
        head = f"POST /api/undo HTTP/1.1\r\nHost: localhost:{self.server.port}\r\n"
        head += "Content-Type: application/json\r\n"
        self.assertEqual(self.talk(head + "\r\n"), 411)
        self.assertEqual(self.talk(head + "Content-Length: 2\r\nContent-Length: 2\r\n\r\n{}"), 400)
        self.assertEqual(self.talk(head + "Content-Length: -2\r\n\r\n{}"), 400)
        self.assertEqual(self.talk(head + "Content-Length: 2x\r\n\r\n{}"), 400)
        both = "Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n"
        self.assertEqual(self.talk(head + both), 400)
        self.assertEqual(self.talk(head + "Transfer-Encoding: gzip, chunked\r\n\r\n0\r\n\r\n"), 400)
        for encoding in ("gzip", "br", "deflate"):
            self.assertEqual(
                self.talk(head + f"Content-Encoding: {encoding}\r\nContent-Length: 2\r\n\r\n{{}}"), 415
            )
        get = f"GET /api/document HTTP/1.1\r\nHost: localhost:{self.server.port}\r\n"
        self.assertEqual(self.talk(get + "Content-Length: 2\r\n\r\n{}"), 400)
        self.assertEqual(self.talk(get + "Transfer-Encoding: chunked\r\n\r\n0\r\n\r\n"), 400)
        self.assertEqual(self.talk(get + "Range: bytes=0-1,0-1\r\n\r\n"), 416)

    def test_chunked_bodies_are_read_and_bounded(self):
        def chunked(path, pieces):
            with contextlib.closing(self.server.connect()) as c:
                c.request("POST", path, iter(pieces), JSON, encode_chunked=True)
                answer = c.getresponse()
                return answer.status, json.loads(answer.read())

        text = json.dumps({**EDIT, "base": self.server.revision()}).encode()
        status, _ = chunked("/api/edit", [text[:10], text[10:]])
        self.assertEqual(status, 200)
        status, body = chunked("/api/edit", [b"x" * 100_000] * 20)
        self.assertEqual((status, body["error"]["code"]), (413, "size"))

    def test_too_large(self):
        for path, size in (("/api/undo", 5_000), ("/api/edit", 1_100_000), ("/api/import", 40_000_000)):
            answer = self.server.ask("POST", path, b" " * size, JSON)
            self.assertEqual((answer.status, answer.code()), (413, "size"), path)
        large = json.dumps({"base": 1, "client": "c", "text": "#" * (16 << 20) + "\n"})
        self.assertEqual(self.server.ask("POST", "/api/import", large, JSON).status, 422)

    def test_other_methods_and_addresses(self):
        for method in ("PUT", "PATCH", "DELETE"):
            answer = self.server.ask(method, "/api/document", "{}", JSON)
            self.assertIn(answer.status, (400, 405), method)
        self.assertEqual(self.server.ask("OPTIONS", "/api/document").status, 405)
        self.assertEqual(self.server.raw("HEAD", "/api/document").status, 200)
        self.assertEqual(self.server.get("/api/edit", 405).code(), "method")
        self.assertEqual(self.server.post("/api/document", {}, 405).code(), "method")
        for path in ("/api/", "/api", "/api/none", "/../etc/passwd", "/%2e%2e/etc/passwd", "/x.html",
                     "/api/jobs/", "/api/jobs/x", "/api/jobs/1/stop/", "/api/document/"):  # fmt: skip
            answer = self.server.raw("GET", path)
            self.assertEqual((answer.status, answer.code()), (404, "route"), path)

    def test_headers_of_every_answer(self):
        for path in ("/", "/api/session", "/api/none"):
            headers = self.server.raw("GET", path).headers
            policy = headers["Content-Security-Policy"]
            for part in ("default-src 'none'", "script-src 'self'", "frame-ancestors 'none'",
                         "base-uri 'none'", "form-action 'none'", "connect-src 'self'"):  # fmt: skip
                self.assertIn(part, policy)
            self.assertNotIn("unsafe", policy)
            self.assertEqual(headers["X-Content-Type-Options"], "nosniff")
            self.assertEqual(headers["Cross-Origin-Resource-Policy"], "same-origin")
            self.assertNotIn("Access-Control-Allow-Origin", headers)
            self.assertIn("Cache-Control", headers)


class Framing(Case):
    """Where one request ends and the next begins: each case with another request behind it."""

    def statuses(self, text, shut=False):
        """Statuses of all answers to bytes sent as they are, and whether the server hung up."""
        port = self.server.port
        behind = f"GET /api/none HTTP/1.1\r\nHost: localhost:{port}\r\n\r\n"
        with contextlib.closing(socket.create_connection(("127.0.0.1", port), 20)) as s:
            s.sendall(text.replace("HOST", f"Host: localhost:{port}").encode("latin-1") + behind.encode())
            if shut:
                s.shutdown(socket.SHUT_WR)
            said, closed = b"", False
            s.settimeout(min(PATIENCE, 3.0))  # less than the server waits for a next request
            with contextlib.suppress(TimeoutError):
                while not (closed := not (got := s.recv(65536))):
                    said += got
        return [int(x) for x in re.findall(rb"HTTP/1\.[01] (\d+)", said)], closed

    def test_requests_one_after_another(self):
        get = "GET /api/session HTTP/1.1\r\nHOST\r\n\r\n"
        self.assertEqual(self.statuses(get * 3), ([200, 200, 200, 404], False))
        self.assertEqual(self.statuses(get.replace("GET", "HEAD")), ([200, 404], False))
        self.assertEqual(self.statuses(get, shut=True), ([200, 404], True))
        self.assertEqual(self.statuses(get.replace("HTTP/1.1", "HTTP/1.0")), ([200], True))
        close = get.replace("HOST", "HOST\r\nConnection: close")
        self.assertEqual(self.statuses(close), ([200], True))
        absolute = f"GET http://localhost:{self.server.port}/api/session HTTP/1.1\r\nHOST\r\n\r\n"
        self.assertEqual(self.statuses(absolute), ([200, 404], False))
        elsewhere = "GET http://evil.example/api/session HTTP/1.1\r\nHOST\r\n\r\n"
        self.assertEqual(self.statuses(elsewhere), ([404, 404], False))

    def test_bodies_that_are_refused_leave_the_next_request_alone(self):
        head = "POST {} HTTP/1.1\r\nHOST\r\nContent-Type: application/json\r\n"
        for path, status in (("/api/none", 404), ("/api/document", 405), ("/api/undo", 400)):
            whole = head.format(path) + "Content-Length: 2\r\n\r\n[]"
            self.assertEqual(self.statuses(whole), ([status, 404], False), path)
            pieces = head.format(path) + "Transfer-Encoding: chunked\r\n\r\n2;x=1\r\n[]\r\n0\r\nA: b\r\n\r\n"
            self.assertEqual(self.statuses(pieces), ([status, 404], False), path)
        # What cannot be told apart ends the connection.
        for odd in ("Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
                    "Content-Length: 2\r\nContent-Length: 3\r\n\r\n[]",
                    "Transfer-Encoding: chunked, identity\r\n\r\n0\r\n\r\n",
                    "Transfer-Encoding: chunked\r\n\r\n-1\r\n\r\n"):  # fmt: skip
            found, closed = self.statuses(head.format("/api/undo") + odd)
            self.assertEqual((found, closed), ([400], True), odd)

    def test_a_body_that_waits_for_word(self):
        head = "POST {} HTTP/1.1\r\nHOST\r\nContent-Type: application/json\r\nExpect: 100-continue\r\n"
        wanted = head.format("/api/undo") + "Content-Length: 2\r\n\r\n[]"
        self.assertEqual(self.statuses(wanted), ([100, 400, 404], False))
        unwanted = head.format("/api/none") + "Content-Length: 2\r\n\r\n"
        self.assertEqual(self.statuses(unwanted), ([404], True))
        old = head.replace("HTTP/1.1", "HTTP/1.0").format("/api/undo") + "Content-Length: 2\r\n\r\n[]"
        self.assertEqual(self.statuses(old), ([400], True))

    def test_large_heads(self):
        for large in ("GET /" + "x" * 20_000 + " HTTP/1.1\r\nHOST\r\n\r\n",
                      "GET / HTTP/1.1\r\nHOST\r\nX: " + "x" * 20_000 + "\r\n\r\n"):  # fmt: skip
            found, closed = self.statuses(large)
            self.assertEqual((found, closed), ([431], True))

    def test_a_stream_for_an_old_client_has_no_pieces(self):
        with contextlib.closing(socket.create_connection(("127.0.0.1", self.server.port), 20)) as s:
            s.sendall(f"GET /api/events HTTP/1.0\r\nHost: localhost:{self.server.port}\r\n\r\n".encode())
            said = b""
            while b"retry" not in said:
                said += s.recv(65536)
        self.assertNotIn(b"chunked", said.lower())
        self.assertIn(b"\r\n\r\nretry: 1000\n", said)

    def test_framing_without_end(self):
        """Sizes, extensions and trailers of pieces are bounded as well, for whoever sends them."""
        head = "{} HTTP/1.1\r\nHost: {}\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
        own = f"localhost:{self.server.port}"
        for target, host in (("POST /api/edit", own), ("POST /api/none", own), ("GET /api/document", own),
                             ("POST /api/edit", "evil.example")):  # fmt: skip
            for start, more in (("1;", "a"), ("0\r\n", "A: b\r\n"), ("", "0")):
                sent = 0
                with contextlib.closing(socket.create_connection(("127.0.0.1", self.server.port), 20)) as s:
                    with contextlib.suppress(ConnectionError):
                        s.sendall((head.format(target, host) + start).encode())
                        piece = (more * 65536)[:65536].encode()
                        while sent < 64 << 20:
                            s.sendall(piece)
                            sent += len(piece)
                self.assertLess(sent, 16 << 20, (target, start))


class Page(Case):
    def test_the_page_or_a_word_that_there_is_none(self):
        page = self.server.raw("GET", "/")
        self.assertEqual(page.status, 200)
        self.assertTrue(page.headers["Content-Type"].startswith("text/html"))
        self.assertIn(b"<!doctype html>", page.body.lower())
        if "ETag" not in page.headers:
            self.assertIn(b"without the workbench", page.body)
            return
        self.assertEqual(page.headers["Cache-Control"], "no-cache")
        again = self.server.raw("GET", "/", headers={"If-None-Match": page.headers["ETag"]})
        self.assertEqual((again.status, again.body), (304, b""))
        for path in re.findall(r'(?:src|href)="(/assets/[^"]+)"', page.body.decode()):
            asset = self.server.raw("GET", path, headers={"Accept-Encoding": "gzip"})
            self.assertEqual(asset.status, 200, path)
            self.assertEqual(asset.headers["Content-Encoding"], "gzip")
            self.assertIn("immutable", asset.headers["Cache-Control"])


LAN = lan_address()
MOST_OF_PEER = 32
MOST = 768
HUNG_UP_ON = 10  # [s] after which a connection that does not go on is hung up on


def code_of(server):
    return re.search(r"code (\d{8})", server.greeting).group(1)


@unittest.skipUnless(LAN, "this machine has no network")
class Pairing(unittest.TestCase):
    """A server that is open to the network; asked at the machine's own address there."""

    def setUp(self):
        self.server = Server("--lan")
        self.addCleanup(self.server.stop)
        self.code = code_of(self.server)

    def ask(self, method, path, body=None, **headers):
        headers = {**(JSON if body is not None else {}), **headers}
        body = None if body is None else json.dumps(body)
        return self.server.ask(method, path, body, headers, host=LAN)

    def test_nothing_without_the_code(self):
        session = self.ask("GET", "/api/session").json()
        self.assertEqual(
            (session["lan"], session["paired"], session["client_is_loopback"], session["title"]),
            (True, False, False, None),
        )
        for path in ("document", "export", "history", "fields", "check", "turn", "events"):
            answer = self.ask("GET", f"/api/{path}")
            self.assertEqual((answer.status, answer.code()), (401, "pair"), path)
        self.assertEqual(self.ask("POST", "/api/edit", EDIT).status, 401)
        self.assertEqual(self.server.raw("GET", "/", host=LAN).status, 200)
        # The machine itself needs none, and has the code as a picture.
        self.server.get("/api/document")
        self.assertIn(b"<svg", self.server.get("/api/session/qr.svg").body)
        self.assertEqual(self.ask("GET", "/api/session/qr.svg").status, 401)

    def test_the_code_lets_in(self):
        paired = self.ask("POST", "/api/pair", {"code": self.code})
        self.assertEqual(paired.status, 200)
        cookie = paired.headers["Set-Cookie"]
        for part in ("HttpOnly", "SameSite=Strict", "Path=/"):
            self.assertIn(part, cookie)
        mine = {"Cookie": f"other=1; {cookie.split(';')[0]}"}
        self.assertTrue(self.ask("GET", "/api/session", **mine).json()["paired"])
        self.assertEqual(self.ask("POST", "/api/edit", EDIT, **mine).status, 200)
        self.assertEqual(self.ask("GET", "/api/session/qr.svg", **mine).status, 403)
        name = f"steerbench-{self.server.port}"
        for cookie in (f"{name}=", f"{name}=" + "0" * 32, "x", name):
            self.assertEqual(self.ask("GET", "/api/document", Cookie=cookie).status, 401)
        # A name that resolves to this address is still another host.
        self.assertEqual(self.ask("GET", "/api/document", Host="car.example", **mine).status, 421)

    def test_few_tries(self):
        wrong = "12345678" if self.code != "12345678" else "87654321"
        codes = [self.ask("POST", "/api/pair", {"code": wrong}).code() for _ in range(6)]
        self.assertEqual(codes, ["code"] * 4 + ["locked"] * 2)
        self.assertEqual(self.ask("POST", "/api/pair", {"code": self.code}).code(), "locked")
        self.assertEqual(self.ask("POST", "/api/pair", {"code": 1}).status, 400)

    def test_code_is_another_each_time(self):
        other = Server("--lan")
        self.addCleanup(other.stop)
        self.assertNotIn(self.code, other.greeting)

    def test_two_servers_do_not_take_each_others_cookie(self):
        """Cookies know no ports: with one name for all, the second would overwrite the first."""
        other = Server("--lan")
        self.addCleanup(other.stop)
        mine, theirs = (
            server.ask("POST", "/api/pair", json.dumps({"code": code}), JSON, host=LAN)
            .headers["Set-Cookie"].split(";")[0]
            for server, code in ((self.server, self.code), (other, code_of(other)))
        )  # fmt: skip
        self.assertNotEqual(mine.split("=")[0], theirs.split("=")[0])
        both = {"Cookie": f"{mine}; {theirs}"}
        for server in (self.server, other):
            self.assertEqual(server.ask("GET", "/api/document", headers=both, host=LAN).status, 200)
        self.assertEqual(self.ask("GET", "/api/document", Cookie=theirs).status, 401)

    def test_one_peer_has_so_many_connections(self):
        with contextlib.ExitStack() as stack:
            for _ in range(MOST_OF_PEER):
                self.half_a_request(stack, LAN)
            # A connection counts once the server has taken it, which may be a moment later: one that
            # asks meanwhile can take the place of another.
            self.await_status(503, lambda: self.half_a_request(stack, LAN))
            self.assertEqual(self.ask("GET", "/api/session").code(), "busy")
            self.server.get("/api/session")  # the machine itself is another peer
        self.await_status(200)

    def half_a_request(self, stack, host):
        s = socket.create_connection((host, self.server.port), 20)
        stack.enter_context(contextlib.closing(s))
        s.sendall(b"GET /api/ses")

    def await_status(self, status, meanwhile=lambda: None):
        for _ in range(100):
            if self.ask("GET", "/api/session").status == status:
                return
            meanwhile()
            time.sleep(0.1)
        self.fail(f"never answered with {status}")

    def test_every_address_is_told(self):
        told = re.findall(r"http://([\d.]+):\d+/$", self.server.greeting, re.MULTILINE)
        self.assertIn(LAN, told)
        addresses = self.server.get("/api/session").json()["addresses"]
        self.assertEqual([f"http://{a}:{self.server.port}" for a in told[1:]], addresses)
        for at in range(len(addresses)):
            self.assertIn(b"<svg", self.server.get(f"/api/session/qr.svg?address={at}").body)
        self.server.get(f"/api/session/qr.svg?address={len(addresses)}", 404)
        self.assertEqual(self.ask("GET", "/api/session").json()["addresses"], [])


class Loopback(Case):
    def test_not_open_to_the_network_unless_asked(self):
        self.assertEqual(self.server.get("/api/session/qr.svg", 404).code(), "lan")
        self.assertEqual(self.server.post("/api/pair", {"code": "1"}, 404).code(), "pair")
        if LAN:
            with self.assertRaises(ConnectionRefusedError):
                self.server.raw("GET", "/api/session", host=LAN)


class Crowded(unittest.TestCase):
    """More connections than there are threads for: turned away in words, and nothing else breaks."""

    def crowd(self, server, count):
        """How many of so many connections are turned away."""
        away = 0
        with contextlib.ExitStack() as stack:
            held, began = [], time.monotonic()
            for _ in range(count):
                s = socket.create_connection(("127.0.0.1", server.port), 20)
                stack.enter_context(contextlib.closing(s))
                s.sendall(b"GET /api/ses")
                held.append(s)
            time.sleep(0.5)
            if time.monotonic() - began > HUNG_UP_ON / 2:
                self.skipTest("this machine is too slow to fill the server before it hangs up")
            for s in held:
                s.settimeout(0.002)
                with contextlib.suppress(TimeoutError):
                    said = s.recv(4096)
                    self.assertTrue(said.startswith(b"HTTP/1.1 503 "), said)
                    self.assertIn(b'"busy"', said)
                    away += 1
        for _ in range(100):
            with contextlib.suppress(OSError):
                if server.raw("GET", "/api/session").status == 200:
                    return away
            time.sleep(0.1)
        self.fail("the server does not come back")

    @unittest.skipIf(SANITIZED, "a thread of a sanitizer takes far more memory")
    def test_more_than_most(self):
        server = Server()
        self.addCleanup(server.stop)
        self.assertEqual(self.crowd(server, MOST + 20), 20)

    @unittest.skipIf(SANITIZED, "a sanitizer takes terabytes of address space")
    def test_without_threads_to_be_had(self):
        server = Server(memory=2 << 30)  # each thread sets 8 MiB aside for its stack
        self.addCleanup(server.stop)
        self.assertGreater(self.crowd(server, 300), 20)


class Slow(Case):
    def test_slow_senders_do_not_hold_up_others(self):
        port = self.server.port
        head = f"POST /api/edit HTTP/1.1\r\nHost: localhost:{port}\r\nContent-Type: application/json\r\n"
        starts = ["", "G", "GET /api/doc", head, head + "Content-Length: 100\r\n\r\n{",
                  head + "Transfer-Encoding: chunked\r\n\r\n5\r\n{"]  # fmt: skip
        slow = []
        for start in starts * 10:
            s = socket.create_connection(("127.0.0.1", port), 20)
            s.sendall(start.encode())
            slow.append(s)
        began = time.monotonic()
        for _ in range(20):
            self.server.get("/api/session")
        self.assertLess(time.monotonic() - began, 5 * PATIENCE)
        # They are hung up on in the end.
        slow[0].settimeout(30)
        self.assertEqual(slow[0].recv(1), b"")
        for s in slow:
            s.close()
