"""What the live page costs and how quick it is: figures, one a line: name, value, unit.

bench_page.py [--short]; the environment as in tests/browser/page_rig.py. A real daemon in real
time, ten readings a second of each of three probes that are asked, a real browser, and watchers of
another make (Python's websockets). The time from a reading's stamp to its digits on the page is
told by the machine's clock: the page notes when they change.
"""

import asyncio
import contextlib
import datetime
import json
import pathlib
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "daemon"))
sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "browser"))

import websockets  # noqa: E402
from selenium.webdriver.common.by import By  # noqa: E402

from bench_daemon import bench_probes, figure, scenario  # noqa: E402
from page_rig import chrome  # noqa: E402
from rig import Rig, free_port, wait_for  # noqa: E402

VIEWERS = 40
DAY_S = 86400
# Notes for each change of the cup's digits which reading was the newest, and the time by then.
NOTES = """
window.seen = [];
let newest_us = null;
const Real = WebSocket;
window.WebSocket = class extends Real {
  constructor(...words) {
    super(...words);
    this.addEventListener("message", ({ data }) => {
      const told = JSON.parse(data);
      if (told.kind === "readings" && told.probes[0]) newest_us = told.probes[0].time_us.at(-1);
    });
  }
};
addEventListener("DOMContentLoaded", () => new MutationObserver(() => {
  const digits = document.querySelector(".vessel-cup .digits")?.textContent;
  if (digits && digits !== window.before && newest_us) seen.push([newest_us, Date.now()]);
  window.before = digits;
}).observe(document.body, { childList: true, subtree: true, characterData: true }));
"""


async def watch(url, count, seconds):
    """So many of another make, who take all that they are told. @return messages"""
    async def one():
        told = 0
        async with websockets.connect(url) as line:
            with contextlib.suppress(asyncio.TimeoutError):
                async with asyncio.timeout(seconds):
                    async for _ in line:
                        told += 1
        return told
    return sum(await asyncio.gather(*(one() for _ in range(count))))


@contextlib.contextmanager
def bench(folder, **more):
    path = scenario(folder, probes=3, interval_s=0.1, polled=True)
    port = {"settle_s": 0.1, "request": "R\n"}
    address = f"127.0.0.1:{free_port()}"
    with Rig(path, bench_probes(3), port, 1.0, precedence=False, interval_s=0.1, listen=address,
             **more) as rig:
        yield rig, address


def wall_ms_of(status):
    """A function from the bench's axis to the machine's clock, ms."""
    clock = status["clock"]
    anchor_ms = 1e3 * datetime.datetime.fromisoformat(
        clock["now"].replace("Z", "+00:00")).timestamp()
    return lambda time_us: anchor_ms + (time_us - clock["now_us"]) / 1e3


def watchers(address, count, seconds):
    """In a process of its own. @return messages that they took"""
    done = subprocess.run([sys.executable, "-B", __file__, "--watch",
                           f"ws://{address}/v1/stream", str(count), str(seconds)],
                          check=True, capture_output=True, text=True)
    return int(done.stdout)


def latency(folder, seconds, viewers):
    """From a reading's stamp to its digits, and how late the sampler was meanwhile."""
    with bench(folder) as (rig, address):
        rig.start()
        driver = chrome()
        try:
            driver.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": NOTES})
            driver.get(f"http://{address}/")
            told = watchers(address, viewers, seconds)
            wall_ms = wall_ms_of(rig.status())
            seen = driver.execute_script("return window.seen")
            sampler = rig.status()["sampler"]
        finally:
            driver.quit()
    took_ms = sorted(at_ms - wall_ms(time_us) for time_us, at_ms in seen[5:])
    assert len(took_ms) > seconds and (told > 0 or not viewers)
    name = f"page.viewers_{viewers}"
    figure(f"{name}.changes", len(took_ms), "1")
    figure(f"{name}.median", statistics.median(took_ms), "ms")
    figure(f"{name}.p99", took_ms[int(0.99 * (len(took_ms) - 1))], "ms")
    for key in ("ticks", "missed", "late_median_us", "late_p99_us"):
        figure(f"{name}.sampler.{key}", sampler[key], "us" if key.endswith("us") else "1")


