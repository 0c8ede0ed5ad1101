// The class on one wall page: how far each bench is, and its results beside the others'.

import { get } from "./api.js";
import { make, setText, show } from "./dom.js";
import { strip } from "./strip.js";
import { measured, number, t } from "./texts.js";

const every_ms = 10000;
const units = { J_per_K: "J/K", kJ_per_mol: "kJ/mol", J_per_g_K: "J/(g K)", J_per_g: "J/g" };

/** The key of a quantity's figures, which ends with its unit: [figures, unit]. */
function figuresOf(quantity) {
  for (const [key, value] of Object.entries(quantity)) {
    const end = Object.keys(units).find((one) => key.endsWith(`_${one}`));
    if (end && value && typeof value === "object") return [value, units[end]];
  }
  return [null, ""];
}

function nameOf(quantity) {
  if (quantity.kind === "constant") return t("live_result.constant_name");
  if (quantity.kind === "cycle") return t("live_class.cycle");
  return quantity.trial;
}

export class ClassView {
  constructor(bench, say) {
    this.bench = bench;
    this.say = say;
    this.about = make("p", { class: "about" });
    this.problem = make("p", { class: "problems", role: "status", hidden: true });
    this.sheets = make("div", { class: "sheets" });
    this.element = make("div", { class: "class" }, this.about, this.problem, this.sheets);
  }

  draw() {
    if (!this.bench.status.has_class) {
      return setText(this.about, t("live_class.none"));
    }
    const now = performance.now();
    if (this.asked && now - this.asked < every_ms) return;
    this.asked = now;
    this.load();
  }

  async load() {
    let answer;
    try {
      answer = (await get("/v1/class")).class;
    } catch (error) {
      setText(this.problem, error.message);
      return show(this.problem, true);
    }
    show(this.problem, answer.problem !== null);
    setText(this.problem, answer.problem
      ? t("live_class.problem", { reason: answer.problem, when: this.when(answer.as_of) }) : "");
    setText(this.about, t(answer.hidden ? "live_class.about_hidden" : "live_class.about",
      { hours: number(answer.hours, answer.hours % 1 ? 1 : 0), when: this.when(answer.as_of) }));
    const shown = JSON.stringify(answer.sheets);
    if (shown === this.shown) return;
    this.shown = shown;
    this.sheets.replaceChildren(...answer.sheets.map((sheet) => this.sheet(sheet)));
    if (answer.sheets.length === 0) {
      this.sheets.append(make("p", {}, t("live_class.nobody")));
    }
  }

  /** The time, with its day where that is not the one of the bench's clock. */
  when(stamp) {
    if (!stamp) return "\u2013";
    const { lang } = document.documentElement;
    const at = new Date(stamp);
    const today = new Date(this.bench.status.clock.now).toDateString() === at.toDateString();
    return today ? at.toLocaleTimeString(lang) : at.toLocaleString(lang);
  }

  sheet(sheet) {
    return make("section", {},
      make("h2", { class: "sheet-title" }, sheet.title),
      make("p", {}, t("live_class.counts", { benches: sheet.bench_count, runs: sheet.run_count })),
      make("div", { class: "strips" }, sheet.quantities.map((one) => this.quantity(one))),
      this.table(sheet));
  }

  quantity(quantity) {
    const [figures, unit] = figuresOf(quantity);
    if (!figures || figures.values.length === 0) return null;
    const middle = figures.robust_mean ?? { value: figures.median, u: null };
    const said = middle.u === null ? `${number(middle.value, 2)} ${unit}` : measured(middle, unit);
    return make("figure", { class: "strip" },
      make("figcaption", {}, make("strong", {}, nameOf(quantity)), ` ${said}`,
        figures.accepted ? make("span", { class: "accepted" }, t("live_class.accepted",
          { value: measured(figures.accepted, unit) })) : null),
      strip(figures, middle.value));
  }

  table(sheet) {
    const trials = sheet.progress[0]?.trials.map((one) => one.trial) ?? [];
    const head = [t("live_class.bench"), ...trials, t("live_class.last"), t("live_class.look")];
    return make("div", { class: "wide", role: "region", tabindex: "0",
      "aria-label": sheet.title }, make("table", {},
      make("caption", {}, t("live_class.benches")),
      make("thead", {}, make("tr", {}, head.map((text) => make("th", { scope: "col" }, text)))),
      make("tbody", {}, sheet.progress.map((bench) => this.bench_row(bench, trials, sheet)))));
  }

  bench_row(bench, trials, sheet) {
    const done = new Map(bench.trials.map((one) => [one.trial, one]));
    const judged = sheet.benches.find((one) => one.bench === bench.bench);
    const last = bench.last_run;
    return make("tr", {}, make("th", { scope: "row" }, bench.bench),
      trials.map((trial) => this.tally(done.get(trial))),
      make("td", {}, last ? `${last.trial}, ${this.when(last.mixed_at)}` : "\u2013"),
      make("td", {}, this.look(bench, judged)));
  }

  tally(one) {
    if (!one) return make("td", {}, "\u2013");
    const runs = one.runs + one.typed_runs;
    const done = runs >= one.planned;
    return make("td", { class: "number tally", "data-done": done ? "yes" : "no" },
      t(`live_class.tally${done ? "_done" : ""}`, { runs, planned: one.planned }));
  }

  /** What is worth a look at this bench. */
  look(bench, judged) {
    const texts = [
      ...(judged?.outlying ?? []).map((label) => t("live_class.outlying", { label })),
      ...(judged?.reasons ?? []).map((reason) => reason.text),
      ...(bench.last_run?.warnings ?? []).map((warning) => warning.text),
    ];
    return texts.length ? make("ul", {}, texts.map((text) => make("li", {}, text))) : "\u2013";
  }
}
