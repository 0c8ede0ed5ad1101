"""The same trial through every protocol and transducer gives the same corrected rise."""

import concurrent.futures
import math
import unittest

from records import check_keys
from rig import Rig, repeated_after_stalls

# What the lines of a bench file are for each scenario: keys of the port, of the cup's and of the
# added probe, and the resolution of the cup's readings, K.
LAW = {"kind": "thermistor", "a": 1.129241e-3, "b": 2.341077e-4, "c": 8.775468e-8,
       "series_ohm": 10000.0}
BENCHES = {
    "one-trial-text.toml": ({}, {"column": 1}, {"column": 2}, 0.01),
    "one-trial-senml.toml": (
        {"protocol": "senml"}, {"key": "cup"}, {"key": "urn:dev:org:32473-cup4:added"}, 0.01),
    "one-trial-modbus-float.toml": (
        {"protocol": "modbus-rtu"},
        {"device": 11, "register": 0, "format": "float32", "word_order": "CDAB"},
        {"device": 11, "register": 2, "format": "float32", "word_order": "CDAB"}, 0.01),
    "one-trial-modbus-int.toml": (
        {"protocol": "modbus-rtu"},
        {"device": 3, "function": 3, "register": 100, "format": "int16", "scale": 0.01},
        {"device": 4, "register": 7, "format": "int32", "scale": 0.001}, 0.01),
    "one-trial-scpi.toml": (
        {"protocol": "scpi"}, {"query": "READ?", "column": 1}, {"query": "READ?", "column": 2},
        0.01),
    # 24 bits: a step is far below a millikelvin; 16 bits: below 3 mK.
    "one-trial-thermistor.toml": (
        {"separator": "blank"},
        {"column": 1, "unit": "count",
         "transducer": {**LAW, "probe": "below", "full_scale": 16777215.0}},
        {"column": 2, "unit": "count",
         "transducer": {**LAW, "probe": "above", "full_scale": 65535.0}}, 0.001),
    # A tenth of a microvolt at 40 uV/K.
    "one-trial-thermocouple.toml": (
        {},
        {"key": "cup", "unit": "uV",
         "transducer": {"kind": "thermocouple", "type": "K", "cold": {"key": "board"}}},
        {"key": "added", "unit": "uV",
         "transducer": {"kind": "thermocouple", "type": "T", "cold": {"key": "board"}}}, 0.0025),
}


class Protocols(unittest.TestCase):
    @repeated_after_stalls
    def trial(self, scenario):
        """@return the corrected rise, its u and the true rise, K"""
        port, cup, added, _ = BENCHES[scenario]
        probes = [{"name": "cup", **cup}, {"name": "added", **added}]
        with Rig(scenario, probes=probes, port=port) as rig:
            rig.start()
            record = rig.wait_run()["record"]
            check_keys(self, record)
            state = rig.status()
            for probe in state["probes"]:
                self.assertGreater(probe["readings"], 300)
                self.assertEqual(sum(probe["faults"].values()), 0, probe)
            rise = record["corrected_rise_K"]
            return rise["value"], rise["u"], rig.truth()[0]["corrected_rise_K"]

    def test_same_rise(self):
        rises = {}
        with concurrent.futures.ThreadPoolExecutor(max_workers=4) as pool:
            trials = {scenario: pool.submit(self.trial, scenario) for scenario in BENCHES}
        for scenario, (_, _, _, resolution_K) in BENCHES.items():
            with self.subTest(scenario=scenario):
                value_K, u_K, true_K = trials[scenario].result()
                rises[scenario] = (value_K, u_K)
                print(f"{scenario:32} {value_K:.5f} +- {u_K:.5f} K, true {true_K:.5f} K, "
                      f"off by {1e3 * (value_K - true_K):+.2f} mK")
                self.assertLess(u_K, 0.005)
                self.assertLess(abs(value_K - true_K), max(3 * u_K, resolution_K / 2))
        text_K, text_u_K = rises["one-trial-text.toml"]
        for scenario, (value_K, u_K) in rises.items():
            with self.subTest(scenario=scenario):
                resolution_K = BENCHES[scenario][3]
                self.assertLess(abs(value_K - text_K),
                                max(3 * math.hypot(u_K, text_u_K), resolution_K))


if __name__ == "__main__":
    unittest.main()