def fill(rig, count):
    """A day of ten readings a second and probe, before the daemon's next start."""
    with sqlite3.connect(rig.store_path) as store:
        ((last_us,),) = store.execute("SELECT max(time_us) FROM reading")
        probes = [row[0] for row in store.execute("SELECT id FROM probe")]
        begin_us = last_us + 1_000_000
        store.executemany(
            "INSERT INTO reading VALUES (?, ?, ?, NULL)",
            ((begin_us + 100_000 * i, probe, 22.0 + 2.0 * ((i // 6000) % 2) + 1e-4 * (i % 6000))
             for i in range(count) for probe in probes))
        store.execute("UPDATE reading_total SET rows = rows + ?", (count * len(probes),))
        store.execute("UPDATE session SET axis_us = axis_us, wall_us = wall_us - ?, "
                      "machine_us = machine_us - ?", (count * 100_000, count * 100_000))
    return begin_us + 100_000 * count


CURVE = """
const done = arguments[0];
const choice = document.querySelector("#span");
const begun = performance.now();
choice.value = "1440";
choice.dispatchEvent(new Event("change"));
const words = document.querySelector(".curve-words");
const look = () => {
  const live = document.querySelector(".link").dataset.state === "live";
  if (live && document.querySelector(".curve-plot canvas")) {
    requestAnimationFrame(() => done(performance.now() - begun));
  } else requestAnimationFrame(look);
};
requestAnimationFrame(() => requestAnimationFrame(look));
"""


def first_curve(folder, count):
    """A page that opens over a day's log; then the whole day is asked for."""
    with bench(folder) as (rig, address):
        rig.start()
        wait_for(lambda: rig.status()["store"]["committed_readings"] > 30, "readings")
        rig.daemon.end()
        fill(rig, count)
        begun = time.monotonic()
        rig.start_daemon()
        figure("page.day.daemon_start", time.monotonic() - begun, "s")
        figure("page.day.readings", 3 * count, "1")
        driver = chrome()
        try:
            begun = time.monotonic()
            driver.get(f"http://{address}/")
            wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, ".curve-plot canvas"), "curve")
            figure("page.day.first_curve", time.monotonic() - begun, "s")
            for _ in range(3):
                driver.set_script_timeout(60)
                took_ms = driver.execute_async_script(CURVE)
                figure("page.day.whole_day", took_ms / 1e3, "s")
            now_us = rig.status()["clock"]["now_us"]
            begun = time.monotonic()
            answer = subprocess.run(
                ["curl", "-s", "-f", f"http://{address}/v1/readings?from_us="
                 f"{max(0, now_us - DAY_S * 1_000_000)}&to_us={now_us}&points=4000"],
                check=True, capture_output=True).stdout
            figure("page.day.readings_answer", time.monotonic() - begun, "s")
            points = [len(one["time_us"]) for one in json.loads(answer)["probes"]]
            assert min(points) > 1000, points
            figure("page.day.points", sum(points), "1")
        finally:
            driver.quit()


def page_bytes(folder):
    """All that a browser fetches before the first reading."""
    with bench(folder) as (rig, address):
        rig.start()
        driver = chrome()
        try:
            driver.get(f"http://{address}/")
            wait_for(lambda: driver.find_elements(By.CSS_SELECTOR, ".link[data-state=live]"),
                     "live")
            total = driver.execute_script(
                "return performance.getEntries().reduce((all, one) =>"
                " all + (one.transferSize ?? 0), 0)")
            figure("page.transferred", total / 1e3, "kB")
            assert total > 0
        finally:
            driver.quit()


def main():
    if "--watch" in sys.argv:
        url, count, seconds = sys.argv[2:]
        if count == "0":
            time.sleep(float(seconds))
        return print(asyncio.run(watch(url, int(count), float(seconds))))
    is_short = "--short" in sys.argv[1:]
    with tempfile.TemporaryDirectory(prefix="nestcup-page-") as folder:
        folder = pathlib.Path(folder)
        page_bytes(folder)
        for viewers in (0, 3 if is_short else VIEWERS - 1):
            latency(folder, 3.0 if is_short else 30.0, viewers)
        first_curve(folder, 2000 if is_short else 10 * DAY_S)


if __name__ == "__main__":
    main()
