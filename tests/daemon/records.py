"""What every run record must hold, in words of the published record format."""

RECORD_KEYS = {
    "format", "version", "id", "revision", "status", "source", "bench", "sheet", "trial",
    "started_at", "mixed_at", "finished_at", "clock_synchronised", "probes", "periods", "mixing",
    "temperatures", "corrected_rise_K", "mixture_rise_K", "estimates_K", "heat_leak",
    "timed_readings", "findings", "readings", "software"}
PROBE_KEYS = {"name", "role", "port", "protocol", "transducer", "tolerance_K", "calibration"}


def check_keys(test, record):
    """Every key of the format is there, and what can be checked without a truth holds."""
    test.assertLessEqual(RECORD_KEYS, record.keys())
    test.assertEqual((record["format"], record["version"]), ("nestcup-run", 1))
    test.assertRegex(record["id"], "^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-")
    test.assertEqual((record["source"], record["bench"]), ("bench", "bench"))
    for moment in ("started_at", "mixed_at", "finished_at"):
        test.assertRegex(record[moment], r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$")
    test.assertLess(record["started_at"], record["mixed_at"])
    test.assertLess(record["mixed_at"], record["finished_at"])
    for probe in record["probes"]:
        test.assertLessEqual(PROBE_KEYS, probe.keys())
    fore, main, after = (record["periods"][name] for name in ("fore", "main", "after"))
    test.assertEqual(fore["start_s"], 0)
    test.assertLess(fore["start_s"], fore["end_s"])
    test.assertLess(main["start_s"], main["end_s"])
    test.assertLess(after["start_s"], after["end_s"])
    test.assertEqual(sum(estimate["used"] for estimate in record["estimates_K"]), 1)
    test.assertRegex(record["readings"]["sha256"], "^[0-9a-f]{64}$")
    for finding in record["findings"]:
        test.assertLessEqual({"code", "severity", "values", "text"}, finding.keys())
    for reading in record["timed_readings"]:
        test.assertEqual(reading["after_mixing_s"] % 20, 0)


def check_rise(test, record, truth):
    """Rise and final temperature lie within three standard uncertainties of the truth."""
    rise = record["corrected_rise_K"]
    test.assertIsNotNone(rise["value"], record["findings"])
    test.assertGreater(rise["u"], 0.0)
    test.assertLess(rise["u"], 0.1)
    test.assertLessEqual(abs(rise["value"] - truth["corrected_rise_K"]), 3.0 * rise["u"])
    final = record["temperatures"]["final_degC"]
    test.assertLessEqual(abs(final["value"] - truth["final_degC"]), 3.0 * final["u"])


def longest_gap_s(record):
    """Of those that the record tells of; 0 for none."""
    return max((finding["values"]["gap_s"] for finding in record["findings"]
                if finding["code"] in ("gap", "gap-at-mixing")), default=0.0)
