#!/usr/bin/env python3
"""GET /metrics, read with the OpenMetrics parser of Prometheus' client for Python, which is of
another make, and held against what the status says."""

import http.client
import os
import signal
import time
import unittest

from prometheus_client.openmetrics.parser import text_string_to_metric_families

from rig import CUP, Rig, UnixConnection, free_port, wait_for

TYPE = "application/openmetrics-text; version=1.0.0; charset=utf-8"
ADDED = {"name": "added", "role": "added", "column": 2}
WRONG = {"name": "wrong", "role": "room", "column": 7}
# It cannot be made, below a file; and its name has all that a label must not have as it is.
NOTEBOOK = "[[notebook]]\nkind = 'folder'\npath = 'gone/a \"b\" \\n \u00fc'\n"


class MetricsRig(Rig):
    def __init__(self, **bench):
        self.tcp_port = free_port()
        super().__init__("one-trial.toml", probes=[CUP, ADDED, WRONG], after_period_s=60,
                         listen=f"127.0.0.1:{self.tcp_port}", **bench)
        with open(self.bench_path, "a", encoding="utf-8") as file:
            file.write(NOTEBOOK)
        (self.folder / "gone").touch()

    def fetch(self, connection):
        connection.request("GET", "/metrics")
        response = connection.getresponse()
        return response.status, response.headers["Content-Type"], response.read().decode("utf-8")

    def families(self):
        connection = UnixConnection(self.socket_path)
        try:
            code, kind, text = self.fetch(connection)
        finally:
            connection.close()
        assert (code, kind) == (200, TYPE), text
        assert text.endswith("\n# EOF\n"), text[-80:]
        return {family.name: family for family in text_string_to_metric_families(text)}


def value_of(families, family, ending="", **labels):
    """The value of the one sample that has just these labels."""
    found, = [sample.value for sample in families[family].samples
              if sample.name == family + ending and sample.labels == labels]
    return found


