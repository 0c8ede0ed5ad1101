"""How nestcupd ends, and what it refuses to begin."""

import os
import signal
import subprocess
import unittest

from rig import CUP, Rig, integrity, place_in, sessions, wait_for

# On a slow build (sanitizers) the second that an end may take is longer.
END_WITHIN_S = float(os.environ.get("NESTCUP_TEST_END_S", "1.0"))
BAD_DATA, NO_INPUT, TRY_LATER, BAD_CONFIGURATION = 65, 66, 75, 78


def outcome(rig, *options):
    """nestcupd with these options instead of the rig's; (exit code, output, errors)."""
    done = subprocess.run([os.environ["NESTCUPD"], *options], capture_output=True, timeout=60,
                          encoding="utf-8", cwd=rig.folder, check=False)
    return done.returncode, done.stdout, done.stderr


class Ends(unittest.TestCase):
    def check_end(self, rig, number):
        """Ends in time with everything committed, the readings of the last moment, too."""
        received = rig.status()["probes"][0]["readings"]
        code, seconds = rig.daemon.end(number)
        self.assertEqual(code, 0, rig.daemon.log())
        self.assertLess(seconds, END_WITHIN_S)
        self.assertIn("everything is committed", rig.daemon.log())
        store = rig.look()
        self.assertEqual(integrity(store), ["ok"])
        values = sessions(store)[-1]
        store.close()
        self.assertGreaterEqual(len(values), received)
        self.assertIsNotNone(place_in(rig.trace(), values))
        self.assertFalse(os.path.exists(rig.socket_path))

    def test_sigterm_in_a_run(self):
        with Rig("one-trial.toml") as rig:
            rig.start()
            rig.wait_state("running")
            self.check_end(rig, signal.SIGTERM)

    def test_sigint_while_watching(self):
        with Rig("one-trial.toml") as rig:
            rig.start()
            wait_for(lambda: rig.status()["probes"][0]["readings"] > 20, "readings")
            self.assertEqual(rig.state(), "watching")
            self.check_end(rig, signal.SIGINT)

    def test_a_second_daemon(self):
        with Rig("quiet.toml") as rig:
            rig.start()
            code, _, errors = outcome(rig, "--bench", str(rig.bench_path))
            self.assertEqual(code, TRY_LATER, errors)
            self.assertIn("nestcupd", errors)
            self.assertIn(str(rig.daemon.process.pid), errors)
            self.assertEqual(rig.ask("GET", "/v1/status")[0], 200)  # the first is not disturbed
            rig.daemon.end()
            rig.start_daemon()  # and leaves its place

    def test_no_bench_file(self):
        with Rig("quiet.toml") as rig:
            for option in ("--bench", "--check"):
                code, output, errors = outcome(rig, option, "nowhere.toml")
                self.assertEqual((code, output), (NO_INPUT, ""), errors)
                self.assertIn("nowhere.toml", errors)

    def test_wrong_bench_file(self):
        wrong = [{**CUP, "colour": "red"}, {"name": "added", "role": "teapot", "column": 0}]
        with Rig("quiet.toml", probes=wrong, interval_s=-1, port={"baud": "fast"}) as rig:
            for option in ("--bench", "--check"):
                code, output, errors = outcome(rig, option, str(rig.bench_path))
                self.assertEqual((code, output), (BAD_CONFIGURATION, ""), errors)
                for word in ("colour", "teapot", "column", "interval_s", "baud"):
                    self.assertIn(word, errors)
                for line in errors.splitlines():
                    self.assertRegex(line, r"bench\.toml:\d+: ")
            self.assertFalse(rig.store_path.exists())

    def test_wrong_sheet(self):
        with Rig("quiet.toml", sheet="day.toml") as rig:
            (rig.folder / "day.toml").write_text(
                '[sheet]\ntitle = "Day"\n[calorimeter]\nconstant = 5\n[[stock]]\nname = "acid"\n')
            for option in ("--bench", "--check"):
                code, output, errors = outcome(rig, option, str(rig.bench_path))
                self.assertEqual((code, output), (BAD_DATA, ""), errors)
                for word in ("constant_J_per_K", "substance", "concentration_mol_per_L"):
                    self.assertIn(word, errors)
                for line in errors.splitlines():
                    self.assertRegex(line, r"day\.toml:\d+: ")
            self.assertFalse(rig.store_path.exists())

    def test_check_touches_no_device(self):
        with Rig("quiet.toml") as rig:
            code, output, errors = outcome(rig, "--check", str(rig.bench_path))  # no such device
            self.assertEqual((code, errors), (0, ""))
            self.assertIn("all is well", output)
            os.mkfifo(rig.device)  # whoever opened it would hang or be seen by this reader
            reader = os.open(rig.device, os.O_RDONLY | os.O_NONBLOCK)
            code, output, errors = outcome(rig, "--check", str(rig.bench_path))
            self.assertEqual((code, errors), (0, ""))
            self.assertEqual(os.read(reader, 1), b"")
            os.close(reader)
            self.assertEqual(sorted(path.name for path in rig.folder.iterdir()),
                             ["bench.toml", "board"])

    def test_wrong_usage(self):
        with Rig("quiet.toml") as rig:
            self.assertEqual(outcome(rig)[0], 64)
            self.assertEqual(outcome(rig, "--bench", str(rig.bench_path), "--speed", "0")[0], 64)


if __name__ == "__main__":
    unittest.main()
