#!/usr/bin/env python3
"""The page of a bench that has been used for terms: the newest runs, and older ones when asked."""

import os
import subprocess
import unittest

from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from page_rig import PageTest
from rig import Rig, wait_for

RUNS = 120
PIECE = 50


class Terms(PageTest):
    def made_rig(self, listen):
        rig = Rig("quiet.toml", listen=listen)  # a run of its own would be one row more
        subprocess.run([os.environ["NESTCUP_WRITE_STORE"], rig.store_path, str(RUNS)], check=True)
        return rig

    def rows(self, driver, count):
        """The runs' numbers, in one look: the page may draw its rows anew at any time."""
        return wait_for(lambda: len(found := driver.execute_script(
            "return [...document.querySelectorAll('.trials tbody tr th')]"
            ".map((cell) => cell.textContent)")) == count and found, f"{count} rows")

    def numbers(self, count):
        return [str(number) for number in range(RUNS, RUNS - count, -1)]

    def test_the_newest_runs_then_older_ones(self):
        driver = self.open("#trials")
        self.assertEqual(self.rows(driver, PIECE), self.numbers(PIECE))
        older = driver.find_element(By.XPATH, "//button[text()='Older runs']")
        older.click()
        self.assertEqual(self.rows(driver, 2 * PIECE), self.numbers(2 * PIECE))
        older.click()
        self.assertEqual(self.rows(driver, RUNS), self.numbers(RUNS))
        self.assertFalse(older.is_displayed())
        self.shoot(driver, "older-runs")
        # Runs of another day have their day.
        mixed = driver.find_elements(By.CSS_SELECTOR, ".trials tbody tr td:nth-child(3)")[-1].text
        stamp = self.rig.ask("GET", "/v1/runs/1")[1]["record"]["mixed_at"]
        self.assertIn(stamp[:4], mixed)

    def hold_answer(self, driver):
        """The next answer of the sheet comes when it is let go; `window.late` is 2 a second on."""
        driver.execute_script("""
            const ask = window.fetch;
            window.late = 0;
            window.fetch = async (...question) => {
              if (question[0] === "/v1/sheet" && window.late === 0) {
                window.late = 1;
                await new Promise((go) => { window.letGo = go; });
                setTimeout(() => { window.late = 2; }, 1000);
              }
              return ask(...question);
            };""")

    def let_go(self, driver):
        driver.execute_script("window.letGo()")
        wait_for(lambda: driver.execute_script("return window.late === 2"), "the late answer")

    def test_an_answer_that_comes_late_does_not_replace_a_newer_one(self):
        driver = self.open("#trials")
        self.rows(driver, PIECE)
        self.hold_answer(driver)
        older = driver.find_element(By.XPATH, "//button[text()='Older runs']")
        older.click()
        older.click()
        self.rows(driver, RUNS)
        self.let_go(driver)
        self.assertEqual(self.rows(driver, RUNS), self.numbers(RUNS))

    def test_an_answer_that_comes_while_somebody_types_waits_for_him(self):
        driver = self.open(f"#token={self.token('operator')}")
        driver.execute_script("location.hash = 'trials'")
        self.rows(driver, PIECE)
        self.hold_answer(driver)
        driver.find_element(By.XPATH, "//button[text()='Older runs']").click()
        reason = driver.find_element(By.ID, f"reason-{RUNS}")
        reason.send_keys("spilt")
        self.let_go(driver)
        self.assertEqual(driver.switch_to.active_element, reason)
        self.assertEqual(reason.get_attribute("value"), "spilt")
        reason.send_keys(Keys.BACKSPACE * len("spilt"))
        self.assertEqual(self.rows(driver, 2 * PIECE), self.numbers(2 * PIECE))

    def test_striking_out_keeps_the_older_runs_in_view(self):
        driver = self.open(f"#token={self.token('operator')}")
        driver.execute_script("location.hash = 'trials'")
        self.rows(driver, PIECE)
        driver.find_element(By.XPATH, "//button[text()='Older runs']").click()
        self.rows(driver, 2 * PIECE)
        number = RUNS - 2 * PIECE + 2
        reason = driver.find_element(By.ID, f"reason-{number}")
        reason.send_keys("spilt\n")
        wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, "tr.struck #" f"reason-{number}"),
                 "the run struck out")
        self.assertEqual(self.rows(driver, 2 * PIECE), self.numbers(2 * PIECE))
        self.check_log(driver)


if __name__ == "__main__":
    unittest.main()
