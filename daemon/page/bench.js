// The bench as the page knows it: status, readings, and the link that keeps them up to date. The
// stream brings what is new; whatever it left out (before it began, while it was slow, while the
// browser slept or the daemon was restarted) is asked for. Times are on the bench's axis, so that
// the tablet's own clock does not matter.

import { get } from "./api.js";
import { Series } from "./series.js";

const usual_span_us = 15 * 60e6;
const silence_ms = 5000; // a status comes every second
const pauses_ms = [500, 1000, 2000, 4000, 8000];

export class Bench extends EventTarget {
  constructor() {
    super();
    this.status = null;
    this.series = [];
    this.linked = false;
    this.failures = 0;
    this.told_at = 0; // by performance.now()
    this.filling = 0;
    for (const event of ["online", "pageshow"]) addEventListener(event, () => this.connect());
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) this.checkAlive();
    });
    setInterval(() => this.checkAlive(), 1000);
  }

  /** Now on the bench's axis, us. */
  now_us() {
    if (!this.status) return 0;
    const passed_us = (performance.now() - this.told_at) * 1000 * this.status.clock.speed;
    return this.status.clock.now_us + passed_us;
  }

  probe(role) {
    const place = this.status?.probes.findIndex((one) => one.role === role) ?? -1;
    return place < 0 ? null : { ...this.status.probes[place], place, series: this.series[place] };
  }

  connect() {
    clearTimeout(this.again);
    if (this.socket && this.socket.readyState <= WebSocket.OPEN && this.isAlive()) return;
    this.socket?.close();
    const scheme = location.protocol === "https:" ? "wss:" : "ws:";
    const socket = new WebSocket(`${scheme}//${location.host}/v1/stream`);
    this.socket = socket;
    this.heard_at = performance.now();
    this.has_filled = false;
    socket.onmessage = (message) => {
      if (socket === this.socket) this.take(JSON.parse(message.data));
    };
    socket.onclose = () => {
      if (socket === this.socket) this.lose();
    };
  }

  isAlive() {
    return performance.now() - this.heard_at < silence_ms;
  }

  checkAlive() {
    if (this.socket && !this.isAlive()) this.lose();
  }

  lose() {
    const socket = this.socket;
    this.socket = null;
    socket?.close();
    this.linked = false;
    this.tell("link");
    clearTimeout(this.again);
    const pause_ms = pauses_ms[Math.min(this.failures, pauses_ms.length - 1)];
    this.failures += 1;
    this.again = setTimeout(() => this.connect(), pause_ms * (0.75 + Math.random() / 2));
  }

  take(message) {
    this.heard_at = performance.now();
    if (message.kind === "status") this.takeStatus(message.status);
    if (message.kind === "readings") this.takeReadings(message);
    if (message.kind === "event") this.tell("event", message);
  }

  takeStatus(status) {
    this.status = status;
    this.told_at = performance.now();
    while (this.series.length < status.probes.length) this.series.push(new Series());
    if (!this.linked) {
      this.linked = true;
      this.failures = 0;
      this.tell("link");
    }
    if (!this.has_filled) {
      this.has_filled = true;
      this.fill();
    }
    this.tell("status");
  }

  takeReadings(message) {
    if (!this.status) return;
    if (message.gap) this.fill();
    for (const one of message.probes) {
      this.series[one.probe]?.add(one.time_us, one.temperature_degC);
    }
    this.tell("readings");
  }

  /** Asks for what is missing since the newest reading that was known before. */
  async fill() {
    const known = this.series.map((one) => one.last_us).filter((time) => time !== undefined);
    const earliest_us = this.now_us() - usual_span_us;
    const from_us = Math.max(known.length ? Math.min(...known) : earliest_us, earliest_us);
    await this.load(from_us, this.now_us() + 1e6, 20000);
  }

  /** Readings of a span, as many points as a screen shows. */
  async load(from_us, to_us, points) {
    this.filling += 1;
    this.tell("link");
    try {
      const from = Math.max(0, Math.floor(from_us));
      const answer = await get(
        `/v1/readings?from_us=${from}&to_us=${Math.ceil(to_us)}&points=${points}`,
      );
      answer.probes.forEach((one, place) => {
        this.series[place]?.add(one.time_us, one.temperature_degC);
      });
      this.tell("readings");
    } catch {
      // The link is tried again and fills then.
      this.has_filled = false;
    } finally {
      this.filling -= 1;
      this.tell("link");
    }
  }

  tell(kind, detail = null) {
    this.dispatchEvent(new CustomEvent(kind, { detail }));
  }
}
