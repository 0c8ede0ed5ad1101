// The sheet: its trials with their amounts; then the runs, what they came to, what is doubtful
// about them, and striking out.

import { get, post, Questions } from "./api.js";
import { make, wideTable } from "./dom.js";
import { fingerLifted } from "./finger.js";
import { Slip } from "./slip.js";
import { currentLanguage, measured, t } from "./texts.js";

export class TrialsView {
  constructor(bench, say) {
    this.bench = bench;
    this.say = say;
    this.next = make("p", { class: "next-trial" });
    this.order = make("button", { type: "button", onclick: () => this.choose("") },
      t("live_slip.by_order"));
    this.slips = make("section", { class: "slips", "aria-label": t("live_slip.trials") });
    this.rows = make("tbody");
    this.pieces = 1;
    this.loads = new Questions();
    this.older = make("button", { type: "button", hidden: true, onclick: () => this.goBack() },
      t("live_trials.older"));
    const keys = ["number", "trial", "at", "rise", "findings", "state"];
    this.element = make("div", { class: "trials" }, this.next, this.order, this.slips,
      wideTable(t("live_trials.runs"), keys.map((key) => t(`live_trials.${key}`)), this.rows),
      this.older);
  }

  mayChange() {
    return this.bench.status.access !== "viewer";
  }

  draw() {
    const { status } = this.bench;
    const next = status.sheet?.next_trial;
    this.next.textContent = this.nextText(status.sheet);
    this.order.hidden = !(next?.chosen && this.mayChange());
    const key = [status.run.last_finished?.id, status.access, status.record_changes,
      status.results_hidden, status.sheet?.sha256, next?.name, next?.number].join(" ");
    if (key === this.shown || this.isWriting()) return;
    this.shown = key;
    this.load();
  }

  /** The field of this view that somebody is in. */
  field() {
    const { activeElement } = document;
    const isField = activeElement?.tagName === "INPUT" && this.element.contains(activeElement);
    return isField ? activeElement : null;
  }

  /** What somebody types is not taken out of his hands. */
  isWriting() {
    const field = this.field();
    return this.shown !== undefined && field !== null && field.value !== field.defaultValue;
  }

  nextText(sheet) {
    if (!sheet) return t("live_trials.no_sheet");
    const next = sheet.next_trial;
    if (!next) return `${sheet.title}. ${t("live_trials.done")}`;
    return `${sheet.title}. ${t("live_trials.next", { trial: `${next.name} ${next.number}` })}`;
  }

  /** Loads the sheet and the runs. What a later load has overtaken is not shown, nor is anything
   * while somebody goes on typing: it is loaded anew then. */
  async load() {
    const isNewest = this.loads.begin();
    const typed = this.field()?.value;
    try {
      const [{ runs, has_older: hasOlder }, { sheet }] = await Promise.all(
        [this.runs(), get("/v1/sheet")]);
      await fingerLifted();
      if (!isNewest()) return;
      if (this.field()?.value !== typed) {
        this.shown = null;
        return;
      }
      const place = document.activeElement?.id;
      this.slips.replaceChildren(...(sheet?.trials ?? []).map((trial) =>
        new Slip(this, trial, sheet.next_trial).element));
      this.older.hidden = !hasOlder;
      this.rows.replaceChildren(...runs.reverse().map((run) => this.row(run)));
      if (runs.length === 0) {
        this.rows.append(make("tr", {}, make("td", { colspan: "6" }, t("live_trials.none"))));
      }
      if (place) document.getElementById(place)?.focus();
    } catch (error) {
      if (!isNewest()) return;
      this.shown = null;
      await this.say(() => Promise.reject(error));
    }
  }

  /** The newest runs, in as many pieces as were asked for. */
  async runs() {
    const { pieces } = this;
    let answer = await get("/v1/runs");
    let { runs } = answer;
    for (let piece = 1; piece < pieces && answer.has_older; piece += 1) {
      answer = await get(`/v1/runs?before=${runs[0].number}`);
      runs = [...answer.runs, ...runs];
    }
    return { runs, has_older: answer.has_older };
  }

  goBack() {
    this.pieces += 1;
    this.shown = undefined;
    this.draw();
  }

  /** Does something, and looks at the sheet anew. */
  async work(change) {
    await this.say(async () => {
      const said = await change();
      if (said?.undo) {
        const { undo } = said;
        said.undo = () => this.work(async () => {
          await undo();
          return t("live_link.undone");
        });
      }
      return said;
    });
    this.shown = undefined;
    this.draw();
  }

  choose(trial) {
    return this.work(async () => {
      await post("/v1/trial", { trial });
      return trial ? t("live_slip.chosen", { trial }) : "";
    });
  }

  row(run) {
    const { record } = run;
    const struck = run.status === "struck";
    return make("tr", { class: struck ? "struck" : null },
      make("th", { scope: "row" }, String(run.number)),
      make("td", {}, record.trial ? `${record.trial.name} ${record.trial.number}`
        : t("live_trials.no_trial")),
      make("td", {}, this.when(record.mixed_at), " ", this.chart(run)),
      make("td", { class: "number" }, this.rise(record)),
      make("td", {}, make("ul", {}, record.findings.map((finding) =>
        make("li", { class: finding.severity }, finding.text)))),
      make("td", {}, t(`live_trials.${run.status}`), this.change(run, struck)));
  }

  when(stamp) {
    if (!stamp) return "\u2013";
    const at = new Date(stamp);
    const { lang } = document.documentElement;
    const isToday = at.toDateString() === new Date(this.bench.status.clock.now).toDateString();
    return isToday ? at.toLocaleTimeString(lang) : at.toLocaleString(lang);
  }

  rise(record) {
    if (record.hidden) return t("live_trials.hidden");
    if (record.corrected_rise_K?.value === null) return t("live_trials.unusable");
    return measured(record.corrected_rise_K, "K");
  }

  chart(run) {
    const href = `/v1/runs/${run.id}/chart.svg?language=${currentLanguage()}`;
    const name = t("live_trials.chart_of", { number: run.number });
    return run.record.hidden ? null
      : make("a", { href, target: "_blank", "aria-label": name }, t("live_trials.chart"));
  }

  change(run, struck) {
    if (!this.mayChange()) return null;
    const id = `reason-${run.number}`;
    const reason = make("input", { id, required: true, maxlength: "200" });
    return make("form", { onsubmit: (event) => {
      event.preventDefault();
      this.work(async () => {
        await this.turn(run, struck, reason.value);
        return { text: t(`live_trials.was_${struck ? "restored" : "struck"}`,
          { number: run.number }),
        undo: () => this.turn(run, !struck, t("live_link.undone")) };
      });
    } },
    make("label", { for: id }, t("live_trials.reason", { number: run.number })), reason,
    make("button", { type: "submit" }, t(`live_trials.${struck ? "restore" : "strike"}`)));
  }

  turn(run, struck, reason) {
    return post(`/v1/runs/${run.id}/${struck ? "restore" : "strike"}`, { reason });
  }
}
