"""Seeds for the protocols' fuzz targets from captured traffic.

usage: seeds_from_captures.py FOLDER CAPTURE...

The first four bytes of a seed choose settings (tests/fuzz/protocol_property.cpp); what follows is
what the device said, whole and in stretches of eight pieces.
"""

import pathlib
import sys

HEADS = (bytes([0, 0, 0, 7]), bytes([3, 0, 0, 31]), bytes([64, 2, 0, 3]), bytes([250, 1, 1, 90]))
STRETCH = 8


def said(capture):
    """The pieces that came from the device."""
    for line in pathlib.Path(capture).read_text(encoding="ascii").splitlines():
        if not line.startswith("#"):
            _, direction, digits = line.split()
            if direction == "<":
                yield bytes.fromhex(digits)


def main(folder, captures):
    number = 0
    for capture in captures:
        pieces = list(said(capture))
        stretches = [pieces[at:at + STRETCH] for at in range(0, len(pieces), STRETCH)]
        for stretch in [pieces] + stretches:
            head = HEADS[number % len(HEADS)]
            seed = head + b"\n" + b"".join(stretch)
            (pathlib.Path(folder) / f"captured-{number}").write_bytes(seed)
            number += 1


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    main(sys.argv[1], sys.argv[2:])
