#!/usr/bin/env python3
"""What a daemon answers is what its description says: each GET route and the changes, held against
the schemas with Python's jsonschema. Keys that the description does not have are mistakes, too."""

import http.client
import json
import os
import pathlib
import subprocess
import unittest

import jsonschema

from rig import CUP, Rig, UnixConnection, free_port, repeated_after_stalls

ADDED = {"name": "added", "role": "added", "column": 2}
SHEET = """[sheet]
title = "A day"
[[instrument]]
name = "cylinder"
u_volume_mL = 0.25
[[trial]]
name = "warm"
purpose = "calorimeter constant"
repeats = 2
cup = { substance = "water", volume_mL = 50.0, by = "cylinder" }
added = { substance = "water", volume_mL = 50.0, by = "cylinder" }
"""
BASE = "http://bench/v1/"
SOURCES = pathlib.Path(__file__).parents[2]
FILLED_IN = {"run": "1", "number": "1", "language": "en", "file": "app.js"}
POINT = {"true_degC": 0.0, "reading_degC": 0.1, "u_true_K": 0.01, "u_reading_K": 0.01,
         "source": "ice"}
# What changes things, in an order in which each can be done.
CHANGES = [("/v1/trial", {"trial": "warm"}),
           ("/v1/amounts", {"trial": "warm", "part": "cup", "key": "volume_mL", "value": 51.0}),
           ("/v1/sheet/reload", {}), ("/v1/sync", {}),
           ("/v1/runs/{run}/strike", {"reason": "spilt"}),
           ("/v1/runs/{run}/restore", {"reason": "not spilt"}),
           ("/v1/runs/{run}/assign", {"trial": "none"}),
           ("/v1/runs/{run}/assign", {"trial": "warm"}),
           ("/v1/calibrations", {"probe": "cup", "kind": "offset", "points": [POINT]}),
           ("/v1/calibrations", {"probe": "cup", "kind": "time constant", "value_s": 4, "u_s": 1}),
           ("/v1/calibrations", {"probe": "cup", "kind": "difference", "other": "added",
                                 "reading_degC": 20, "other_reading_degC": 20.1,
                                 "u_difference_K": 0.01}),
           ("/v1/calibrations", {"probe": "cup", "kind": "again"})]


def closed(part):
    """The schema with no further keys allowed where it names some."""
    if isinstance(part, list):
        return [closed(one) for one in part]
    if not isinstance(part, dict):
        return part
    more = {key: closed(value) for key, value in part.items()}
    if part.get("type") in ("object", ["object", "null"]) and "properties" in part:
        more.setdefault("additionalProperties", False)
    return more


class DescribedRig(Rig):
    def __init__(self):
        self.tcp_port = free_port()
        super().__init__("one-trial.toml", probes=[CUP, ADDED], after_period_s=60,
                         sheet="day.toml", listen=f"127.0.0.1:{self.tcp_port}")
        (self.folder / "day.toml").write_text(SHEET, encoding="utf-8")

    def exchange(self, method, path, body=None, local=True, **head):
        """@return status code, media type, body"""
        line = (UnixConnection(self.socket_path) if local
                else http.client.HTTPConnection("127.0.0.1", self.tcp_port, timeout=30))
        try:
            text = None if body is None else json.dumps(body)
            if text is not None:
                head["Content-Type"] = "application/json"
            line.request(method, path, body=text, headers=head)
            response = line.getresponse()
            kind = response.headers["Content-Type"].split(";")[0]
            return response.status, kind, response.read().decode("utf-8")
        finally:
            line.close()


