#!/usr/bin/env python3
"""The description of the interface keeps to OpenAPI's rules, and one that breaks them is refused.

valid_test.py NODE FOLDER  FOLDER has check.mjs with what it needs, and the description.
"""

import copy
import json
import pathlib
import subprocess
import sys
import unittest

NODE, FOLDER = sys.argv[1], pathlib.Path(sys.argv[2])
DESCRIPTION = json.loads((FOLDER / "openapi.json").read_text(encoding="utf-8"))


def check(descriptions):
    """@return by name: what is wrong with each of these"""
    paths = {}
    for name, description in descriptions.items():
        path = FOLDER / f"checked-{name}.json"  # beside the schema of records, which it refers to
        path.write_text(json.dumps(description), encoding="utf-8")
        paths[str(path)] = name
    done = subprocess.run([NODE, FOLDER / "check.mjs", *paths], capture_output=True,
                          encoding="utf-8", timeout=60, check=True)
    return {paths[path]: wrong for path, wrong in json.loads(done.stdout).items()}


def without_description(wrong):
    del wrong["paths"]["/v1/status"]["get"]["responses"]["200"]["description"]


def same_operation_id(wrong):
    wrong["paths"]["/v1/status"]["get"]["operationId"] = "runs"


def reference_to_nothing(wrong):
    wrong["components"]["schemas"]["Run"]["properties"]["record"] = {"$ref": "run.schema.json"}


def missing_path_parameter(wrong):
    del wrong["paths"]["/v1/runs/{run}"]["get"]["parameters"]


def unknown_security(wrong):
    wrong["security"] = [{"password": []}]


SPOILT = {without_description: "struct", same_operation_id: "operation-operationId-unique",
          reference_to_nothing: "no-unresolved-refs",
          missing_path_parameter: "path-parameters-defined", unknown_security: "security-defined"}


class Valid(unittest.TestCase):
    def test_the_description_is_valid_and_wrong_ones_are_not(self):
        descriptions = {"right": DESCRIPTION}
        for spoil in SPOILT:
            descriptions[spoil.__name__] = copy.deepcopy(DESCRIPTION)
            spoil(descriptions[spoil.__name__])
        found = check(descriptions)
        self.assertEqual(found.pop("right"), [])
        self.assertEqual(len(found), len(SPOILT))
        for spoil, rule in SPOILT.items():
            wrong = found[spoil.__name__]
            self.assertTrue(any(one.startswith(rule + ":") for one in wrong), (rule, wrong))

    def test_every_part_is_used(self):
        text = json.dumps(DESCRIPTION["paths"]) + json.dumps(DESCRIPTION["components"])
        for kind, parts in DESCRIPTION["components"].items():
            for name in parts:
                if kind != "securitySchemes":
                    self.assertIn(f'"#/components/{kind}/{name}"', text)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
