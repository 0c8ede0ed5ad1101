// Small ways to make and change what is on the page. Text goes in as text, never as HTML.

/** An element with attributes (on...: listeners) and children (nodes or texts). */
export function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat().filter((child) => child !== null && child !== undefined));
  return element;
}

/** A table that scrolls within its own region where it is wider than the page, by keys, too. */
export function wideTable(name, head, rows) {
  return make("div", { class: "wide", role: "region", tabindex: "0", "aria-label": name },
    make("table", {}, make("caption", {}, name),
      make("thead", {}, make("tr", {}, head.map((text) => make("th", { scope: "col" }, text)))),
      rows));
}

/** Sets a text only where it is another, so that nothing is read out or selected anew. */
export function setText(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

/** Shows or hides an element. */
export function show(element, visible) {
  element.hidden = !visible;
}
