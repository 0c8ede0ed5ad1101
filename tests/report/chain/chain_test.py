"""Reports of invented days, walked from their results back to what was measured, line by line.

chain_test.py NESTCUP [REPORT.html ...]: reports that are there already are walked, too."""

import pathlib
import re
import subprocess
import sys
import tempfile

from page import Page
from walk import Walk

HERE = pathlib.Path(__file__).parent


def report(nestcup, sheet, folder, *words):
    path = folder / "report.html"
    subprocess.run([nestcup, "report", "--sheet", sheet, "--out", path, "--replace", *words],
                   check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return path.read_text(encoding="utf-8")


def check_walk(name, text, least_steps):
    walk = Walk(text).all()
    assert walk.steps >= least_steps, f"{name}: only {walk.steps} numbers were followed"
    print(f"{name}: {walk.steps} numbers follow from those above them; "
          f"the farthest takes {walk.worst:.2f} of what rounding allows")


def check_sees_mistakes(text):
    """The walk must stumble over any number that is changed in a table of the working."""
    numbers = [found for found in re.finditer(
        r'<td class="number">(\N{MINUS SIGN}?\d+\.\d+)</td>', text)]
    stumbled = 0
    for found in numbers:
        digit = found.end(1) - 1
        # The last digit but one, so that rounding is no excuse.
        if text[digit - 1] == ".":
            digit -= 1
        digit -= 1
        other = str((int(text[digit]) + 5) % 10)
        try:
            Walk(text[:digit] + other + text[digit + 1:]).all()
        except (AssertionError, KeyError, ZeroDivisionError):
            stumbled += 1
    share = stumbled / len(numbers)
    assert share > 0.9, f"only {stumbled} of {len(numbers)} changed numbers are noticed"
    print(f"of {len(numbers)} numbers, changed one at a time, {stumbled} are noticed")


def check_german(english, german):
    """The same numbers in the same tables, with decimal commas."""
    ours, theirs = Page(english), Page(german)
    assert len(ours.tables) == len(theirs.tables)
    compared = 0
    for mine, other in zip(ours.tables, theirs.tables):
        for row, same in zip(mine.rows, other.rows):
            for cell, twin in zip(row, same):
                if re.fullmatch(r"\N{MINUS SIGN}?\d+\.\d+", cell.text):
                    assert twin.text == cell.text.replace(".", ","), (cell.text, twin.text)
                    compared += 1
    assert compared > 50, compared


def check_left_free(nestcup, sheet, folder):
    """Without results there is no number of theirs, nor anything to compare with."""
    whole = Page(report(nestcup, sheet, folder))
    free_text = report(nestcup, sheet, folder, "--without-results")
    free = Page(free_text)
    for row in free.table("What came out").rows:
        assert row[1].text.strip() == "" and row[2].text.strip() == "", row
    assert not [table.title for table in free.tables if "accepted" in table.title]
    for row, result in zip(whole.table("What came out").rows, free.table("What came out").rows):
        assert row[0].text == result[0].text
        # A constant that the sheet gives is no result.
        given = row[0].text == "calorimeter constant" and row[1].text == "28.0"
        assert given or row[1].text not in free_text, (
            f"{row[1].text} of {row[0].text} is given away")


def main():
    nestcup = sys.argv[1]
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        for sheet, least_steps in (("tables", 200), ("conventions", 40), ("reference", 40),
                                   ("scattered", 40)):
            path = HERE / "sheets" / f"{sheet}.toml"
            english = report(nestcup, path, folder)
            check_walk(sheet, english, least_steps)
            check_german(english, report(nestcup, path, folder, "--language", "de"))
            check_left_free(nestcup, path, folder)
            if sheet == "reference":
                check_sees_mistakes(english)
    for path in sys.argv[2:]:
        check_walk(path, pathlib.Path(path).read_text(encoding="utf-8"), 100)


if __name__ == "__main__":
    main()