class Described(unittest.TestCase):
    def learn(self, rig):
        """Takes the description from the daemon itself."""
        documents = {}
        for name, file in (("openapi.json", "daemon/api/openapi.json"),
                           ("run_record.schema.json", "core/record/run_record.schema.json")):
            code, kind, text = rig.exchange("GET", f"/v1/{name}")
            self.assertEqual((code, kind), (200, "application/json"))
            self.assertTrue(text == (SOURCES / file).read_text(encoding="utf-8"), name)
            documents[BASE + name] = json.loads(text)
        self.description = documents[BASE + "openapi.json"]
        documents[BASE + "openapi.json"] = closed(self.description)
        self.resolver = jsonschema.RefResolver(BASE, {}, store=documents)

    def hold(self, method, path, answer):
        """Holds one answer against what is said of it."""
        code, kind, text = answer
        responses = self.description["paths"][path][method]["responses"]
        said = str(code) if str(code) in responses else "default"
        place = f"/paths/{path.replace('/', '~1')}/{method}/responses/{said}"
        if said == "default":
            self.assertGreaterEqual(code, 400, (path, text[:200]))
            place = "/components/responses/Error"
            content = self.description["components"]["responses"]["Error"]["content"]
        else:
            content = responses[said]["content"]
        self.assertIn(kind, content, path)
        if kind != "application/json":
            return
        self.hold_at(place + "/content/application~1json/schema", json.loads(text),
                     f"{method} {path}")

    def hold_at(self, place, value, what):
        """Holds a value against the schema at this place of the description."""
        validator = jsonschema.Draft202012Validator({"$ref": f"{BASE}openapi.json#{place}"},
                                                    resolver=self.resolver)
        for error in validator.iter_errors(value):
            details = [part.message for part in error.context or []]
            self.fail(f"{what}: {error.json_path}: {error.message} {details}")

    def hold_all(self, rig, wanted=200, local=True):
        """Every GET route once."""
        asked = 0
        for path, methods in self.description["paths"].items():
            only_tcp = path == "/" or path.startswith(("/{file}", "/texts/"))
            if "get" not in methods or (local and only_tcp):
                continue
            answer = rig.exchange("GET", path.format(**FILLED_IN), local=local)
            if wanted and path != "/v1/stream":
                here = 404 if (path, wanted) == ("/v1/class", 200) else wanted  # it has no [class]
                self.assertEqual(answer[0], here, (path, answer[2][:200]))
            self.hold("get", path, answer)
            asked += 1
        self.assertGreaterEqual(asked, 16)

    def change(self, rig, path, body, wanted=200):
        answer = rig.exchange("POST", path.format(**FILLED_IN), body)
        self.assertEqual(answer[0], wanted, (path, answer[2]))
        self.hold("post", path, answer)
        if wanted == 200 and "requestBody" in self.description["paths"][path]["post"]:
            self.hold_at(f"/paths/{path.replace('/', '~1')}/post/requestBody/content/"
                         "application~1json/schema", body, f"what is sent to {path}")

    def sign_in(self, rig):
        done = subprocess.run(
            [os.environ["NESTCUP"], "token", "add", "tablet", "--role", "viewer", "--bench",
             str(rig.bench_path)], capture_output=True, encoding="utf-8", check=True)
        token = done.stdout.splitlines()[0]
        for path, body in (("/v1/login", {"token": token}), ("/v1/logout", {}),
                           ("/v1/login", {"token": "wrong"})):
            answer = rig.exchange("POST", path, body, local=False)
            self.assertEqual(answer[0], 401 if body.get("token") == "wrong" else 200, answer[2])
            self.hold("post", path, answer)

    @repeated_after_stalls
    def test_answers_are_as_described(self):
        with DescribedRig() as rig:
            rig.start_daemon()
            self.learn(rig)
            self.hold_all(rig, wanted=None)  # no reading, no run: refusals, too
            rig.start_board()
            rig.wait_state("running")
            self.change(rig, "/v1/mark", {"seconds_ago": 1.0})
            rig.wait_after_period(45)
            self.hold("get", "/v1/status", rig.exchange("GET", "/v1/status"))
            self.change(rig, "/v1/finish", {})
            rig.wait_run()
            self.hold_all(rig)
            for path, body in CHANGES:
                self.change(rig, path, body)
            self.change(rig, "/v1/runs/{run}/strike", {}, wanted=400)
            self.change(rig, "/v1/finish", {}, wanted=409)
            self.hold_all(rig)
            self.sign_in(rig)
            self.change(rig, "/v1/results/hidden", {"hidden": True})
            self.hold_all(rig, wanted=None, local=False)  # the report is refused


if __name__ == "__main__":
    unittest.main()
