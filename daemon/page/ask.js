// A question that wants a yes, with keys and large buttons.

import { make } from "./dom.js";
import { t } from "./texts.js";

/** @return a promise of whether the answer was yes; Escape is no */
export function ask(question, yes) {
  return new Promise((resolve) => {
    const accept = make("button", { type: "button", class: "action",
      onclick: () => dialog.close("yes") }, yes);
    const dialog = make("dialog", { class: "ask", "aria-label": question,
      onclose: () => {
        dialog.remove();
        resolve(dialog.returnValue === "yes");
      } },
    make("p", {}, question), make("div", { class: "actions" }, accept,
      make("button", { type: "button", onclick: () => dialog.close("") }, t("live.cancel"))));
    document.body.append(dialog);
    dialog.showModal();
    accept.focus();
  });
}
