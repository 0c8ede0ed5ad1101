#!/usr/bin/env python3
"""A trial from the sheet to its result, by keyboard alone and by touch alone: what the page shows
is what the store has."""

import json
import os
import subprocess
import time
import unittest

from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from page_rig import ADDED, PageTest
from rig import CUP, SPEED, Rig, repeated_after_stalls, wait_for

# Water is warmed by water, whose heat the cup's constant is worked out of.
SHEET = """[sheet]
title = "Warm and cold"
[conventions]
density_g_per_mL = 1.0
heat_capacity_J_per_g_K = 4.184
[[trial]]
name = "cold first"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 50.0 }
added = { substance = "water", volume_mL = 50.0 }
[[trial]]
name = "warm and cold"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 50.0 }
added = { substance = "water", volume_mL = 50.0 }
"""
AMOUNT = "amount-warm-and-cold-added-volume_mL"


class Keyboard:
    """Tab, letters, Enter: what has the focus is asked of the browser, never set."""

    def __init__(self, driver):
        self.driver = driver

    def press(self, *keys):
        ActionChains(self.driver).send_keys(*keys).perform()

    def select_all(self):
        ActionChains(self.driver).key_down(Keys.CONTROL).send_keys("a").key_up(
            Keys.CONTROL).perform()

    def go_to(self, what):
        """Tabs on until that has the focus. @param what  a condition in JavaScript on `here`"""
        for _ in range(200):
            if self.driver.execute_script(
                    f"const here = document.activeElement; return Boolean({what})"):
                return
            self.press(Keys.TAB)
        raise AssertionError(f"Tab never gets to {what}")

    def view(self, name):
        self.go_to(f"here.hash === '#{name}'")
        self.press(Keys.ENTER)

    def push(self, name):
        self.go_to(f"here.tagName === 'BUTTON' && here.textContent === '{name}'")
        self.press(Keys.ENTER)

    def choose_trial(self):
        self.go_to("here.textContent === 'Do this one next'"
                   " && here.parentElement.querySelector('h3').textContent === 'warm and cold'")
        self.press(Keys.ENTER)

    def write(self, field, text):
        self.go_to(f"here.id === '{field}'")
        self.select_all()
        self.press(text, Keys.ENTER)

    def pour(self):
        self.press("p")


class Touch:
    """Taps where things are seen, as fingers do; letters come from the tablet's own keyboard."""

    def __init__(self, driver):
        self.driver = driver
        driver.execute_cdp_cmd("Emulation.setTouchEmulationEnabled",
                               {"enabled": True, "maxTouchPoints": 2})

    def place(self, path):
        """Where that is seen, found and measured at once; null where it is not (yet)."""
        return self.driver.execute_script(
            "const found = document.evaluate(arguments[0], document, null,"
            "  XPathResult.ORDERED_NODE_SNAPSHOT_TYPE, null);"
            "for (let i = 0; i < found.snapshotLength; i += 1) {"
            "  const one = found.snapshotItem(i);"
            "  if (!one.checkVisibility()) continue;"
            "  one.scrollIntoView({block: 'center', behavior: 'instant'});"
            "  const box = one.getBoundingClientRect();"
            "  return [box.x + box.width / 2, box.y + box.height / 2, box.width, box.height];"
            "} return null;", path)

    def tap(self, path):
        x, y, width, height = wait_for(lambda: self.place(path), path)
        assert min(width, height) >= 44, f"{path} is {width} x {height}: too small for a glove"
        for kind, points in (("touchStart", [{"x": x, "y": y}]), ("touchEnd", [])):
            self.driver.execute_cdp_cmd("Input.dispatchTouchEvent",
                                        {"type": kind, "touchPoints": points})

    def view(self, name):
        self.tap(f"//nav/a[@href='#{name}']")

    def push(self, name):
        self.tap(f"//button[text()='{name}']")

    def choose_trial(self):
        self.tap("//article[h3='warm and cold']//button[text()='Do this one next']")

    def write(self, field, text):
        self.tap(f"//input[@id='{field}']")
        wait_for(lambda: self.driver.execute_script("return document.activeElement.id") == field,
                 "the field")
        for command, words in (("Input.dispatchKeyEvent", {"type": "keyDown", "commands":
                                                           ["selectAll"]}),
                               ("Input.insertText", {"text": text})):
            self.driver.execute_cdp_cmd(command, words)
        self.tap(f"//form[input[@id='{field}']]/button")

    def pour(self):
        self.push("I am pouring now")


