// Timed readings: the cup's temperature at even times after the mixing, as they are read by hand.

export const every_s = 20;
const until_s = 600;

/** Since when, on the bench's axis: as well as it is known. */
export function mixingOf(status) {
  const run = status?.run;
  if (!run || run.state === "watching") return null;
  return run.provisional?.mixing_us ?? run.onset_us;
}

/** Those that are past: [{after_s, temperature_degC}]. */
export function timedReadings(series, mixing_us, now_us) {
  const found = [];
  for (let after_s = every_s; after_s <= until_s; after_s += every_s) {
    const at_us = mixing_us + after_s * 1e6;
    if (at_us > now_us) break;
    const temperature_degC = series.at(at_us);
    if (temperature_degC !== null) found.push({ after_s, temperature_degC });
  }
  return found;
}

/** The one that comes next: {after_s, wait_s}; null after the last. */
export function nextTimed(mixing_us, now_us) {
  const since_s = (now_us - mixing_us) / 1e6;
  const after_s = (Math.floor(since_s / every_s) + 1) * every_s;
  return after_s > until_s ? null : { after_s, wait_s: after_s - since_s };
}
