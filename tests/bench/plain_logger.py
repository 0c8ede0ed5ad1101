"""The same job done plainly: read a line from every port, stamp it, put it into SQLite. No runs, no
page, no checks, and a second of readings is lost with the process.

plain_logger.py STORE PORT...: until SIGTERM.
"""

import selectors
import signal
import sqlite3
import sys
import time

import serial


def main(path, names):
    ended = []
    signal.signal(signal.SIGTERM, lambda *_: ended.append(True))
    store = sqlite3.connect(path)
    store.execute("PRAGMA journal_mode = WAL")
    store.execute("CREATE TABLE reading "
                  "(time_s REAL, port TEXT, place INTEGER, temperature_degC REAL)")
    ports = [serial.Serial(name, 115200, timeout=1) for name in names]
    ready = selectors.DefaultSelector()
    for port in ports:
        ready.register(port, selectors.EVENT_READ)
    committed = time.monotonic()
    while not ended:
        for key, _ in ready.select(0.5):
            port = key.fileobj
            line = port.readline()
            now_s = time.time()
            for column, text in enumerate(line.split(b",")):
                store.execute("INSERT INTO reading VALUES (?, ?, ?, ?)",
                              (now_s, port.port, column, float(text)))
        if time.monotonic() - committed > 1.0:
            store.commit()
            committed = time.monotonic()
    store.commit()


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2:])
