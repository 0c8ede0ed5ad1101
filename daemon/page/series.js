// The readings of one probe, in order of time; each time stands there once, however it came.

const most = 150_000;

export class Series {
  constructor() {
    this.time_us = [];
    this.temperature_degC = [];
  }

  get length() {
    return this.time_us.length;
  }

  get last_us() {
    return this.time_us.at(-1);
  }

  /** Puts these to the others; times of `more` rise. @return whether there was a new one */
  add(more_us, more_degC) {
    if (more_us.length === 0) return false;
    if (this.length === 0 || more_us[0] > this.last_us) {
      this.time_us.push(...more_us);
      this.temperature_degC.push(...more_degC);
      this.trim();
      return true;
    }
    return this.merge(more_us, more_degC);
  }

  merge(more_us, more_degC) {
    const time_us = [];
    const temperature_degC = [];
    let own = 0;
    let other = 0;
    while (own < this.length || other < more_us.length) {
      const fromOwn =
        other >= more_us.length || (own < this.length && this.time_us[own] <= more_us[other]);
      const at = fromOwn ? this.time_us[own] : more_us[other];
      time_us.push(at);
      temperature_degC.push(fromOwn ? this.temperature_degC[own] : more_degC[other]);
      while (own < this.length && this.time_us[own] <= at) own += 1;
      while (other < more_us.length && more_us[other] <= at) other += 1;
    }
    const grew = time_us.length > this.length;
    this.time_us = time_us;
    this.temperature_degC = temperature_degC;
    this.trim();
    return grew;
  }

  trim() {
    const over = this.length - most;
    if (over <= 0) return;
    this.time_us.splice(0, over);
    this.temperature_degC.splice(0, over);
  }

  /** Place of the first reading at or behind that time. */
  from(time_us) {
    let low = 0;
    let high = this.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.time_us[middle] < time_us) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  /** Between its neighbours, where they are near; null elsewhere. */
  at(time_us, widest_us = 10e6) {
    const behind = this.from(time_us);
    if (behind >= this.length) return null;
    if (this.time_us[behind] === time_us) return this.temperature_degC[behind];
    if (behind === 0) return null;
    const [from, to] = [this.time_us[behind - 1], this.time_us[behind]];
    if (to - from > widest_us) return null;
    const part = (time_us - from) / (to - from);
    const [a, b] = [this.temperature_degC[behind - 1], this.temperature_degC[behind]];
    return a + part * (b - a);
  }
}
