#!/usr/bin/env python3
"""The live page in a real browser, on the real daemon and a simulated bench: a run is watched from
the foreperiod to its record, by keyboard, at three widths, light and dark.

live_test.py AXE.js; the environment names the programs (tests/daemon/rig.py).
NESTCUP_TEST_SHOTS: a folder for pictures of what was seen."""

import json
import os
import pathlib
import socket
import sqlite3
import subprocess
import sys
import time
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "daemon"))

from selenium import webdriver  # noqa: E402
from selenium.webdriver.chrome.options import Options  # noqa: E402
from selenium.webdriver.chrome.service import Service  # noqa: E402
from selenium.webdriver.common.by import By  # noqa: E402
from selenium.webdriver.common.keys import Keys  # noqa: E402

from rig import CUP, Rig, wait_for  # noqa: E402

AXE = pathlib.Path(sys.argv.pop(1)) if len(sys.argv) > 1 else None
ADDED = {"name": "added", "role": "added", "column": 2}
WIDTHS = ((360, 780), (1024, 768), (1920, 1080))
SHOTS = os.environ.get("NESTCUP_TEST_SHOTS")
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


def free_port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


def chrome(dark=False):
    options = Options()
    options.binary_location = "/usr/bin/chromium"
    for word in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"):
        options.add_argument(word)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options=options, service=Service("/usr/bin/chromedriver"))
    if dark:
        driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {
            "features": [{"name": "prefers-color-scheme", "value": "dark"}]})
    return driver


class LivePage(unittest.TestCase):
    def setUp(self):
        self.port = free_port()
        self.rig = Rig("one-trial.toml", probes=[CUP, ADDED], after_period_s=90,
                       listen=f"127.0.0.1:{self.port}")
        self.addCleanup(self.rig.__exit__, None)
        self.rig.start()

    def open(self, fragment="", **how):
        driver = chrome(**how)
        self.addCleanup(driver.quit)
        driver.get(f"http://127.0.0.1:{self.port}/{fragment}")
        wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, ".link[data-state=live]"), "live")
        return driver

    def text(self, driver, selector):
        return driver.find_element(By.CSS_SELECTOR, selector).text

    def keys(self, driver, keys):
        driver.find_element(By.TAG_NAME, "body").send_keys(keys)

    def check_window(self, driver, what):
        """Nothing is wider than the window; by axe-core, all can be used by everybody."""
        wide, inner = driver.execute_script(
            "return [document.documentElement.scrollWidth, innerWidth]")
        self.assertLessEqual(wide, inner, what)
        driver.execute_script(AXE.read_text(encoding="utf-8"))
        found = driver.execute_async_script(
            "const done = arguments[1]; axe.run(document, {runOnly: arguments[0]})"
            ".then((all) => done([all.violations.map((one) => [one.id, one.nodes.map((node) =>"
            " node.html)]), all.passes.length]))", WCAG)
        self.assertEqual(found[0], [], what)
        self.assertGreater(found[1], 5, what)

    def check_log(self, driver):
        severe = [entry for entry in driver.get_log("browser") if entry["level"] == "SEVERE"]
        self.assertEqual(severe, [])

    def shoot(self, driver, name):
        if SHOTS:
            driver.save_screenshot(str(pathlib.Path(SHOTS) / f"{name}.png"))

    def token(self, role):
        made = subprocess.run([os.environ["NESTCUP"], "token", "add", f"test-{role}", "--role",
                               role, "--json", "--bench", self.rig.bench_path],
                              check=True, capture_output=True, text=True)
        return json.loads(made.stdout)["token"]

    def test_a_run_is_watched_to_its_record(self):
        driver = self.open()
        self.assertEqual(self.text(driver, "h1"), "Bench bench")
        self.assertRegex(self.text(driver, ".vessel-cup .digits"), r"^\d\d\.\d\d$")
        wait_for(lambda: "Lid on" in self.text(driver, ".advice") or
                 "covered" in self.text(driver, ".advice"), "advice in the run")
        def rise_shown():
            text = self.text(driver, ".rise")
            return text if "\u00b1" in text else None

        rise = wait_for(rise_shown, "a provisional rise")
        record = self.rig.wait_run()["record"]
        self.assertAlmostEqual(float(rise.split(" ")[0]), record["corrected_rise_K"]["value"],
                               delta=0.1)
        self.keys(driver, "2")
        row = wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, ".trials td.number"), "row")
        shown = row[0].text.split(" ")
        decimals = len(shown[0].split(".")[1])
        self.assertEqual(shown[0], f"{record['corrected_rise_K']['value']:.{decimals}f}")
        self.check_log(driver)

    def test_every_view_at_every_width_in_light_and_dark(self):
        for dark in (False, True):
            driver = self.open(dark=dark)
            for place, view in enumerate(("now", "trials", "probes"), 1):
                self.keys(driver, str(place))
                for width, height in WIDTHS:
                    driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
                        "width": width, "height": height, "deviceScaleFactor": 1,
                        "mobile": False})
                    time.sleep(0.4)  # a frame is drawn
                    what = f"{view}-{width}-{'dark' if dark else 'light'}"
                    self.shoot(driver, what)
                    self.check_window(driver, what)
            self.check_log(driver)
            driver.quit()

    def test_who_watches_cannot_change_and_an_operator_can(self):
        viewer = self.open()
        self.assertEqual(viewer.find_elements(By.CSS_SELECTOR, ".action:not([hidden])"), [])
        self.keys(viewer, "p")
        operator = self.open(f"#token={self.token('operator')}")
        self.assertNotIn("token", operator.current_url)
        wait_for(lambda: "test-operator" in self.text(operator, "footer"), "signed in")
        self.assertEqual(operator.execute_script("return document.cookie"), "")
        self.keys(operator, "p")
        wait_for(lambda: "Marked" in self.text(operator, ".message"), "marked")
        marks = wait_for(lambda: [detail for kind, detail in self.events() if kind == "mark"],
                         "the mark in the store")
        self.assertEqual([json.loads(detail)["who"] for detail in marks], ["test-operator"])
        operator.find_element(By.XPATH, "//button[text()='Sign out']").click()
        wait_for(lambda: operator.find_elements(By.ID, "token"), "signed out")

    def events(self):
        with sqlite3.connect(self.rig.store_path) as store:
            return store.execute("SELECT kind, detail FROM event").fetchall()

    def test_the_page_recovers_when_the_daemon_starts_again(self):
        driver = self.open()
        self.rig.daemon.end()
        wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, ".link[data-state=lost]"), "lost")
        self.rig.start_daemon()
        wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, ".link[data-state=live]"), "back")
        begun = time.monotonic()
        first = self.text(driver, ".vessel-cup .digits")
        wait_for(lambda: self.text(driver, ".vessel-cup .digits") != first or
                 time.monotonic() - begun > 20, "readings go on")
        self.assertNotEqual(self.text(driver, ".vessel-cup .digits"), first)

    def test_german_with_decimal_commas(self):
        driver = self.open()
        choice = driver.find_element(By.CSS_SELECTOR, "footer select")
        choice.send_keys(Keys.ARROW_DOWN)
        wait_for(lambda: driver.find_elements(By.XPATH, "//a[text()='Jetzt']"), "German")
        wait_for(lambda: "," in self.text(driver, ".vessel-cup .digits"), "a decimal comma")
        self.assertEqual(driver.execute_script("return document.documentElement.lang"), "de")


if __name__ == "__main__":
    unittest.main()