class Metrics(unittest.TestCase):
    def check_probes(self, families, status):
        for probe in status["probes"]:
            whose = {"probe": probe["name"], "role": probe["role"]}
            self.assertEqual(value_of(families, "nestcup_probe_readings", "_total", **whose),
                             probe["readings"])
            self.assertEqual(value_of(families, "nestcup_probe_dropped_readings", "_total",
                                      **whose), probe["dropped"])
            self.assertEqual(value_of(families, "nestcup_probe_fresh", **whose),
                             0 if probe["stale"] else 1)
            faults = {sample.labels["kind"]: sample.value
                      for sample in families["nestcup_probe_faults"].samples
                      if sample.labels["probe"] == probe["name"]}
            self.assertEqual({kind: count for kind, count in faults.items() if count},
                             probe["faults"])
            self.assertIn("bad_checksum", faults)
        self.assertGreater(sum(status["probes"][2]["faults"].values()), 10)

    def check_rest(self, families, status):
        port = {"port": "board"}
        for family, key in (("nestcup_port_opens", "opens"),
                            ("nestcup_port_received_bytes", "bytes"),
                            ("nestcup_port_data_lines", "data_lines"),
                            ("nestcup_port_unanswered_requests", "requests_unanswered")):
            self.assertEqual(value_of(families, family, "_total", **port),
                             status["ports"][0][key])
        self.assertEqual(value_of(families, "nestcup_port_connected", **port), 0)
        store = status["store"]
        for family, key in (("committed_readings", "committed_readings"),
                            ("lost_readings", "lost_readings"),
                            ("failed_commits", "failed_commits")):
            self.assertEqual(value_of(families, f"nestcup_store_{family}", "_total"), store[key])
        self.assertEqual(value_of(families, "nestcup_store_held_readings"),
                         store["held_readings"])
        commits = "nestcup_store_commit_seconds"
        self.assertEqual(value_of(families, commits, "_count"), store["commits"])
        longest = value_of(families, "nestcup_store_longest_commit_seconds")
        self.assertAlmostEqual(longest, store["longest_commit_ms"] * 1e-3)
        total = value_of(families, commits, "_sum")
        self.assertGreaterEqual(total, longest)
        self.assertLessEqual(total, longest * store["commits"])
        self.assertEqual(value_of(families, "nestcup_run_state", nestcup_run_state="watching"), 1)
        self.assertEqual(value_of(families, "nestcup_run_state", nestcup_run_state="running"), 0)
        notebook, = status["notebooks"]
        self.assertEqual(value_of(families, "nestcup_notebook_owed_entries",
                                  notebook=notebook["name"]), notebook["waiting"])
        self.assertGreaterEqual(notebook["waiting"], 1)
        self.assertIn('a "b" \\n \u00fc', notebook["name"])
        self.assertEqual(value_of(families, "nestcup_notebook_reachable",
                                  notebook=notebook["name"]), 0)
        build, = families["nestcup_build"].samples
        self.assertEqual(build.labels["version"], status["version"])

    def check_process(self, rig, families, began):
        """Beside what the kernel says of the process."""
        pid = rig.daemon.process.pid
        with open(f"/proc/{pid}/stat", encoding="utf-8") as file:
            words = file.read().rsplit(")", 1)[1].split()
        ticks = os.sysconf("SC_CLK_TCK")
        self.assertAlmostEqual(value_of(families, "process_cpu_seconds", "_total"),
                               (int(words[11]) + int(words[12])) / ticks, delta=0.5)
        with open(f"/proc/{pid}/statm", encoding="utf-8") as file:
            pages = int(file.read().split()[1])
        kernel = pages * os.sysconf("SC_PAGE_SIZE")
        told = value_of(families, "process_resident_memory_bytes")
        self.assertLess(abs(told - kernel), 0.2 * kernel)
        self.assertGreaterEqual(value_of(families, "process_start_time_seconds"), began)
        self.assertLess(value_of(families, "process_start_time_seconds"), time.time())
        self.assertAlmostEqual(value_of(families, "process_open_fds"),
                               len(os.listdir(f"/proc/{pid}/fd")), delta=3)

    def check_units(self, families):
        for family in families.values():
            if family.unit:
                self.assertTrue(family.name.endswith("_" + family.unit), family.name)
            self.assertTrue(family.documentation, family.name)

    def check_connections(self, rig):
        """An open connection shows, and over TCP anybody on this machine may read."""
        line = http.client.HTTPConnection("127.0.0.1", rig.tcp_port, timeout=30)
        code, kind, text = rig.fetch(line)
        self.assertEqual((code, kind), (200, TYPE), text)
        server = "nestcup_connections"
        self.assertEqual(value_of(rig.families(), server, server="page"), 1)
        self.assertEqual(value_of(rig.families(), "nestcup_streams"), 0)
        line.close()
        wait_for(lambda: value_of(rig.families(), server, server="page") == 0, "the goodbye")
        self.assertGreaterEqual(value_of(rig.families(), server, server="control"), 1)

    def check_runs(self, rig):
        for status, counts in (("struck", (0, 1)), ("finished", (1, 0))):
            verb = "strike" if status == "struck" else "restore"
            code, answer = rig.ask("POST", f"/v1/runs/1/{verb}", {"reason": "to be counted"})
            self.assertEqual(code, 200, answer)
            families = rig.families()
            self.assertEqual((value_of(families, "nestcup_runs", status="finished"),
                              value_of(families, "nestcup_runs", status="struck")), counts)

    def test_metrics_say_what_the_status_says(self):
        began = time.time()
        with MetricsRig() as rig:
            rig.start()
            wait_for(lambda: rig.status()["probes"][0]["last_degC"] is not None, "a reading")
            cup = {"probe": "cup", "role": "cup"}
            lowest, highest = 15.0, 60.0
            fresh = value_of(rig.families(), "nestcup_probe_temperature_celsius", **cup)
            self.assertTrue(lowest < fresh < highest, fresh)
            rig.wait_run()
            self.check_runs(rig)
            # With the board gone and all committed, nothing counts on between two questions.
            rig.board.end(signal.SIGKILL)
            wait_for(lambda: all(one["stale"] for one in rig.status()["probes"]), "stale probes")
            wait_for(lambda: rig.status()["store"]["held_readings"] == 0, "a commit")
            wait_for(lambda: rig.status()["run"]["state"] == "watching", "the run's end")
            status = rig.status()
            families = rig.families()
            self.check_probes(families, status)
            self.check_rest(families, status)
            self.assertEqual(families["nestcup_probe_temperature_celsius"].samples, [])
            self.check_process(rig, families, began)
            self.check_units(families)
            self.check_connections(rig)


if __name__ == "__main__":
    unittest.main()
