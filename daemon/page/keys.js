// Which keys there are: everything can be done without a mouse.

import { make } from "./dom.js";
import { t } from "./texts.js";

export class Keys {
  /** @param views  names of the views, by the number that opens them */
  constructor(views) {
    const rows = [...views.map((view, place) => [String(place + 1), t(`live.${view}`)]),
      ["P", t("live_run.mark")], ["F", t("live_run.finish")], ["?", t("live_keys.name")]];
    this.close = make("button", { type: "button", onclick: () => this.element.close() },
      t("live.close"));
    this.element = make("dialog", { class: "keys", "aria-label": t("live_keys.name") },
      make("p", {}, t("live_keys.tab")),
      make("table", {}, make("caption", {}, t("live_keys.name")), make("tbody", {},
        rows.map(([key, text]) => make("tr", {},
          make("th", { scope: "row" }, make("kbd", {}, key)), make("td", {}, text))))),
      this.close);
  }

  open() {
    this.element.showModal();
    this.close.focus();
  }
}
