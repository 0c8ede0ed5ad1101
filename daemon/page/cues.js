// Sound and speech, so that eyes may stay on the cup: steady, mixing seen, timed readings, done.

import { make } from "./dom.js";
import { currentLanguage, number, t } from "./texts.js";
import { mixingOf, timedReadings } from "./timed.js";

const tones_Hz = { steady: [660], mixing: [440, 660], reading: [880], done: [660, 550, 440],
  lost: [220, 220] };

export class Cues {
  constructor(bench) {
    this.bench = bench;
    this.on = { sound: false, speech: false };
    this.element = make("div", { class: "cues" });
    this.build();
    bench.addEventListener("status", () => this.watch());
  }

  build() {
    this.element.replaceChildren(...Object.keys(this.on).map((kind) => make("button", {
      type: "button", "aria-pressed": String(this.on[kind]), onclick: () => this.toggle(kind),
    }, `${t(`live_cue.${kind}`)}: ${t(`live_cue.${this.on[kind] ? "on" : "off"}`)}`)));
  }

  toggle(kind) {
    this.on[kind] = !this.on[kind];
    if (kind === "sound") this.audio ??= new AudioContext(); // only a touch or a key may begin it
    this.build();
    this.element.children[Object.keys(this.on).indexOf(kind)].focus();
  }

  /** What the bench says now, as far as a cue follows from it. */
  moment() {
    const { status } = this.bench;
    const cup = this.bench.probe("cup");
    const mixing_us = mixingOf(status);
    const readings = mixing_us === null || !cup ? []
      : timedReadings(cup.series, mixing_us, this.bench.now_us());
    return {
      steady: status.advice.code.startsWith("pour"),
      running: status.run.state === "running",
      last: status.run.last_finished?.id ?? null,
      lost: cup?.stale ?? false,
      reading: readings.at(-1) ?? null,
    };
  }

  watch() {
    const now = this.moment();
    const before = this.before;
    this.before = now;
    if (!before) return; // what was so when the page began is no news
    if (now.steady && !before.steady) this.give("steady");
    if (now.running && !before.running) this.give("mixing");
    if (now.last !== before.last) this.give("done");
    if (now.lost && !before.lost) this.give("lost");
    if (now.reading && now.running && now.reading.after_s !== before.reading?.after_s) {
      this.give("reading", { temperature: number(now.reading.temperature_degC, 1) });
    }
  }

  give(cue, words = {}) {
    if (this.on.sound) this.play(tones_Hz[cue]);
    if (this.on.speech) this.say(t(`live_cue.${cue}`, words));
  }

  play(tones) {
    const begin = this.audio.currentTime;
    tones.forEach((tone, place) => {
      const at = begin + 0.18 * place;
      const source = new OscillatorNode(this.audio, { type: "sine", frequency: tone });
      const volume = new GainNode(this.audio, { gain: 0.2 });
      volume.gain.setTargetAtTime(0, at + 0.12, 0.02);
      source.connect(volume).connect(this.audio.destination);
      source.start(at);
      source.stop(at + 0.25);
    });
  }

  say(text) {
    const words = new SpeechSynthesisUtterance(text);
    words.lang = currentLanguage();
    speechSynthesis.cancel();
    speechSynthesis.speak(words);
  }
}
