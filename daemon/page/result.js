// What came out: the calorimeter constant, each trial, the cycle beside what is accepted, and the
// report.

import { get, Questions } from "./api.js";
import { make, wideTable } from "./dom.js";
import { currentLanguage, measured, number, t, withArrow } from "./texts.js";

/** Everything that a trial may give, with its unit. */
const quantities = [["calorimeter_constant_J_per_K", "J/K"], ["delta_H_kJ_per_mol", "kJ/mol"],
  ["heat_capacity_J_per_g_K", "J/(g K)"], ["fusion_J_per_g", "J/g"]];
const far = 1; // |E_n| from here on: apart by more than their expanded uncertainties (k = 2)

export class ResultView {
  constructor(bench, say) {
    this.bench = bench;
    this.say = say;
    this.loads = new Questions();
    this.main = make("div", { "aria-live": "polite" });
    const tag = currentLanguage();
    this.element = make("div", { class: "result" }, this.main, make("p", { class: "papers" },
      make("a", { class: "button", href: `/v1/report?language=${tag}`, target: "_blank" },
        t("live_result.report")),
      make("a", { class: "button", target: "_blank",
        href: `/v1/report?language=${tag}&without_results=true` }, t("live_result.blank_report"))));
  }

  draw() {
    const { status } = this.bench;
    const key = [status.run.last_finished?.id, status.record_changes, status.sheet?.sha256,
      status.results_hidden, status.who].join(" ");
    if (key === this.shown) return;
    this.shown = key;
    this.load();
  }

  async load() {
    const isNewest = this.loads.begin();
    const { sheet } = this.bench.status;
    if (!sheet) return this.main.replaceChildren(make("p", {}, t("live_trials.no_sheet")));
    try {
      const results = await get("/v1/results");
      if (!isNewest()) return;
      this.main.replaceChildren(...this.parts(results, sheet));
    } catch (error) {
      if (!isNewest()) return;
      this.shown = null;
      await this.say(() => Promise.reject(error));
    }
  }

  parts(results, sheet) {
    const title = make("h2", { class: "sheet-title" }, sheet.title);
    if (results.hidden) {
      return [title, make("p", { class: "kept-back" }, t("live_result.hidden"))];
    }
    return [title, ...this.cycle(results.cycle), this.constant(results), this.trials(results),
      ...this.findings(results.findings)];
  }

  cycle(cycle) {
    if (!cycle) return [];
    const accepted = cycle.accepted_kJ_per_mol;
    return [make("section", { class: "cycle" },
      make("h3", {}, withArrow(cycle.target)),
      make("p", { class: "outcome digits" }, this.value(cycle.delta_H_kJ_per_mol, "kJ/mol")),
      accepted ? make("p", {}, t("live_result.accepted", {
        value: measured(accepted, "kJ/mol"), source: accepted.source })) : null,
      accepted ? make("p", { class: "judged" }, this.judged(cycle.E_n)) : null,
      this.terms(cycle))];
  }

  judged(E_n) {
    if (E_n === null) return "";
    const key = Math.abs(E_n) <= far ? "agrees" : "differs";
    return t(`live_result.${key}`, { E_n: number(E_n, 2) });
  }

  terms(cycle) {
    const rows = cycle.terms.map((term) => make("tr", {},
      make("th", { scope: "row" }, withArrow(term.name)),
      make("td", { class: "number" }, term.multiplier.replace("-", "\u2212")),
      make("td", { class: "number" }, measured(term.delta_H_kJ_per_mol, "kJ/mol")),
      make("td", {}, term.source === "measured" ? t("live_result.measured") : term.source)));
    return wideTable(t("live_result.cycle"), ["step", "times", "enthalpy", "from"].map((key) =>
      t(`live_result.${key}`)), make("tbody", {}, rows));
  }

  constant(results) {
    const constant = results.calorimeter_constant_J_per_K;
    return make("p", { class: "constant" }, t("live_result.constant"), " ",
      make("strong", {}, this.value(constant, "J/K")));
  }

  value(quantity, unit) {
    return quantity && quantity.value !== null ? measured(quantity, unit) : t("live_result.open");
  }

  trials(results) {
    const rows = results.trials.map((trial) => make("tr", {},
      make("th", { scope: "row" }, trial.name),
      make("td", {}, t(`purpose.${trial.purpose.replaceAll(" ", "_")}`)),
      make("td", { class: "number" }, String(trial.runs)),
      make("td", { class: "number" }, trial.heat_J ? measured(trial.heat_J, "J") : "\u2013"),
      make("td", { class: "number" }, trial.limiting ?? "\u2013"),
      make("td", { class: "number" }, this.outcome(trial)),
      make("td", { class: "number" }, trial.accepted_kJ_per_mol
        ? measured(trial.accepted_kJ_per_mol, "kJ/mol") : "\u2013")));
    const head = ["trial", "purpose", "runs", "heat", "limiting", "outcome", "accepted_short"];
    return wideTable(t("live_result.trials"), head.map((key) => t(`live_result.${key}`)),
      make("tbody", {}, rows));
  }

  outcome(trial) {
    const found = quantities.find(([key]) => trial[key]);
    return found ? measured(trial[found[0]], found[1]) : t("live_result.open");
  }

  findings(findings) {
    if (findings.length === 0) return [];
    return [make("h3", {}, t("live_trials.findings")), make("ul", { class: "findings" },
      findings.map((finding) => make("li", { class: finding.severity },
        finding.trial ? `${finding.trial}: ${finding.text}` : finding.text)))];
  }
}
