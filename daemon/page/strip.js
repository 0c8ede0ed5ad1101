// Values of the benches of a class above one another: who lies where, told apart without colour,
// too.

import { make } from "./dom.js";

/** Something on a track, from so far to so far (parts of its length). */
function placed(kind, from, to = from) {
  const element = make("span", { class: kind });
  element.style.left = `${100 * from}%`;
  if (to > from) element.style.width = `${100 * (to - from)}%`;
  return element;
}

/** A row a bench: its value, with a bar of two standard uncertainties to both sides, and lines for
    the middle of all and for what is accepted. */
export function strip(figures, middle) {
  const { values, accepted } = figures;
  const ends = values.flatMap((one) => [one.value - 2 * one.u, one.value + 2 * one.u]);
  if (accepted) ends.push(accepted.value);
  const low = Math.min(...ends);
  const high = Math.max(...ends);
  const at = (value) => (high > low ? (value - low) / (high - low) : 0.5);
  return make("div", { class: "strip-rows", "aria-hidden": "true" }, values.map((one) =>
    make("div", { class: "strip-row" }, make("span", { class: "strip-name" }, one.bench ?? ""),
      make("span", { class: "strip-track" },
        placed("strip-middle", at(middle)),
        accepted ? placed("strip-accepted", at(accepted.value)) : null,
        placed("strip-bar", at(one.value - 2 * one.u), at(one.value + 2 * one.u)),
        placed(one.standing === "outlying" ? "strip-far" : "strip-dot", at(one.value))))));
}
