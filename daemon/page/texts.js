// What the page says, from the catalogue of the program, and numbers as the language writes them.

const chosen = "nestcup.language";
let catalogue = {};
let language = "en";

export const languages = { en: "English", de: "Deutsch" };

export function currentLanguage() {
  return language;
}

function wanted() {
  const kept = localStorage.getItem(chosen);
  if (kept in languages) return kept;
  const known = navigator.languages.map((tag) => tag.slice(0, 2)).find((tag) => tag in languages);
  return known ?? "en";
}

export async function loadTexts(tag = wanted()) {
  const answer = await fetch(`texts/${tag}.json`);
  if (!answer.ok) throw new Error(`texts/${tag}.json: ${answer.status}`);
  catalogue = await answer.json();
  language = tag;
  document.documentElement.lang = tag;
}

export async function chooseLanguage(tag) {
  localStorage.setItem(chosen, tag);
  await loadTexts(tag);
}

/** The text of a key with its words filled in. */
export function t(key, words = {}) {
  const text = catalogue[key];
  if (text === undefined) throw new Error(`no text for ${key}`);
  return text.replace(/\{(\w+)\}/g, (_, name) => words[name] ?? `{${name}}`);
}

export function hasText(key) {
  return key in catalogue;
}

/** An equation with a real arrow. */
export function withArrow(equation) {
  return equation.replaceAll("->", "\u2192");
}

/** A number with so many decimals: decimal comma where the language has it, a real minus sign. */
export function number(value, decimals) {
  if (value === null || value === undefined || !Number.isFinite(value)) return "\u2013";
  const text = value.toFixed(decimals).replace("-", "\u2212");
  return language === "de" ? text.replace(".", ",") : text;
}

/** Decimals that an uncertainty asks for: two significant digits of it. */
export function decimalsOf(u) {
  if (!(u > 0)) return 2;
  return Math.min(Math.max(1 - Math.floor(Math.log10(u)), 0), 6);
}

export function measured(quantity, unit) {
  if (!quantity || quantity.value === null || quantity.value === undefined) return "\u2013";
  const decimals = decimalsOf(quantity.u);
  return `${number(quantity.value, decimals)} \u00b1 ${number(quantity.u, decimals)} ${unit}`;
}

export function temperature(degC, decimals = 2) {
  return `${number(degC, decimals)} \u00b0C`;
}

/** 83 s as "1:23", an hour and more as "1:02:03". */
export function duration(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  const parts = [Math.floor(whole / 60) % 60, whole % 60];
  const hours = Math.floor(whole / 3600);
  const text = `${parts[0]}:${String(parts[1]).padStart(2, "0")}`;
  return hours ? `${hours}:${text.padStart(5, "0")}` : text;
}
