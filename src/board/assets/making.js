// The whole project file as a form: every key that there is, what it is for, and what is wrong with it beside it.

import { get } from "./ask.js";
import { plain } from "./figures.js";
import { button, el, fill, whileTyping } from "./parts.js";
import { aboutField, keyWords, learnForm, say } from "./words.js";

/** @typedef {import("./state.js").Panel} Panel */
/** @typedef {{section: string, item: number | null, key: string}} Field */

/** Keys that have a screen of their own, or that the program writes itself. */
const ELSEWHERE = ["format", "yarn/key", "yarn/name", "yarn/colour"];
const LONG = ["introduction", "notes", "words", "licence-words"];

/** Fields in the order in which one thinks of them; others follow. @type {Record<string, string[]>} */
const ORDER = {
  "": ["title", "subtitle", "maker", "date", "version", "language", "units", "level", "introduction", "notes", "contact", "errata", "video", "keywords", "picture-words", "photograph", "photograph-words", "photograph-crop", "currency", "chart"],
  yarn: ["brand", "shade", "brand-language", "dye-lot", "fibre", "weight", "wraps-per-inch", "diameter", "grams-per-ball", "metres-per-ball", "price", "care", "melts", "symbol", "swatch"],
  cord: ["diameter", "fibre", "construction", "colour", "colour-name", "brand", "brand-language", "metres-per-spool", "grams-per-spool", "price"],
  swatch: ["columns", "rows", "twenty-knots"],
  "twenty-knots": ["start", "left-over", "tail"],
  working: ["method", "length", "tail", "longest-carry", "most-rows-waiting", "yarn-margin", "carry-slack", "header-rows", "header-yarn", "first-row-from", "legs-per-column", "cord-margin", "cord-take-up"],
  hanging: ["on", "wood", "diameter", "length", "mounting", "fixing", "deepest", "lower-edge"],
  licence: ["sell-panels", "teach", "credit", "words"],
  print: ["paper", "ink", "pages", "layout"],
  "own-words": ["section", "place", "words"],
  translation: ["language", "title", "subtitle", "introduction", "notes", "photograph-words", "credit", "licence-words", "own-words", "names"],
  names: ["own", "other"],
  colourway: ["name", "yarn"],
  size: ["name", "chart", "photograph", "photograph-words", "photograph-crop", "hanging", "bottom", "finishing"],
};

/** @param {string} name @param {any} schema */
const keysOf = (name, schema) => {
  const order = ORDER[name] ?? [];
  return Object.keys(schema.properties ?? {}).sort((a, b) => (order.indexOf(a) + 1 || 99) - (order.indexOf(b) + 1 || 99));
};

/** @param {Element} into @param {Panel} panel @param {AbortSignal} signal */
export async function build(into, panel, signal) {
  let turns = 0;
  const draw = async () => {
    const turn = (turns += 1);
    await learnForm();
    const form = await get("/api/form", { panel: panel.name });
    if (turn !== turns || signal.aborted || typing.later(() => void draw())) return;
    const focused = document.activeElement;
    const held = focused instanceof HTMLElement && into.contains(focused) ? focused.id : "";
    const open = new Set([...into.querySelectorAll("details[open]")].map((one) => /** @type {HTMLElement} */ (one).dataset.section));
    // What she wrote and what is not whole yet, and so in no file.
    const unsaved = /** @type {NodeListOf<HTMLInputElement>} */ (into.querySelectorAll("[data-new]"));
    const written = new Map([...unsaved].map((one) => [one.dataset.new, one.value]));
    fill(into, el("div", { class: "page" }, el("p", { class: "note" }, say("making-note")), sections(panel, form, open)));
    for (const one of /** @type {NodeListOf<HTMLInputElement>} */ (into.querySelectorAll("[data-new]"))) one.value = written.get(one.dataset.new) ?? one.value;
    if (held) document.getElementById(held)?.focus();
  };
  const typing = whileTyping(into);
  panel.on("loaded handed", draw, signal);
  await draw();
}

