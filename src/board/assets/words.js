// The board's own words, in the language that she chose, or that her browser asks for.

import { get } from "./ask.js";

const KEPT = "hitchpress-language";

/** The languages with their own names. */
export const LANGUAGES = [
  ["en-GB", "English (UK)"],
  ["en-US", "English (US)"],
  ["de-DE", "Deutsch"],
  ["fr-FR", "Français"],
  ["es-ES", "Español"],
];
const TAGS = LANGUAGES.map(([tag]) => tag);

/** @type {Record<string, string>} */
let words = {};
let tag = "en-GB";
/** The language she chose last: words of another one that come later are left. */
let last = tag;
/** @type {Intl.PluralRules} */
let plurals = new Intl.PluralRules("en-GB");

/** The tag of the language in use. */
export function language() {
  return tag;
}

function wished() {
  const kept = localStorage.getItem(KEPT);
  if (kept && TAGS.includes(kept)) return kept;
  for (const wish of navigator.languages) {
    const exact = TAGS.find((known) => known.toLowerCase() === wish.toLowerCase());
    const main = TAGS.find((known) => known.slice(0, 2) === wish.slice(0, 2).toLowerCase());
    if (exact ?? main) return exact ?? main ?? "en-GB";
  }
  return "en-GB";
}

/** Fetches the words. Throws what `get` throws. @param {string} [chosen] */
export async function learn(chosen) {
  const asked = (last = chosen ?? wished());
  const found = await get(`/words/${asked}.json`);
  if (asked !== last) return;
  if (chosen) localStorage.setItem(KEPT, chosen);
  tag = asked;
  words = found;
  plurals = new Intl.PluralRules(tag);
  document.documentElement.lang = tag;
}

/** Words of the form's fields in her language; English is the file's own. @type {{tag: string, keys: Record<string, string>, about: Record<string, string>}} */
let form = { tag: "en-GB", keys: {}, about: {} };

/** Fetches the words of the form. */
export async function learnForm() {
  const asked = tag;
  if (form.tag === asked) return;
  const found = asked.startsWith("en") ? { keys: {}, about: {} } : await get(`/words/form/${asked}.json`);
  if (asked === tag) form = { tag, ...found };
}

/** A key of the project file as words. @param {string} key */
export function keyWords(key) {
  const words = form.keys[key] ?? key.replaceAll("-", " ");
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** What a field is for. @param {string} section @param {string} key @param {string | undefined} english */
export function aboutField(section, key, english) {
  const path = section ? `${section.replaceAll(".", "/")}/${key}` : key;
  return english && (form.about[path] ?? english);
}

/**
 * A phrase, its names in braces filled in.
 * @param {string} key
 * @param {Record<string, string | number>} [names]
 */
export function say(key, names = {}) {
  const phrase = words[key] ?? key;
  return phrase.replace(/\{([a-z]+)\}/g, (whole, name) => String(names[name] ?? whole));
}

/**
 * A phrase that counts: `key-one` or `key-other`.
 * @param {string} key
 * @param {number} n
 * @param {Record<string, string | number>} [names]
 */
export function count(key, n, names = {}) {
  const form = `${key}-${plurals.select(n)}`;
  return say(form in words ? form : `${key}-other`, { n: number(n), ...names });
}

/** @param {number} n */
export function number(n) {
  return new Intl.NumberFormat(tag).format(n);
}

/** A moment, short. @param {number} seconds since 1970 */
export function moment(seconds) {
  const date = new Date(seconds * 1000);
  const today = new Date().toDateString() === date.toDateString();
  /** @type {Intl.DateTimeFormatOptions} */
  const how = today ? { timeStyle: "medium" } : { dateStyle: "medium", timeStyle: "short" };
  return new Intl.DateTimeFormat(tag, how).format(date);
}
