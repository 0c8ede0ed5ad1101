// The run under way: its period, the time since mixing, timed readings, and the rise as it gets
// surer.

import { make, setText, show } from "./dom.js";
import { duration, measured, number, t } from "./texts.js";
import { mixingOf, nextTimed, timedReadings } from "./timed.js";

export class RunPanel {
  constructor(bench) {
    this.bench = bench;
    this.period = make("p", { class: "period" });
    this.since = make("p", { class: "since digits" });
    this.next = make("p", { class: "next-reading" });
    this.rise = make("p", { class: "rise" });
    this.surer = make("p", { class: "surer" });
    this.rows = make("tbody");
    this.table = make("table", { class: "timed" },
      make("caption", {}, t("live_run.timed")),
      make("thead", {}, make("tr", {}, make("th", { scope: "col" }, t("live_run.time")),
        make("th", { scope: "col" }, t("live_run.temperature")))),
      this.rows);
    this.inRun = make("div", { class: "in-run", hidden: true },
      make("h3", {}, t("live_run.since_mixing")), this.since, this.next,
      make("h3", {}, t("live_run.rise")), this.rise, this.surer, this.table);
    this.element = make("section", { class: "run" }, this.period, this.inRun);
  }

  draw() {
    const { run } = this.bench.status;
    setText(this.period, t(`live_run.${this.periodOf(run)}`));
    const mixing_us = mixingOf(this.bench.status);
    show(this.inRun, mixing_us !== null);
    if (mixing_us === null) return;
    const now_us = this.bench.now_us();
    setText(this.since, duration((now_us - mixing_us) / 1e6));
    const next = nextTimed(mixing_us, now_us);
    const words = next && { at: duration(next.after_s), wait: Math.ceil(next.wait_s) };
    setText(this.next,
      next ? `${t("live_run.next_reading")} ${t("live_run.next_reading_in", words)}` : "");
    this.drawRise(run.provisional);
    this.drawTimed(mixing_us, now_us);
  }

  periodOf(run) {
    if (run.state !== "running") return run.state;
    return run.settled_us === null ? "mixing" : "after";
  }

  drawRise(provisional) {
    const hidden = provisional?.hidden;
    const rise = provisional?.corrected_rise_K;
    setText(this.rise, hidden ? t("live_run.rise_hidden")
      : rise ? measured(rise, "K") : t("live_run.rise_wait"));
    const pays = provisional?.going_on_pays;
    setText(this.surer, rise ? t(`live_run.going_on_${pays ? "pays" : "idle"}`) : "");
  }

  drawTimed(mixing_us, now_us) {
    const cup = this.bench.probe("cup");
    if (!cup) return;
    const rows = timedReadings(cup.series, mixing_us, now_us);
    const key = rows.map((row) => row.temperature_degC.toFixed(2)).join();
    if (key === this.shown) return;
    this.shown = key;
    this.rows.replaceChildren(...rows.map((row) => make("tr", {},
      make("td", {}, duration(row.after_s)),
      make("td", {}, `${number(row.temperature_degC, 2)} \u00b0C`))));
  }
}
