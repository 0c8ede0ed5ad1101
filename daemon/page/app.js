// The page: its views, its keys, and what the link to the bench does.

import { post, signInFromAddress } from "./api.js";
import { Bench } from "./bench.js";
import { ClassView } from "./class.js";
import { Cues } from "./cues.js";
import { make, setText, show } from "./dom.js";
import { Keys } from "./keys.js";
import { NowView } from "./now.js";
import { ProbesView } from "./probes.js";
import { ResultView } from "./result.js";
import { chooseLanguage, currentLanguage, languages, loadTexts, t } from "./texts.js";
import { TrialsView } from "./trials.js";

const kinds = { now: NowView, trials: TrialsView, result: ResultView, probes: ProbesView,
  class: ClassView };
const names = Object.keys(kinds);

class App {
  constructor(bench) {
    this.bench = bench;
    this.cues = new Cues(bench);
    this.build();
    for (const event of ["status", "readings", "link"]) {
      bench.addEventListener(event, () => this.drawSoon());
    }
    addEventListener("hashchange", () => this.open());
    addEventListener("keydown", (event) => this.press(event));
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () =>
      this.view.themeChanged?.());
    setInterval(() => this.drawSoon(), 250);
  }

  build() {
    this.title = make("h1", {});
    this.link = make("p", { class: "link", role: "status" });
    this.message = make("p", { class: "message", role: "alert", hidden: true });
    this.links = new Map(names.map((name, place) => [name, make("a",
      { href: `#${name}`, "aria-keyshortcuts": String(place + 1) }, t(`live.${name}`))]));
    this.main = make("main", { id: "view", tabindex: "-1" });
    this.language = make("select", { "aria-label": "Language / Sprache",
      onchange: () => this.speak(this.language.value) });
    for (const [tag, name] of Object.entries(languages)) {
      this.language.append(make("option", { value: tag, lang: tag,
        selected: tag === currentLanguage() }, name));
    }
    this.access = make("div", { class: "access" });
    document.body.replaceChildren(
      make("a", { class: "skip", href: "#view" }, t("live.skip")),
      make("header", {}, this.title, this.link,
        make("nav", { "aria-label": t("live.views") }, [...this.links.values()])),
      this.message, this.main,
      make("footer", {}, this.cues.element, this.access, this.language));
    this.keys = new Keys(names);
    this.keyButton = make("button", { type: "button", "aria-keyshortcuts": "?",
      onclick: () => this.keys.open() }, t("live_keys.name"));
    document.querySelector("footer").append(this.keyButton, this.keys.element);
    this.accessShown = null;
    this.open();
  }

  async speak(tag) {
    await chooseLanguage(tag);
    this.cues.build();
    this.build();
    this.language.focus();
  }

  open() {
    const wanted = location.hash.slice(1);
    if (wanted === "view") return this.main.focus();
    const name = names.includes(wanted) ? wanted : "now";
    for (const [one, link] of this.links) {
      if (one === name) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    }
    this.view = new kinds[name](this.bench, (work) => this.say(work));
    this.main.replaceChildren(this.view.element);
    this.drawSoon();
  }

  press(event) {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    if (/^(INPUT|SELECT|TEXTAREA)$/.test(event.target.tagName)) return;
    if (document.querySelector("dialog[open]")) return;
    const place = Number(event.key) - 1;
    if (names[place]) location.hash = names[place];
    else if (event.key === "?") this.keys.open();
    else this.view.keys?.[event.key.toLowerCase()]?.();
  }

  /** Does some work and says what came of it: a text, or one with a way back ({text, undo}). */
  async say(work) {
    let said = "";
    let failed = false;
    try {
      said = (await work()) ?? "";
    } catch (error) {
      failed = true;
      said = t("live_link.failed", { reason: error.message });
    }
    const text = said.text ?? said;
    this.message.dataset.kind = failed ? "failed" : "done";
    this.message.replaceChildren(text);
    if (said.undo) {
      this.message.append(" ", make("button", { type: "button", onclick: said.undo },
        t("live_link.undo")));
    }
    show(this.message, text !== "");
    clearTimeout(this.quiet);
    this.quiet = setTimeout(() => show(this.message, false), failed || said.undo ? 20000 : 5000);
  }

  drawSoon() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.draw();
    });
  }

  draw() {
    const { status } = this.bench;
    if (status) {
      const title = t("live.title", { bench: status.bench });
      setText(this.title, title);
      document.title = title;
      this.drawAccess(status);
      show(this.links.get("class"), status.has_class);
      this.view.draw();
    }
    const key = !this.bench.linked ? "lost" : this.bench.filling ? "filling" : "live";
    setText(this.link, t(`live_link.${key}`));
    this.link.dataset.state = key;
  }

  drawAccess(status) {
    const key = `${status.access} ${status.who}`;
    if (key === this.accessShown) return;
    this.accessShown = key;
    if (status.access !== "viewer") {
      this.access.replaceChildren(make("p", {}, t("live_link.signed_in", { name: status.who })),
        make("button", { type: "button", onclick: () => this.sign("/v1/logout", {}) },
          t("live_link.sign_out")));
      return;
    }
    const token = make("input", { id: "token", type: "password", autocomplete: "off" });
    this.access.replaceChildren(make("p", {}, t("live_link.viewer")),
      make("form", { onsubmit: (event) => {
        event.preventDefault();
        this.sign("/v1/login", { token: token.value.trim() });
      } }, make("label", { for: "token" }, t("live_link.token")), token,
      make("button", { type: "submit" }, t("live_link.sign_in"))));
  }

  async sign(path, body) {
    await this.say(async () => {
      await post(path, body);
      this.bench.lose(); // the next stream is somebody else's
      this.bench.failures = 0;
      this.bench.connect();
      return "";
    });
  }
}

async function begin() {
  await loadTexts();
  let failure = null;
  try {
    await signInFromAddress();
  } catch (error) {
    failure = error;
  }
  const bench = new Bench();
  globalThis.bench = bench; // for the browser's console
  const app = new App(bench);
  if (failure) app.say(() => Promise.reject(failure));
  bench.connect();
}

begin();
