#!/usr/bin/env python3
"""A run watched on the live page from the foreperiod to its record, by those who may and those who
may not, in two languages, and while the daemon goes and comes."""

import json
import sqlite3
import time
import unittest

from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from page_rig import PageTest
from rig import CUP, Rig, repeated_after_stalls, wait_for


class LivePage(PageTest):
    @repeated_after_stalls
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

    def check_no_point_lost_or_doubled(self, driver):
        """What the page has of the cup is what the store has of that time."""
        shown = driver.execute_script("return bench.probe('cup').series.time_us")
        with self.rig.look() as store:
            stored = [row[0] for row in store.execute(
                "SELECT time_us FROM reading JOIN probe ON probe = probe.id WHERE role = 'cup'"
                " AND time_us BETWEEN ? AND ? ORDER BY time_us", (shown[0], shown[-1]))]
        known = [time_us for time_us in shown if time_us <= stored[-1]]  # the rest is not committed
        self.assertGreater(len(known), 20)
        self.assertEqual(known, stored)

    def wait_for_news(self, driver):
        last = driver.execute_script("return bench.probe('cup').series.last_us")
        wait_for(lambda: driver.execute_script("return bench.probe('cup').series.last_us")
                 > last + 20e6, "readings go on")

    def test_the_page_recovers_when_the_daemon_starts_again(self):
        driver = self.open()
        self.wait_for_news(driver)
        self.rig.daemon.end()
        wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, ".link[data-state=lost]"), "lost")
        self.rig.start_daemon()
        wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, ".link[data-state=live]"), "back")
        self.wait_for_news(driver)
        self.check_no_point_lost_or_doubled(driver)

    @repeated_after_stalls
    def test_the_page_recovers_when_the_browser_slept(self):
        driver = self.open()
        self.wait_for_news(driver)
        for state in ("frozen", "active"):
            driver.execute_cdp_cmd("Page.setWebLifecycleState", {"state": state})
            before = self.rig.status()["probes"][0]["readings"]
            wait_for(lambda: self.rig.status()["probes"][0]["readings"] > before + 150, state)
        self.wait_for_news(driver)
        self.check_no_point_lost_or_doubled(driver)

    @repeated_after_stalls
    def test_a_tablet_whose_clock_is_wrong(self):
        driver = self.open()
        driver.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {
            "source": "const now = Date.now; Date.now = () => now() + 40 * 86400e3;"
                      "const Real = Date; globalThis.Date = class extends Real {"
                      " constructor(...when) { super(...(when.length ? when : [Real.now()])); } }"})
        driver.refresh()
        wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, ".link[data-state=live]"), "live")
        self.assertGreater(driver.execute_script("return new Date().getTime()"),
                           (time.time() + 39 * 86400) * 1e3)
        self.rig.wait_state("running")
        wait_for(lambda: self.text(driver, ".since"), "the time since mixing")
        shown = self.text(driver, ".since").split(":")
        run = self.rig.status()
        since_s = (run["clock"]["now_us"] - run["run"]["onset_us"]) * 1e-6
        self.assertAlmostEqual(int(shown[0]) * 60 + int(shown[1]), since_s, delta=10)
        self.wait_for_news(driver)
        self.check_no_point_lost_or_doubled(driver)

    @repeated_after_stalls
    def test_cues_are_spoken_and_sounded(self):
        """A browser without a loudspeaker says nothing aloud: what it is given to say is noted."""
        driver = self.open()
        driver.execute_script(
            "window.said = []; window.tones = 0;"
            "speechSynthesis.speak = (one) => said.push([one.lang, one.text]);"
            "const start = OscillatorNode.prototype.start;"
            "OscillatorNode.prototype.start = function (...when) {"
            "  tones += 1; return start.apply(this, when); };")
        for name in ("Sound: off", "Speech: off"):
            driver.find_element(By.XPATH, f"//button[text()='{name}']").send_keys(Keys.ENTER)
        record = self.rig.wait_run()["record"]
        wait_for(lambda: ["en", "Run finished."] in driver.execute_script("return said"), "done")
        said = [text for _, text in driver.execute_script("return said")]
        self.assertIn("Mixing seen.", said)
        spoken = [float(text.split(" ")[0]) for text in said if text.endswith(" degrees.")]
        timed = [one["cup_degC"] for one in record["timed_readings"]]
        self.assertGreater(len(spoken), 2)
        for degC in spoken:
            self.assertLess(min(abs(degC - one) for one in timed), 0.15, said)
        self.assertGreater(driver.execute_script("return tones"), len(spoken))

    def test_german_with_decimal_commas(self):
        driver = self.open()
        choice = driver.find_element(By.CSS_SELECTOR, "footer select")
        choice.send_keys(Keys.ARROW_DOWN)
        wait_for(lambda: driver.find_elements(By.XPATH, "//a[text()='Jetzt']"), "German")
        wait_for(lambda: "," in self.text(driver, ".vessel-cup .digits"), "a decimal comma")
        self.assertEqual(driver.execute_script("return document.documentElement.lang"), "de")


class WhoMay(PageTest):
    """On a bench at rest: marks are not offered while a run goes on."""

    def made_rig(self, listen):
        return Rig("quiet.toml", probes=[CUP], listen=listen)

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


if __name__ == "__main__":
    unittest.main()
