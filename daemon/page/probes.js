// The probes: whether they are well, how often their lines were faulty, and how they were
// calibrated.

import { get } from "./api.js";
import { make, wideTable } from "./dom.js";
import { duration, number, t } from "./texts.js";

export class ProbesView {
  constructor(bench) {
    this.bench = bench;
    this.rows = make("tbody");
    this.portRows = make("tbody");
    this.problems = make("ul", { class: "problems" });
    const head = (...keys) => keys.map((key) => t(`live_health.${key}`));
    this.element = make("div", { class: "probes" },
      this.problems,
      wideTable(t("live_health.probes"), head("probe", "port", "temperature", "health", "readings",
        "dropped", "faults", "calibration"), this.rows),
      wideTable(t("live_health.ports"), head("port", "state", "adapter", "opened", "faults"),
        this.portRows));
    this.calibrated = new Map();
    this.load();
  }

  async load() {
    try {
      const { calibrations, held } = await get("/v1/calibrations");
      this.calibrated = new Map(held.map(({ probe, number }) => [probe,
        calibrations.find((one) => one.number === number) ?? null]));
      this.shown = null;
    } catch {
      // Shown as not known; the link says what is wrong.
    }
  }

  draw() {
    const { status } = this.bench;
    const key = JSON.stringify([status.probes.map((one) => [one.readings, one.health, one.faults]),
      status.ports.map((one) => [one.state, one.reason, one.opens, one.faults]),
      status.problems]);
    if (key === this.shown) return;
    this.shown = key;
    this.problems.replaceChildren(...status.problems.map((text) => make("li", {}, text)));
    this.rows.replaceChildren(...status.probes.map((probe) => this.probeRow(probe)));
    this.portRows.replaceChildren(...status.ports.map((port) => this.portRow(port)));
  }

  faults(counts) {
    const list = Object.entries(counts).map(([kind, count]) => `${kind} ${count}`);
    return list.length ? list.join(", ") : t("live_health.none");
  }

  calibration(probe) {
    if (!this.calibrated.has(probe.name)) return "\u2013";
    const found = this.calibrated.get(probe.name);
    return found ? found.made_at.slice(0, 10) : t("live_health.as_bought");
  }

  probeRow(probe) {
    return make("tr", {}, make("th", { scope: "row" }, probe.name), make("td", {}, probe.port),
      make("td", { class: "number" }, probe.last_degC === null ? "\u2013"
        : `${number(probe.last_degC, 2)} \u00b0C`),
      make("td", {}, probe.stale ? t("live_probe.stale") : t(`live_health.${probe.health}`)),
      make("td", { class: "number" }, String(probe.readings)),
      make("td", { class: "number" }, String(probe.dropped)),
      make("td", {}, this.faults(probe.faults)), make("td", {}, this.calibration(probe)));
  }

  portRow(port) {
    const state = port.reason ? `${port.state}: ${port.reason}` : port.state;
    return make("tr", {}, make("th", { scope: "row" }, port.name),
      make("td", {}, `${state} (${duration(port.for_s)})`),
      make("td", {}, port.adapter ?? "\u2013"),
      make("td", { class: "number" }, String(port.opens)),
      make("td", {}, this.faults(port.faults)));
  }
}
