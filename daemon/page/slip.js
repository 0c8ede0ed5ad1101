// One trial of the sheet: what it is, how often it was done, its amounts, and choosing it.

import { post } from "./api.js";
import { make } from "./dom.js";
import { hasText, number, t, withArrow } from "./texts.js";

function amountName(amount) {
  const part = `live_amount.${amount.part}`;
  const key = `live_amount.${amount.key}`;
  return `${hasText(part) ? t(part) : amount.part}: ${hasText(key) ? t(key) : amount.key}`;
}

/** A number as people write it, with either decimal mark; null for nothing, NaN for no number. */
function numberOf(text) {
  const plain = text.trim().replace(",", ".").replace("\u2212", "-");
  return plain === "" ? null : Number(plain);
}

export class Slip {
  constructor(view, trial, next) {
    this.view = view;
    this.trial = trial;
    this.isNext = next?.name === trial.name;
    const counted = trial.runs.filter((run) => run.status === "finished").length
      + trial.typed_runs;
    this.element = make("article", { class: "slip", "aria-current": this.isNext ? "step" : null },
      make("h3", {}, trial.name),
      make("p", { class: "purpose" }, t(`purpose.${trial.purpose.replaceAll(" ", "_")}`)),
      trial.equation ? make("p", { class: "equation" }, withArrow(trial.equation)) : null,
      make("p", { class: "tally" }, t("live_slip.runs", { done: counted,
        planned: trial.repeats })),
      this.isNext ? make("p", { class: "is-next" }, t("live_slip.is_next")) : this.choice(),
      ...this.amounts());
  }

  /** What the sheet says, and what nobody needs every day folded away behind it. */
  amounts() {
    const said = this.trial.amounts.filter((amount) => amount.value !== null);
    const others = this.trial.amounts.filter((amount) => amount.value === null);
    const lines = said.map((amount) => this.amount(amount));
    if (others.length === 0 || !this.view.mayChange()) return lines;
    return [...lines, make("details", {}, make("summary", {}, t("live_slip.more")),
      others.map((amount) => this.amount(amount)))];
  }

  choice() {
    if (!this.view.mayChange()) return null;
    return make("button", { type: "button", id: `choose-${this.trial.name.replaceAll(" ", "-")}`,
      onclick: () => this.view.choose(this.trial.name) },
      t("live_slip.choose"));
  }

  amount(amount) {
    const id = `amount-${this.trial.name}-${amount.part}-${amount.key}`.replaceAll(" ", "-");
    const value = amount.value === null ? "" : String(number(amount.value, decimals(amount.value)));
    const u = amount.u === null ? null
      : make("span", { class: "u" }, ` \u00b1 ${number(amount.u, decimals(amount.u))}`);
    if (!this.view.mayChange()) {
      return make("p", { class: "amount" }, `${amountName(amount)} `,
        make("strong", {}, value), u);
    }
    const input = make("input", { id, inputmode: "decimal", value, autocomplete: "off" });
    return make("form", { class: "amount", onsubmit: (event) => {
      event.preventDefault();
      this.set(amount, input.value);
    } }, make("label", { for: id }, amountName(amount), u), input,
    make("button", { type: "submit" }, t("live_slip.set")));
  }

  set(amount, text) {
    const value = numberOf(text);
    const change = { trial: this.trial.name, part: amount.part, key: amount.key };
    const name = `${this.trial.name}, ${amountName(amount)}`;
    return this.view.work(async () => {
      if (Number.isNaN(value)) throw new Error(t("live_slip.no_number", { text }));
      await post("/v1/amounts", { ...change, value });
      return { text: t("live_slip.was_set", { name }),
        undo: () => post("/v1/amounts", { ...change, value: amount.value }) };
    });
  }
}

/** As many as the number has, up to six. */
function decimals(value) {
  const [, fraction = ""] = String(value).split(".");
  return Math.min(fraction.length, 6);
}
