"""The live page in a real browser, on the real daemon and a simulated bench.

The environment names the programs (tests/daemon/rig.py), and NESTCUP_TEST_AXE the check of
accessibility (axe-core). NESTCUP_TEST_SHOTS: a folder for pictures of what was seen."""

import json
import os
import pathlib
import subprocess
import sys
import time
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "daemon"))

from selenium import webdriver  # noqa: E402
from selenium.webdriver.chrome.options import Options  # noqa: E402
from selenium.webdriver.chrome.service import Service  # noqa: E402
from selenium.webdriver.common.by import By  # noqa: E402

from rig import CUP, Rig, free_port, wait_for  # noqa: E402

ADDED = {"name": "added", "role": "added", "column": 2}
WIDTHS = ((360, 780), (1024, 768), (1920, 1080))
SHOTS = os.environ.get("NESTCUP_TEST_SHOTS")
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


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


class PageTest(unittest.TestCase):
    """A bench of its own for each test, and ways to look at its page."""

    def setUp(self):
        self.port = free_port()
        self.rig = self.made_rig(f"127.0.0.1:{self.port}")
        self.addCleanup(self.end)
        self.rig.start()

    def begin_again(self):
        """Another bench and browser, for a test that is repeated."""
        self.doCleanups()
        self.setUp()

    def end(self):
        """Tells what the daemon said where the test failed."""
        result = self._outcome.result
        bad = [one for one, _ in result.failures + result.errors]
        self.rig.__exit__(self in bad)

    def made_rig(self, listen):
        return Rig("one-trial.toml", probes=[CUP, ADDED], after_period_s=90, listen=listen)

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
        axe = pathlib.Path(os.environ["NESTCUP_TEST_AXE"])
        driver.execute_script(axe.read_text(encoding="utf-8"))
        found = driver.execute_async_script(
            "const done = arguments[1]; axe.run(document, {runOnly: arguments[0]})"
            ".then((all) => done([all.violations.map((one) => [one.id, one.nodes.map((node) =>"
            " node.html)]), all.passes.length]))", WCAG)
        self.assertEqual(found[0], [], what)
        self.assertGreater(found[1], 5, what)

    def check_widths(self, driver, view, names):
        """The view that is open, at every width."""
        for width, height in WIDTHS:
            driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
                "width": width, "height": height, "deviceScaleFactor": 1, "mobile": False})
            time.sleep(0.4)  # a frame is drawn
            what = f"{view}-{width}-{names}"
            self.shoot(driver, what)
            self.check_window(driver, what)

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