/** @param {Panel} panel @param {Form} form @param {Set<string | undefined>} open */
function sections(panel, form, open) {
  const { properties } = form.schema;
  const names = Object.keys(properties);
  const isSection = (/** @type {string} */ name) => properties[name].type === "object" || properties[name].items?.type === "object";
  const one = (/** @type {string} */ name, /** @type {any} */ schema, /** @type {any} */ values, /** @type {number | null} */ item, /** @type {string} */ title) => {
    const keys = keysOf(name, schema).filter((key) => !ELSEWHERE.includes(`${name}/${key}`));
    const faults = form.faults.filter((f) => f.field && f.field.section.split(".")[0] === name && (f.field.item ?? null) === item);
    const shown = `${name} ${item ?? ""}`;
    return el(
      "details",
      { "data-section": shown, open: open.has(shown) || faults.length > 0 || (name === "" && open.size === 0) },
      el("summary", {}, title, faults.length > 0 && el("span", { class: "wrong" }, ` ${say("something-wrong")}`)),
      keys.map((key) => field(panel, form, { section: name, item, key }, schema.properties[key], values?.[key], (schema.required ?? []).includes(key))),
    );
  };
  const top = { properties: Object.fromEntries(names.filter((name) => !isSection(name) && !ELSEWHERE.includes(name)).map((name) => [name, properties[name]])), required: form.schema.required };
  const order = ["yarn", "colourway", "size", "cord", "swatch", "working", "hanging", "bottom", "finishing", "pace", "licence", "print", "shop", "class", "model", "own-words", "translation", "acknowledge"];
  const rest = names.filter((name) => isSection(name)).sort((a, b) => (order.indexOf(a) + 1 || 99) - (order.indexOf(b) + 1 || 99));
  const loose = form.faults.filter((f) => !f.field);
  return [
    ...loose.map((f) => fault(f)),
    one("", top, form.values, null, say("title-page")),
    ...rest.flatMap((name) => {
      const schema = properties[name];
      if (schema.type === "object") return [one(name, schema, form.values[name], null, keyWords(name))];
      const all = form.values[name] ?? [];
      const entries = all.map((/** @type {any} */ values, /** @type {number} */ at) => one(name, schema.items, values, at, `${keyWords(name)}: ${values.name ?? values.section ?? values.language ?? values.advice ?? at + 1}`));
      if (name === "yarn") return entries;
      return [...entries.map((/** @type {HTMLElement} */ entry, /** @type {number} */ at) => {
        entry.append(button(say("take-entry-out"), () => panel.change({ kind: "form", changes: [{ do: "remove", section: name, item: at }] })));
        return entry;
      }), adding(panel, name, schema.items)];
    }),
  ];
}

/** One more entry of a list, its required keys filled in first. @param {Panel} panel @param {string} name @param {any} schema */
function adding(panel, name, schema) {
  /** @type {{key: string, input: HTMLInputElement | HTMLSelectElement}[]} */
  const inputs = (schema.required ?? []).map((/** @type {string} */ key) => {
    const choices = schema.properties[key].enum;
    const input = choices
      ? el("select", { id: `new-${name}-${key}`, "data-new": `${name} ${key}` }, choices.map((/** @type {string} */ one) => el("option", { value: one }, one)))
      : el("input", { type: "text", id: `new-${name}-${key}`, "data-new": `${name} ${key}` });
    return { key, input };
  });
  const add = () => {
    const empty = inputs.find((one) => !one.input.value.trim());
    if (empty) {
      empty.input.focus();
      return;
    }
    panel.change({ kind: "form", changes: [{ do: "add", section: name, values: inputs.map((one) => [one.key, one.input.value]) }] });
    for (const { input } of inputs) delete input.dataset.new;
  };
  return el(
    "details",
    { "data-section": `new ${name}` },
    el("summary", {}, say("one-more", { what: keyWords(name) })),
    inputs.map((one) => el("div", { class: "field" }, el("label", { for: one.input.id }, keyWords(one.key)), one.input)),
    button(say("add-entry"), add),
  );
}

/** @param {any} told */
function fault(told) {
  return el("p", { class: "fault", lang: "en" }, plain(told.message), " ", told.hints.map((/** @type {string} */ hint) => `${plain(hint)} `));
}

/** @param {Panel} panel @param {Form} form @param {Field} at @param {any} schema @param {any} value @param {boolean} required @returns {HTMLElement} */
function field(panel, form, at, schema, value, required) {
  if (schema.type === "object") {
    // A few keys between braces: where a piece began, what is left, how long its tail is.
    const name = `${at.section}.${at.key}`;
    const inner = keysOf(at.key, schema).map((key) => field(panel, form, { section: name, item: at.item, key }, schema.properties[key], value?.[key], false));
    return el("fieldset", { class: "inner" }, el("legend", {}, keyWords(at.key)), inner);
  }
  const id = `${at.section}-${at.item ?? ""}-${at.key}`.replaceAll(".", "-");
  const faults = form.faults.filter((f) => f.field && f.field.key === at.key && f.field.section === at.section && (f.field.item ?? null) === at.item);
  const told = `${id}-told`;
  const described = { id, "aria-describedby": schema.description || faults.length ? told : null, "aria-invalid": faults.length ? "true" : null, "aria-required": required ? "true" : null };
  const save = (/** @type {any} */ to) => {
    const from = value ?? null;
    if (JSON.stringify(from) !== JSON.stringify(to)) panel.change({ kind: "form", changes: [{ do: "set", section: at.section, item: at.item, key: at.key, from, to }] });
  };
  const control = input(schema, value, described, at, required, save);
  const about = aboutField(at.section, at.key, schema.description);
  return el(
    "div",
    { class: "field" },
    el("label", { for: id }, keyWords(at.key)),
    control,
    el("div", { id: told, class: "told" }, about && el("p", { class: "note" }, about), faults.map(fault)),
  );
}

