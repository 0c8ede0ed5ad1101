// One probe, large enough to be read from three metres, and whether it is steady.

import { make, setText } from "./dom.js";
import { duration, number, t } from "./texts.js";

export class Vessel {
  constructor(bench, role) {
    this.bench = bench;
    this.role = role;
    this.digits = make("span", { class: "digits" });
    this.state = make("p", { class: "vessel-state" });
    this.mark = make("span", { class: "vessel-mark", "aria-hidden": "true" });
    this.element = make("section", { class: `vessel vessel-${role}`, hidden: true },
      make("h2", {}, this.mark, t(`live_probe.${role}`)),
      make("p", { class: "reading" }, this.digits, make("span", { class: "unit" }, "\u00b0C")),
      this.state);
  }

  draw() {
    const probe = this.bench.probe(this.role);
    this.element.hidden = !probe;
    if (!probe) return;
    const newest = probe.stale ? null : (probe.series.temperature_degC.at(-1) ?? probe.last_degC);
    setText(this.digits, number(newest, 2));
    const [kind, text] = this.stateOf(probe);
    this.element.dataset.state = kind;
    setText(this.state, text);
  }

  stateOf(probe) {
    if (probe.stale) {
      const age_s = probe.age_s;
      return ["stale", age_s === null ? t("live_probe.stale")
        : t("live_probe.stale_for", { time: duration(age_s) })];
    }
    if (probe.health === "frozen") return ["stale", t("live_probe.frozen")];
    if (probe.steady_since_us !== null) {
      const since_s = (this.bench.now_us() - probe.steady_since_us) / 1e6;
      return ["steady", t("live_probe.steady_for", { time: duration(since_s) })];
    }
    if (probe.drift_K_per_min === null) return ["moving", t("live_probe.settling")];
    const sign = probe.drift_K_per_min > 0 ? "+" : "";
    const drift = `${sign}${number(probe.drift_K_per_min, 2)} K/min`;
    return ["moving", t("live_probe.drifting", { drift })];
  }
}