class Hands(PageTest):
    def made_rig(self, listen):
        rig = Rig("one-trial.toml", probes=[CUP, ADDED], after_period_s=600, listen=listen,
                  sheet="day.toml", speed=min(SPEED, 10))  # a hand takes its time
        (rig.folder / "day.toml").write_text(SHEET, encoding="utf-8")
        return rig

    def nestcup(self, *words):
        done = subprocess.run([os.environ["NESTCUP"], *words, "--json", "--bench",
                               self.rig.bench_path], check=True, capture_output=True, text=True)
        return json.loads(done.stdout)

    def check_shown(self, text, quantity):
        """"9.87 +- 0.12 K" is that quantity, to the digits that stand there."""
        value, sign, u, _ = text.split(" ", 3)
        self.assertEqual(sign, "\u00b1")
        for shown, stored in ((value, quantity["value"]), (u, quantity["u"])):
            decimals = len(shown.partition(".")[2])
            self.assertEqual(shown.replace("\u2212", "-"), f"{stored:.{decimals}f}")

    def run_a_trial(self, hands, driver):
        hands.view("trials")
        hands.write(AMOUNT, "49,2")
        wait_for(lambda: "volume_mL = 49.2" in self.rig_sheet(), "the amount in the sheet")
        hands.choose_trial()
        wait_for(lambda: "Next: warm and cold 1" in self.text(driver, ".next-trial"), "the choice")
        hands.view("now")
        pour_s = 100.0
        wait_for(lambda: self.rig.scenario_s() >= pour_s, "the pour")
        hands.pour()
        wait_for(lambda: "After period" in self.text(driver, ".period"), "the after period")
        self.rig.wait_after_period(100.0)
        wait_for(lambda: "\u00b1" in self.text(driver, ".rise"), "a rise so far")
        hands.push("Finish this run")
        wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, "dialog.ask[open]"), "the question")
        self.answer(hands)
        return self.rig.wait_run()["record"]

    def answer(self, hands):
        if isinstance(hands, Keyboard):
            hands.press(Keys.ENTER)  # the answer that is offered
        else:
            hands.tap("//dialog//button[text()='Finish this run']")

    def rig_sheet(self):
        return (self.rig.folder / "day.toml").read_text(encoding="utf-8")

    def check_trial(self, hands, driver):
        record = self.run_a_trial(hands, driver)
        self.assertEqual((record["trial"]["name"], record["mixing"]["found_by"]),
                         ("warm and cold", "mark"))
        hands.view("trials")
        row = wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, "tbody td.number"), "the run")
        self.check_shown(row[0].text, record["corrected_rise_K"])
        hands.view("result")
        shown = wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, ".constant strong"),
                         "the result")[0].text
        results = self.nestcup("results", "--sheet", str(self.rig.folder / "day.toml"))
        self.check_shown(shown, results["calorimeter_constant_J_per_K"])
        self.check_log(driver)

    @repeated_after_stalls
    def test_by_keyboard_alone(self):
        driver = self.open(f"#token={self.token('operator')}")
        self.check_trial(Keyboard(driver), driver)

    @repeated_after_stalls
    def test_by_touch_alone(self):
        driver = self.open(f"#token={self.token('operator')}")
        driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
            "width": 820, "height": 1180, "deviceScaleFactor": 1, "mobile": True})
        self.check_trial(Touch(driver), driver)

    @repeated_after_stalls
    def test_nothing_is_taken_from_under_the_mouse(self):
        """The sheet is changed, and its trials are drawn anew, while a button is held down."""
        driver = self.open(f"#token={self.token('operator')}")
        Keyboard(driver).view("trials")
        button = wait_for(lambda: driver.find_elements(
            By.XPATH, "//article[h3='warm and cold']//button[text()='Do this one next']"),
            "the choice")[0]
        ActionChains(driver).click_and_hold(button).perform()
        self.assertEqual(self.rig.ask("POST", "/v1/amounts", {
            "trial": "warm and cold", "part": "added", "key": "volume_mL", "value": 47})[0], 200)
        time.sleep(1.0)
        ActionChains(driver).release().perform()
        wait_for(lambda: "Next: warm and cold 1" in self.text(driver, ".next-trial"), "the choice")
        wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, f"#{AMOUNT}[value='47']"), "anew")

    @repeated_after_stalls
    def test_what_is_said_moves_nothing(self):
        driver = self.open(f"#token={self.token('operator')}")
        hands = Keyboard(driver)
        hands.view("trials")
        wait_for(lambda: Touch.place(hands, f"//input[@id='{AMOUNT}']"), "the amount")
        place = "return document.querySelector('.slips').getBoundingClientRect().y + scrollY"
        before = driver.execute_script(place)
        hands.write(AMOUNT, "48")
        wait_for(lambda: "Undo" in self.text(driver, ".message"), "what was set")
        self.assertEqual(driver.execute_script(place), before)
        self.shoot(driver, "what-is-said")
        self.check_window(driver, "what-is-said")

    @repeated_after_stalls
    def test_what_was_struck_out_and_set_can_be_undone(self):
        driver = self.open(f"#token={self.token('operator')}")
        hands = Keyboard(driver)
        self.rig.wait_state("running")
        self.rig.wait_after_period(30.0)
        self.assertEqual(self.rig.ask("POST", "/v1/finish")[0], 200)
        run = self.rig.wait_run()
        hands.view("trials")
        hands.write(f"reason-{run['number']}", "spilt")
        wait_for(lambda: self.rig.runs()[0]["status"] == "struck", "struck out")
        hands.push("Undo")
        wait_for(lambda: self.rig.runs()[0]["status"] == "finished", "back")
        time.sleep(0.3)
        hands.write(AMOUNT, "12")
        wait_for(lambda: "volume_mL = 12" in self.rig_sheet(), "set")
        hands.push("Undo")
        wait_for(lambda: self.rig_sheet() == SHEET, "as it was")


if __name__ == "__main__":
    unittest.main()
