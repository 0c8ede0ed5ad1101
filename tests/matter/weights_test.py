#!/usr/bin/env python3
"""Holds the atomic weights to an older, independent table: that of Debian's package bodr.

weights_test.py LIST_ELEMENTS  LIST_ELEMENTS prints symbol, number, weight, half range a line.
Each weight must lie within both tables' ranges together: what IUPAC has changed since is no more.
"""

import subprocess
import sys
import xml.etree.ElementTree as xml

TABLE = "/usr/share/bodr/elements.xml"
HIGHEST_NUMBER = 92
# Elements with a standard atomic weight (IUPAC 2021), all of them up to uranium.
ELEMENTS = 84


def bodr_weights():
    """number -> (symbol, weight, half range), where the table states an element's weight."""
    weights = {}
    for atom in xml.parse(TABLE).getroot():
        if not atom.tag.endswith("atom"):
            continue
        fields = {part.get("dictRef"): part for part in atom if part.get("dictRef")}
        labels = {part.get("dictRef"): part.get("value") for part in atom if part.get("value")}
        number = int(fields["bo:atomicNumber"].text)
        mass = fields.get("bo:mass")
        if not 1 <= number <= HIGHEST_NUMBER or mass is None:
            continue
        decimals = len(mass.text.partition(".")[2])
        half_range = float(mass.get("errorValue", 1)) * 10.0 ** -decimals
        weights[number] = (labels["bo:symbol"], float(mass.text), half_range)
    return weights


def main():
    listed = subprocess.run([sys.argv[1]], capture_output=True, text=True, check=True).stdout
    theirs = bodr_weights()
    failures = 0
    compared = 0
    for line in listed.splitlines():
        symbol, number, weight, half_range = line.split()
        their_symbol, their_weight, their_half_range = theirs[int(number)]
        compared += 1
        off = abs(float(weight) - their_weight)
        allowed = float(half_range) + their_half_range
        if symbol != their_symbol:
            print(f"{number}: {symbol} is {their_symbol} in the table")
            failures += 1
        elif off > allowed * (1 + 1e-9):
            print(f"{symbol}: {weight} +- {half_range}, table {their_weight} +- {their_half_range}")
            failures += 1
    print(f"{compared} elements compared, {failures} failures")
    return 0 if failures == 0 and compared == ELEMENTS else 1


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    sys.exit(main())