/**
 * A list whose entries have a few keys each: one line an entry, and an empty one for the next.
 * @param {any} schema @param {any[]} all @param {Record<string, any>} given @param {(to: any) => void} save
 */
function points(schema, all, given, save) {
  const keys = Object.keys(schema.properties);
  const needed = schema.required ?? keys;
  const line = (/** @type {any} */ values, /** @type {number} */ at) => {
    const inputs = keys.map((key, n) =>
      el(LONG.includes(key) ? "textarea" : "input", {
        type: LONG.includes(key) ? null : "text",
        "data-new": at === all.length ? `${given.id} ${key}` : null,
        ...(at === all.length && n === 0 ? given : { "aria-describedby": given["aria-describedby"] }),
        "aria-label": `${keyWords(key)}, ${at + 1}`,
        placeholder: keyWords(key),
        value: values[key] ?? "",
        onchange: () => {
          const typed = Object.fromEntries(keys.map((one, i) => [one, inputs[i].value.trim()]).filter(([, words]) => words));
          // A new entry is written when it is whole.
          if (!needed.every((/** @type {string} */ one) => typed[one])) return;
          for (const input of inputs) delete input.dataset.new;
          save([...all.slice(0, at), typed, ...all.slice(at + 1)]);
        },
      }));
    const out = at < all.length && button(say("take-entry-out"), () => save(all.length > 1 ? all.filter((_, other) => other !== at) : null));
    return el("div", { class: "point" }, inputs, out);
  };
  return el("div", { class: "points" }, [...all, {}].map(line));
}

/**
 * @param {any} schema @param {any} value @param {Record<string, any>} given @param {Field} at @param {boolean} required
 * @param {(to: any) => void} save
 */
function input(schema, value, given, at, required, save) {
  if (schema.enum || schema.type === "boolean") {
    const values = schema.enum ?? ["true", "false"];
    const words = (/** @type {string} */ one) => (schema.enum ? one : say(one === "true" ? "yes" : "no"));
    const select = el(
      "select",
      { ...given, onchange: () => save(select.value === "" ? null : schema.enum ? select.value : select.value === "true") },
      !required && el("option", { value: "" }, say("as-usual")),
      values.map((/** @type {string} */ one) => el("option", { value: one }, words(one))),
    );
    select.value = value === undefined ? "" : String(value);
    return select;
  }
  if (schema.format === "date") {
    const day = el("input", { type: "date", ...given, value: value?.day ?? "", onchange: () => save(day.value ? { day: day.value } : null) });
    return day;
  }
  if (schema.type === "integer" || schema.type === "number") {
    const number = el("input", { type: "number", ...given, min: schema.minimum, max: schema.maximum, step: schema.type === "integer" ? "1" : "any", value: value ?? "", onchange: () => save(number.value === "" ? null : Number(number.value)) });
    return number;
  }
  const list = schema.type === "array" ? schema : schema.anyOf?.find((/** @type {any} */ one) => one.type === "array");
  if (list) {
    if (list.items?.type === "object") return points(list.items, value ?? [], given, save);
    const numbers = list.items?.type === "number" || list.items?.type === "integer";
    const shown = Array.isArray(value) ? value.join(", ") : value ?? "";
    const text = el("input", { type: "text", ...given, value: shown, onchange: () => {
      const parts = text.value.split(",").map((part) => part.trim()).filter(Boolean);
      save(parts.length ? parts.map((part) => (numbers && Number.isFinite(Number(part)) ? Number(part) : part)) : null);
    } });
    return text;
  }
  if (LONG.includes(at.key)) {
    const long = el("textarea", { ...given, rows: "5", value: value ?? "", onchange: () => save(long.value.trim() ? long.value : null) });
    return long;
  }
  if (schema.pattern?.includes("0-9a-fA-F")) {
    const colour = el("input", { type: "color", ...given, value: value ?? "#ffffff", onchange: () => save(colour.value) });
    return colour;
  }
  const text = el("input", { type: "text", ...given, value: typeof value === "object" ? "" : value ?? "", onchange: () => save(text.value.trim() ? text.value.trim() : null) });
  return text;
}
