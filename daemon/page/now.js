// The view for the bench itself: what the probes say, what to do next, and the curve.

import { post } from "./api.js";
import { ask } from "./ask.js";
import { Curve } from "./curve.js";
import { make, setText, show } from "./dom.js";
import { RunPanel } from "./run_panel.js";
import { hasText, t } from "./texts.js";
import { Vessel } from "./vessel.js";

export class NowView {
  constructor(bench, say) {
    this.bench = bench;
    this.say = say;
    this.vessels = ["cup", "added", "room"].map((role) => new Vessel(bench, role));
    this.advice = make("p", { class: "advice", role: "status" });
    this.markButton = make("button", { type: "button", class: "action", "aria-keyshortcuts": "p",
      onclick: () => this.mark() }, t("live_run.mark"));
    this.finishButton = make("button", { type: "button", class: "action",
      "aria-keyshortcuts": "f", onclick: () => this.finish() }, t("live_run.finish"));
    this.panel = new RunPanel(bench);
    this.curve = new Curve(bench);
    this.element = make("div", { class: "now" },
      this.advice,
      make("div", { class: "vessels" }, this.vessels.map((one) => one.element)),
      make("div", { class: "actions" }, this.markButton, this.finishButton),
      make("div", { class: "below" }, this.curve.element, this.panel.element));
    this.keys = { p: () => this.mark(), f: () => this.finish() };
  }

  draw() {
    const { status } = this.bench;
    if (!status) return;
    for (const vessel of this.vessels) vessel.draw();
    setText(this.advice, this.adviceText(status.advice));
    this.advice.dataset.code = status.advice.code;
    const mayChange = status.access !== "viewer";
    show(this.markButton, mayChange && status.run.state !== "running");
    show(this.finishButton, mayChange && status.run.state === "running");
    this.panel.draw();
    const now = performance.now();
    if (now - (this.drawn ?? 0) < 200) return;
    this.drawn = now;
    this.curve.draw();
  }

  adviceText(advice) {
    const key = `advice.${advice.code}`;
    return hasText(key) ? t(key, advice.words) : advice.text;
  }

  async mark() {
    if (this.markButton.hidden) return;
    await this.say(async () => {
      await post("/v1/mark", {});
      return t("live_run.marked");
    });
  }

  async finish() {
    if (this.finishButton.hidden) return;
    if (!await ask(t("live_run.finish_sure"), t("live_run.finish"))) return;
    await this.say(async () => {
      await post("/v1/finish", {});
      return "";
    });
  }

  themeChanged() {
    this.curve.remake();
  }
}
