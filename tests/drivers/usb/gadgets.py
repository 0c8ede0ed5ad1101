"""USB serial adapters that the kernel makes itself: gadgets (CDC ACM, by configfs) at the ports of
dummy_hcd. One end of an adapter is /dev/ttyGS*, the other /dev/ttyACM* with its lasting name."""

import contextlib
import os
import pathlib
import threading
import time
import tty

GADGETS = pathlib.Path("/sys/kernel/config/usb_gadget")
TESTS_VENDOR = "0x1209"  # pid.codes, whose products 1 to 16 are for tests
MAKER, PRODUCT = "bench", "probe_board"


class Adapter:
    """A board with an adapter of its own serial number, at a port of the host controller."""

    def __init__(self, port, serial):
        self.port, self.serial = port, serial
        self.is_plugged = False
        self.path = GADGETS / serial
        self.path.mkdir()
        self.set("idVendor", TESTS_VENDOR)
        self.set("idProduct", "0x0001")
        strings = self.path / "strings/0x409"
        strings.mkdir()
        for key, text in (("serialnumber", serial), ("manufacturer", MAKER), ("product", PRODUCT)):
            (strings / key).write_text(text, encoding="ascii")
        function = self.path / f"functions/acm.{serial}"
        function.mkdir()
        config = self.path / "configs/c.1"
        config.mkdir()
        (config / function.name).symlink_to(function)
        number = (function / "port_num").read_text(encoding="ascii").strip()
        self.board_end = f"/dev/ttyGS{number}"
        self.name = f"/dev/serial/by-id/usb-{MAKER}_{PRODUCT}_{serial}-if00"

    def set(self, key, text):
        (self.path / key).write_text(text, encoding="ascii")

    def plug_in(self):
        self.set("UDC", f"dummy_udc.{self.port}")
        self.is_plugged = True

    def unplug(self):
        self.is_plugged = False
        self.set("UDC", "\n")

    @contextlib.contextmanager
    def held(self):
        """The board's end, open: DSR and DCD are on at the other one as long as it is."""
        end = os.open(self.board_end, os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)
        try:
            tty.setraw(end)
            yield end
        finally:
            os.close(end)


class Talker(threading.Thread):
    """The board: says `line(n)` for n = 0, 1, 2... every `interval_s`, whether it is plugged in or
    not. `said` has when each was handed over (steady time), None where it could not be."""

    def __init__(self, adapter, line, interval_s=0.1):
        super().__init__(daemon=True)
        self.adapter, self.line, self.interval_s = adapter, line, interval_s
        self.said = []
        self.ended = threading.Event()
        self.start()

    def run(self):
        due = time.monotonic()
        while not self.ended.is_set():
            # A board that was unplugged is another one to its own end, too.
            with contextlib.suppress(OSError), self.adapter.held() as end:
                while not self.ended.wait(max(0.0, due - time.monotonic())):
                    due += self.interval_s
                    self.said.append(None)
                    data = self.line(len(self.said) - 1)
                    # The adapter would keep it for later, which a board without power does not.
                    if self.adapter.is_plugged and os.write(end, data) == len(data):
                        self.said[-1] = time.monotonic()
            self.ended.wait(0.005)

    def end(self):
        self.ended.set()
        self.join()
