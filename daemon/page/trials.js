// The sheet's runs: what they came to, what is doubtful about them, and striking out.

import { get, post } from "./api.js";
import { make, wideTable } from "./dom.js";
import { measured, t } from "./texts.js";

export class TrialsView {
  constructor(bench, say) {
    this.bench = bench;
    this.say = say;
    this.next = make("p", { class: "next-trial" });
    this.rows = make("tbody");
    const keys = ["number", "trial", "at", "rise", "findings", "state"];
    this.element = make("div", { class: "trials" }, this.next,
      wideTable(t("live_trials.runs"), keys.map((key) => t(`live_trials.${key}`)), this.rows));
  }

  draw() {
    const { status } = this.bench;
    this.next.textContent = this.nextText(status.sheet);
    const key = `${status.run.last_finished?.id} ${status.access} ${status.record_changes}`;
    if (key === this.shown) return;
    this.shown = key;
    this.load();
  }

  nextText(sheet) {
    if (!sheet) return t("live_trials.no_sheet");
    const next = sheet.next_trial;
    if (!next) return `${sheet.title}. ${t("live_trials.done")}`;
    return `${sheet.title}. ${t("live_trials.next", { trial: `${next.name} ${next.number}` })}`;
  }

  async load() {
    try {
      const { runs } = await get("/v1/runs");
      this.rows.replaceChildren(...runs.reverse().map((run) => this.row(run)));
      if (runs.length === 0) {
        this.rows.append(make("tr", {}, make("td", { colspan: "6" }, t("live_trials.none"))));
      }
    } catch (error) {
      this.shown = null;
      await this.say(() => Promise.reject(error));
    }
  }

  row(run) {
    const { record } = run;
    const struck = run.status === "struck";
    return make("tr", { class: struck ? "struck" : null },
      make("th", { scope: "row" }, String(run.number)),
      make("td", {}, record.trial ? `${record.trial.name} ${record.trial.number}`
        : t("live_trials.no_trial")),
      make("td", {}, this.when(record.mixed_at)),
      make("td", { class: "number" }, this.rise(record)),
      make("td", {}, make("ul", {}, record.findings.map((finding) =>
        make("li", { class: finding.severity }, finding.text)))),
      make("td", {}, t(`live_trials.${run.status}`), this.change(run, struck)));
  }

  when(stamp) {
    return stamp ? new Date(stamp).toLocaleTimeString(document.documentElement.lang) : "\u2013";
  }

  rise(record) {
    if (record.hidden) return t("live_trials.hidden");
    if (record.corrected_rise_K?.value === null) return t("live_trials.unusable");
    return measured(record.corrected_rise_K, "K");
  }

  change(run, struck) {
    if (this.bench.status.access === "viewer") return null;
    const id = `reason-${run.number}`;
    const reason = make("input", { id, required: true, maxlength: "200" });
    return make("form", { onsubmit: (event) => {
      event.preventDefault();
      this.say(async () => {
        await post(`/v1/runs/${run.id}/${struck ? "restore" : "strike"}`,
          { reason: reason.value });
        this.shown = null;
        this.draw();
        return "";
      });
    } },
    make("label", { for: id }, t("live_trials.reason", { number: run.number })), reason,
    make("button", { type: "submit" }, t(`live_trials.${struck ? "restore" : "strike"}`)));
  }
}
