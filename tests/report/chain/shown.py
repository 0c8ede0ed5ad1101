"""Numbers as they are shown, and what a reader makes of them with a pencil."""

import re

NUMBER = re.compile(r"\d+(?:\.\d+)?")


class Shown:
    """A number as it is printed: its value, and half a unit of its last digit. Results bear two
    significant digits of their uncertainty, so that zeros behind two others at the end of a whole
    number stand for digits that were rounded."""

    def __init__(self, text):
        plain = text.replace("\N{MINUS SIGN}", "-")
        self.text = text
        self.value = float(plain)
        decimals = len(plain.split(".")[1]) if "." in plain else 0
        digits = plain.lstrip("-")
        rounded = min(len(digits) - len(digits.rstrip("0")), max(len(digits) - 2, 0))
        self.half_unit = 0.5 * 10.0 ** (-decimals if "." in plain else rounded)


def is_shown(text):
    return re.fullmatch(r"[\N{MINUS SIGN}-]?\d+(\.\d+)?", text) is not None


def python_of(expression):
    """An expression of the page as Python has it."""
    for shown, python in (("\N{MINUS SIGN}", "-"), ("\N{MIDDLE DOT}", "*"), (";", ",")):
        expression = expression.replace(shown, python)
    return expression


def reckoned(expression):
    """Value of an expression of numbers, and by how much it may be off because its numbers are
    rounded: each by half a unit of its last digit, all in the worst direction. Numbers that belong
    to the formula itself (whole ones without a point) are exact."""
    python = python_of(expression)
    places = [(found.start(), found.end()) for found in NUMBER.finditer(python)]

    def value(shift_at=None, by=0.0):
        text, end = "", 0
        for number, (start, stop) in enumerate(places):
            plain = float(python[start:stop]) + (by if number == shift_at else 0.0)
            text += python[end:start] + repr(plain)
            end = stop
        return eval(text + python[end:], {"__builtins__": {}}, {"min": min})

    middle = value()
    off = 0.0
    for number, (start, stop) in enumerate(places):
        if "." not in python[start:stop]:
            continue
        half_unit = Shown(python[start:stop]).half_unit
        off += abs(value(number, half_unit) - middle)
    return middle, off
