"""Runs of the real server for the tests beside this file: standard library, PyYAML, jsonschema.

Every answer that a test gets is held against docs/openapi.yaml: the route must be described there,
with this status, and a JSON body must fit its schema.
"""

import contextlib
import http.client
import json
import os
import pathlib
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import unittest

import jsonschema
import yaml

ROOT = pathlib.Path(__file__).resolve().parents[2]
BINARY = pathlib.Path(os.environ["STEERBENCH"]).resolve()
# A build with sanitizers is several times slower and keeps memory that was given back: bounds of
# time are this much wider for it, and memory is not held to any.
SANITIZED = os.environ.get("STEERBENCH_SANITIZE") == "1"
PATIENCE = 10 if SANITIZED else 1
TERN = ROOT / "examples" / "tern.toml"
OPENAPI = yaml.safe_load((ROOT / "docs" / "openapi.yaml").read_text())

JSON = {"Content-Type": "application/json"}


def follow(node):
    """A node of the description, or what it refers to."""
    while "$ref" in node:
        at = OPENAPI
        for step in node["$ref"].removeprefix("#/").split("/"):
            at = at[step]
        node = at
    return node


def described(path):
    """The item of `paths` for a path, or None."""
    for pattern, item in OPENAPI["paths"].items():
        if re.fullmatch(re.sub(r"\{\w+\}", r"[^/]+", pattern), path):
            return item
    return None


def validator(schema):
    """Of a schema whose references are those of the whole description."""
    return jsonschema.Draft202012Validator({**schema, "components": OPENAPI["components"]})


def check_answer(method, path, answer):
    """Raises AssertionError when an answer is not what the description says."""
    item = described(path)
    operation = (item or {}).get(method.lower().replace("head", "get"))
    responses = operation["responses"] if operation else {}
    response = responses.get(str(answer.status), None)
    if response is None:
        # No route of its own: any refusal has the shape of an error.
        assert answer.status >= 400, (method, path, answer.status)
        response = OPENAPI["components"]["responses"]["Error"]
    content = follow(response)["content"]
    kind = answer.headers["Content-Type"].split(";")[0]
    assert kind in content, (method, path, kind)
    if kind != "application/json" or method == "HEAD":
        return
    errors = list(validator(content[kind]["schema"]).iter_errors(answer.json()))
    assert not errors, (method, path, [f"{list(e.absolute_path)}: {e.message}" for e in errors[:3]])


class Answer:
    def __init__(self, response):
        self.status = response.status
        self.headers = response.headers
        self.body = response.read()

    def json(self):
        return json.loads(self.body)

    def code(self):
        return self.json()["error"]["code"]


class Server:
    """A server on a file of its own in an empty directory, on a free port."""

    def __init__(self, *options, text=None, memory=None):
        """`memory` bounds the program's address space [bytes]."""
        self.memory = memory
        self.here = pathlib.Path(tempfile.mkdtemp(prefix="steerbench-"))
        self.file = self.here / "my-car.toml"
        self.file.write_text(TERN.read_text() if text is None else text)
        self.options = options
        self.log = open(self.here / "log", "w+")
        self.start()

    def start(self):
        self.process = subprocess.Popen(
            [BINARY, "serve", self.file, "--no-open", *self.options],
            stdout=subprocess.PIPE,
            stderr=self.log,
            text=True,
            preexec_fn=self.bound if self.memory else None,
        )
        self.greeting = ""
        for line in self.process.stdout:
            self.greeting += line
            if line.startswith("Ends with"):
                break
        found = re.search(r"http://127\.0\.0\.1:(\d+)/", self.greeting)
        if not found:
            raise AssertionError(self.greeting + self.complaints())
        self.port = int(found.group(1))

    def bound(self):
        resource.setrlimit(resource.RLIMIT_AS, (self.memory, self.memory))

    def complaints(self):
        self.log.flush()
        self.log.seek(0)
        return self.log.read()

    def kill(self):
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        self.process.stdout.close()

    def stop(self):
        """Ends it as Ctrl-C does; it must do so cleanly and have complained of nothing."""
        self.process.send_signal(signal.SIGINT)
        try:
            status = self.process.wait(timeout=20 * PATIENCE)
        finally:
            self.process.kill()
            self.process.stdout.close()
        said = self.complaints()
        self.log.close()
        shutil.rmtree(self.here)
        assert (status, said) == (0, ""), (status, said)

    def connect(self, timeout=30, host="127.0.0.1"):
        return http.client.HTTPConnection(host, self.port, timeout=timeout * PATIENCE)

    def raw(self, method, path, body=None, headers=None, host="127.0.0.1"):
        """One request on a connection of its own, not held against the description."""
        with contextlib.closing(self.connect(host=host)) as c:
            c.request(method, path, body, headers or {})
            return Answer(c.getresponse())

    def ask(self, method, path, body=None, headers=None, host="127.0.0.1"):
        answer = self.raw(method, path, body, headers, host)
        check_answer(method, path.split("?")[0], answer)
        return answer

    def get(self, path, status=200, **headers):
        answer = self.ask("GET", path, headers=headers)
        assert answer.status == status, (path, answer.status, answer.body[:500])
        return answer

    def post(self, path, body, status=200, **headers):
        answer = self.ask("POST", path, json.dumps(body), {**JSON, **headers})
        assert answer.status == status, (path, answer.status, answer.body[:500])
        return answer

    def edit(self, path, value, base=None, client="test", status=200, **more):
        """Sets one field; on the newest revision unless told otherwise."""
        base = self.revision() if base is None else base
        edits = [{"path": path, "value": value}]
        return self.post("/api/edit", {"base": base, "client": client, "edits": edits, **more},
                         status)  # fmt: skip

    def revision(self):
        return self.get("/api/document").json()["revision"]


class Case(unittest.TestCase):
    """Tests that share one server; each leaves the document as it likes."""

    OPTIONS = ()

    @classmethod
    def setUpClass(cls):
        cls.server = Server(*cls.OPTIONS)

    @classmethod
    def tearDownClass(cls):
        cls.server.stop()


if __name__ == "__main__":
    sys.exit("run: STEERBENCH=... python3 -m unittest discover -s tests/server")
