#!/usr/bin/env python3
"""Each view at three widths, light and dark, for who watches and for who may change things: nothing
is cut off, and axe-core finds nothing that somebody could not use."""

import os
import subprocess
import unittest

from selenium.webdriver.common.by import By

from page_rig import ADDED, PageTest
from rig import CUP, Rig, repeated_after_stalls, wait_for

# An invented day: the warm water is measured, the rest was noted on paper.
SHEET = """[sheet]
title = "Formation enthalpy of magnesium oxide"
[[instrument]]
name = "cylinder"
u_volume_mL = 0.25
calibrated = "to deliver"
[[stock]]
name = "acid"
substance = "HCl(aq)"
concentration_mol_per_L = 1.00
u_concentration_mol_per_L = 0.01
[[trial]]
name = "warm"
purpose = "calorimeter constant"
repeats = 2
cup = { substance = "water", volume_mL = 50.0, by = "cylinder" }
added = { substance = "water", volume_mL = 50.0, by = "cylinder" }
[[trial]]
name = "oxide"
purpose = "reaction"
equation = "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)"
cup = { stock = "acid", volume_mL = 100.0, by = "cylinder" }
added = { substance = "MgO(s)", mass_g = 0.720, u_mass_g = 0.002 }
typed = { cup_degC = 21.5, added_degC = 21.5, final_degC = 27.6, u_degC = 0.05 }
[[trial]]
name = "metal"
purpose = "reaction"
equation = "Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)"
repeats = 2
cup = { stock = "acid", volume_mL = 100.0, by = "cylinder" }
added = { substance = "Mg(s)", mass_g = 0.250, u_mass_g = 0.001 }
typed = { cup_degC = 21.4, added_degC = 21.4, final_degC = 32.2, u_degC = 0.05 }
[cycle]
target = "Mg(s) + 1/2 O2(g) -> MgO(s)"
from = ["oxide", "metal"]
accepted = ["H2(g) + 1/2 O2(g) -> H2O(l)"]
"""
READY = {"now": ".rise", "trials": ".slip", "result": ".outcome", "probes": ".probes td"}


class Views(PageTest):
    def made_rig(self, listen):
        rig = Rig("one-trial.toml", probes=[CUP, ADDED], after_period_s=120, listen=listen,
                  sheet="day.toml")
        (rig.folder / "day.toml").write_text(SHEET, encoding="utf-8")
        return rig

    def look_at_all(self, driver, names):
        for view in READY:
            driver.execute_script("location.hash = arguments[0]", view)
            wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, READY[view]), view)
            self.check_widths(driver, view, names)
        self.check_log(driver)
        driver.quit()

    @repeated_after_stalls
    def test_in_light_and_dark(self):
        operator = f"#token={self.token('operator')}"
        self.rig.wait_state("running")
        self.rig.wait_after_period(60.0)
        self.look_at_all(self.open(operator), "operator-light")
        self.rig.wait_run()
        self.look_at_all(self.open(dark=True), "viewer-dark")
        self.look_at_all(self.open(operator, dark=True), "operator-dark")
        self.look_at_all(self.open(), "viewer-light")

    @repeated_after_stalls
    def test_report_and_curve_open_with_their_styles(self):
        """They hold their styles within themselves, which the page's own policy would forbid."""
        run = self.rig.wait_run()
        driver = self.open()
        for path in (f"/v1/runs/{run['id']}/chart.svg", "/v1/report?language=de"):
            driver.get(f"http://127.0.0.1:{self.port}{path}")
            self.shoot(driver, path.split("/")[-1].partition("?")[0])
            self.check_log(driver)
        family = driver.execute_script("return getComputedStyle(document.body).fontFamily")
        self.assertIn("Georgia", family)

    @repeated_after_stalls
    def test_results_that_are_kept_back(self):
        self.rig.wait_run()
        subprocess.run([os.environ["NESTCUP"], "results", "--hide", "--bench",
                        self.rig.bench_path], check=True, capture_output=True)
        driver = self.open("#result")
        wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, ".kept-back"), "kept back")
        text = driver.find_element(By.TAG_NAME, "main").text
        self.assertNotIn("\u00b1", text)
        driver.execute_script("location.hash = 'trials'")
        row = wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, "tbody td.number"), "the run")
        self.assertEqual(row[0].text, "kept back")
        subprocess.run([os.environ["NESTCUP"], "results", "--show", "--bench",
                        self.rig.bench_path], check=True, capture_output=True)
        driver.execute_script("location.hash = 'result'")
        wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, ".outcome"), "shown again")


if __name__ == "__main__":
    unittest.main()
