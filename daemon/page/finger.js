// What a finger or the mouse is down on keeps its place until it is lifted: a button that is made
// anew in between does not get its click, and nobody would know why.

const hold_ms = 2000; // no longer, since a mouse let go outside of the window is not told of
const click_ms = 100; // the click comes shortly after the finger has gone
let held_until = 0; // by performance.now()

addEventListener("pointerdown", () => { held_until = performance.now() + hold_ms; }, true);
for (const event of ["pointerup", "pointercancel"]) {
  addEventListener(event, () => { held_until = performance.now() + click_ms; }, true);
}

/** Waits until no finger is down. */
export async function fingerLifted() {
  while (performance.now() < held_until) {
    await new Promise((resolve) => { setTimeout(resolve, click_ms); });
  }
}
