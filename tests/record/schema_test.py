#!/usr/bin/env python3
"""Holds records to the schema with an independent validator.

schema_test.py SCHEMA MAKE_RECORDS  MAKE_RECORDS prints one record a line, each after its name and a
tab. Every record must pass; each of them, made wrong in one place, must be refused.
"""

import copy
import json
import subprocess
import sys

import jsonschema

KINDS = ["finished", "struck", "unusable", "with added probe", "marked", "replayed"]


def changed(record, path, value):
    """A copy with another value at `path`; the value DROP takes the key away."""
    wrong = copy.deepcopy(record)
    place = wrong
    for key in path[:-1]:
        place = place[key]
    if value is DROP:
        del place[path[-1]]
    else:
        place[path[-1]] = value
    return wrong


DROP = object()
GAP = {"code": "gap", "severity": "note", "values": {"gap_s": 9}, "text": "No reading of the cup."}

# What makes any record wrong.
CALIBRATION = {"number": 1, "kind": "line", "at": "2026-01-31T10:00:00.000Z",
               "reference_degC": 40.0, "offset_K": {"value": -0.2, "u": 0.01},
               "slope_K_per_K": {"value": 0.001, "u": 0.0003}, "covariance_K": 0.0, "points": 2,
               "from_degC": 0.0, "to_degC": 99.6, "against": None, "valid_days": 365.0}
WRONG = [
    (["format"], "other-run"),
    (["version"], 2),
    (["id"], "42"),
    (["id"], "019adb5c-9d2e-4c6b-8a3c-2f0d5e7b9a10"),
    (["revision"], 0),
    (["status"], "deleted"),
    (["source"], None),
    (["started_at"], "yesterday"),
    (["started_at"], "2026-11-25 08:00:00"),
    (["probes"], []),
    (["probes", 0, "role"], "lid"),
    (["probes", 0, "tolerance_K"], -0.1),
    (["probes", 0, "calibration"], {}),
    (["probes", 0, "calibration"], CALIBRATION | {"kind": "parabola"}),
    (["probes", 0, "calibration"], CALIBRATION | {"at": "yesterday"}),
    (["probes", 0, "calibration"], CALIBRATION | {"offset_K": 0.1}),
    (["probes", 0, "calibration"], CALIBRATION | {"valid_days": 0}),
    (["probes", 0, "time_constant_s"], {"value": 4.0}),
    (["periods", "main", "end_s"], None),
    (["periods", "fore"], DROP),
    (["mixing", "found_by"], "guess"),
    (["mixing", "time_s", "value"], "62.1"),
    (["mixing", "time_s", "u"], -0.2),
    (["temperatures", "final_degC"], None),
    (["temperatures", "added_at_mixing_degC"], 24.0),
    (["corrected_rise_K", "u"], "small"),
    (["corrected_rise_K"], 6.2),
    (["estimates_K"], None),
    (["heat_leak", "rate_per_s"], 3e-4),
    (["after_period_wanted_s"], 0),
    (["findings"], [GAP | {"severity": "grave"}]),
    (["findings"], [GAP | {"values": {"gap": 9}}]),
    (["findings"], [{"code": "gap", "severity": "note", "values": {}}]),
    (["readings", "sha256"], "abc"),
    (["readings", "count"], 0.5),
    (["software", "analysis"], "one"),
]
# What makes a usable record wrong.
WRONG_USABLE = [
    (["corrected_rise_K", "value"], None),
    (["corrected_rise_K", "budget"], []),
    (["corrected_rise_K", "budget", 0, "type"], "C"),
    (["corrected_rise_K", "method"], None),
    (["estimates_K", 0, "used"], "yes"),
    (["estimates_K", 0, "note"], DROP),
    (["timed_readings", 0, "cup_degC"], -300.0),
    (["temperatures", "cup_at_mixing_degC", "u"], None),
    (["findings"], [{"code": "no-foreperiod", "severity": "unusable", "values": {},
                     "text": "There are only 0 readings."}]),
]


def main(schema_path, make_records):
    with open(schema_path, encoding="utf-8") as file:
        schema = json.load(file)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    lines = subprocess.run([make_records], check=True, capture_output=True, text=True,
                           timeout=100).stdout.splitlines()
    problems, seen = [], []
    for line in lines:
        name, text = line.split("\t", 1)
        record = json.loads(text)
        seen.append(name)
        for error in validator.iter_errors(record):
            problems.append(f"{name}: {error.json_path}: {error.message}")
        wrongs = [([key], DROP) for key in schema["required"]] + WRONG
        if record["corrected_rise_K"]["value"] is not None:
            wrongs += WRONG_USABLE
        for path, value in wrongs:
            if validator.is_valid(changed(record, path, value)):
                problems.append(f"{name}: not refused: {path} set to {value!r}")
        if (name == "unusable") != (record["corrected_rise_K"]["value"] is None):
            problems.append(f"{name}: the rise is {record['corrected_rise_K']['value']}")
    for kind in KINDS:
        if kind not in seen:
            problems.append(f"no record of this kind was made: {kind}")
    print("\n".join(problems) or f"{len(seen)} records pass, each wrong one is refused")
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
