// Runs in the page under test: accessibility by axe-core, and whether anything is cut off. What it
// finds becomes the text of one element, which the browser prints with the page.
"use strict";

function overflowing() {
  const cut = [];
  const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
  if (wide > 1) cut.push(`the page is ${wide} px wider than its window`);
  for (const region of document.querySelectorAll(".wide")) {
    const hidden = region.scrollWidth - region.clientWidth;
    if (hidden > 1) cut.push(`${region.getAttribute("aria-label")}: ${hidden} px to scroll`);
  }
  return cut;
}

function brokenPictures() {
  return [...document.images].filter((image) => image.naturalWidth === 0).map((image) => image.alt);
}

window.addEventListener("load", async () => {
  const found = { overflowing: overflowing(), broken: brokenPictures(), violations: [] };
  for (const details of document.querySelectorAll("details")) details.open = true;
  const checked = await axe.run(document);
  found.passes = checked.passes.length;
  found.violations = checked.violations.map((violation) => ({
    rule: violation.id,
    help: violation.help,
    where: violation.nodes.map((node) => node.html).slice(0, 3),
  }));
  const element = document.createElement("script");
  element.type = "application/json";
  element.id = "found";
  element.textContent = JSON.stringify(found);
  document.body.append(element);
});
