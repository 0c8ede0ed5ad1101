"""Steps of the clocks that a program sees, by the library shim/clock_steps.c."""

import os
import struct

SHIM = os.environ["NESTCUP_TEST_CLOCK_SHIM"]
REALTIME, MONOTONIC, BOOTTIME = range(3)
HOUR_S = 3600


class Clocks:
    """The steps of one program's clocks, s."""

    def __init__(self, path):
        self.path = path
        self.path.write_bytes(bytes(3 * 8))

    def environment(self):
        return {**os.environ, "LD_PRELOAD": SHIM, "NESTCUP_TEST_CLOCK_STEPS": str(self.path)}

    def step(self, which, by_s):
        with open(self.path, "r+b") as file:
            file.seek(8 * which)
            before, = struct.unpack("q", file.read(8))
            file.seek(8 * which)
            file.write(struct.pack("q", before + int(by_s * 1e9)))
