#!/usr/bin/env python3
"""The page of a bench that has been used for terms: the newest runs, and older ones when asked."""

import os
import subprocess
import unittest

from selenium.webdriver.common.by import By

from page_rig import PageTest
from rig import Rig, wait_for

RUNS = 120
PIECE = 50


class Terms(PageTest):
    def made_rig(self, listen):
        rig = Rig("still.toml", listen=listen)
        subprocess.run([os.environ["NESTCUP_WRITE_STORE"], rig.store_path, str(RUNS)], check=True)
        return rig

    def rows(self, driver, count):
        rows = wait_for(lambda: len(found := driver.find_elements(
            By.CSS_SELECTOR, ".trials tbody tr")) == count and found, f"{count} rows")
        return [row.find_element(By.TAG_NAME, "th").text for row in rows]

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
