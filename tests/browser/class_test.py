#!/usr/bin/env python3
"""The wall page of a class, over a real database: every bench, its progress and its figures, and
what the page does while the database is away."""

import json
import os
import pathlib
import signal
import subprocess
import sys
import tempfile
import unittest

TESTS = pathlib.Path(__file__).resolve().parent.parent
sys.path[:0] = [str(TESTS / "notebook" / "postgres"), str(TESTS / "daemon")]

import jsonschema  # noqa: E402
from selenium.webdriver.common.by import By  # noqa: E402

from course import nestcup, prepared, synced, write_bench  # noqa: E402
from description_test import closed  # noqa: E402
from page_rig import ADDED, PageTest  # noqa: E402
from rig import CUP, Rig, wait_for  # noqa: E402
from server import Server  # noqa: E402

BENCHES = 6
RUNS = 3


def carried(folder, url, number):
    """A bench's runs, with figures of its own, into the database."""
    folder.mkdir()
    name = f"bench-{number}"
    write_bench(folder, url, name)
    subprocess.run([os.environ["NESTCUP_CAMPAIGN_STORE"], "make", folder / "bench.db",
                    str(RUNS - number % 2), "3", str(number), name, str(10 * number)], check=True)
    synced(folder)


class ClassPage(PageTest):
    @classmethod
    def setUpClass(cls):
        keeper = tempfile.TemporaryDirectory()
        cls.addClassCleanup(keeper.cleanup)
        home = pathlib.Path(keeper.name)
        (home / "server").mkdir()
        home.chmod(0o755)
        cls.server = Server(home / "server")
        cls.server.start()
        cls.addClassCleanup(lambda: cls.server.stop(signal.SIGQUIT))
        cls.url = prepared(cls.server)
        for number in range(1, BENCHES + 1):
            carried(home / str(number), cls.url, number)

    def made_rig(self, listen):
        rig = Rig("one-trial.toml", probes=[CUP, ADDED], listen=listen)
        with open(rig.bench_path, "a", encoding="utf-8") as file:
            file.write(f'[class]\nurl = "{self.url}"\nhours = 8760\n')
        return rig

    def pooled(self):
        (sheet,) = json.loads(nestcup("pool", "--from", self.url, "--json").stdout)["sheets"]
        return sheet

    def opened(self, **how):
        driver = self.open("#class", **how)
        wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, ".class tbody th"), "the benches")
        return driver

    def test_every_bench_with_its_progress_and_figures(self):
        driver = self.opened()
        pooled = self.pooled()
        rows = driver.find_elements(By.CSS_SELECTOR, ".class tbody tr")
        self.assertEqual([row.find_element(By.TAG_NAME, "th").text for row in rows],
                         [one["bench"] for one in pooled["benches"]])
        self.assertEqual([row.find_element(By.CLASS_NAME, "tally").text.split(" ")[0]
                          for row in rows], [str(one["runs"]) for one in pooled["benches"]])
        figures = pooled["quantities"][0]["calorimeter_constant_J_per_K"]
        name, value, *_ = self.text(driver, ".strip figcaption").split(" ")
        decimals = len(value.partition(".")[2])
        self.assertEqual((name, value),
                         ("warm", f"{figures['robust_mean']['value']:.{decimals}f}"))
        dots = driver.find_elements(By.CSS_SELECTOR, ".strip-dot, .strip-far")
        self.assertEqual(len(dots), BENCHES)
        self.check_log(driver)

    def test_the_answer_is_as_described(self):
        code, description = self.rig.ask("GET", "/v1/openapi.json")
        self.assertEqual(code, 200)
        resolver = jsonschema.RefResolver("bench:", closed(description))
        code, answer = self.rig.ask("GET", "/v1/class")
        self.assertEqual((code, len(answer["class"]["sheets"])), (200, 1))
        validator = jsonschema.Draft202012Validator(
            {"$ref": "bench:#/components/schemas/Class"}, resolver=resolver)
        self.assertEqual([error.message for error in validator.iter_errors(answer["class"])], [])

    def test_at_every_width_in_light_and_dark(self):
        for dark in (False, True):
            driver = self.opened(dark=dark)
            self.check_widths(driver, "class", "dark" if dark else "light")
            driver.quit()

    def test_results_that_are_kept_back_are_on_no_wall(self):
        self.assertEqual(self.rig.ask("POST", "/v1/results/hidden", {"hidden": True})[0], 200)
        driver = self.opened()
        self.assertIn("kept back", self.text(driver, ".about"))
        self.assertEqual(driver.find_elements(By.CSS_SELECTOR, ".strip"), [])
        answer = driver.execute_script("return fetch('/v1/class').then((one) => one.json())")
        self.assertEqual(answer["class"]["sheets"][0]["quantities"], [])
        self.assertEqual(len(answer["class"]["sheets"][0]["progress"]), BENCHES)

    def test_a_database_that_goes_and_comes(self):
        driver = self.opened()
        self.server.stop()
        try:
            wait_for(lambda: "cannot be read" in self.text(driver, ".class .problems"), "told")
            rows = driver.find_elements(By.CSS_SELECTOR, ".class tbody tr")
            self.assertEqual(len(rows), BENCHES)
            before = self.rig.status()["probes"][0]["readings"]
            wait_for(lambda: self.rig.status()["probes"][0]["readings"] > before, "readings go on")
        finally:
            self.server.start()
        wait_for(lambda: not driver.find_element(By.CSS_SELECTOR,
                                                 ".class .problems").is_displayed(), "back")

    def test_a_bench_without_a_class_says_so(self):
        text = self.rig.bench_path.read_text(encoding="utf-8").split("[class]")[0]
        self.rig.daemon.end()
        self.rig.bench_path.write_text(text, encoding="utf-8")
        self.rig.start_daemon()
        code, answer = self.rig.ask("GET", "/v1/class")
        self.assertEqual(code, 404)
        self.assertIn("[class]", answer["error"]["text"])
        driver = self.open()
        self.assertFalse(driver.find_element(By.CSS_SELECTOR, "a[href='#class']").is_displayed())


if __name__ == "__main__":
    unittest.main()
