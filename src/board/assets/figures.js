// What stands beside the panel: figures, faults, advice.

import { count, say } from "./words.js";
import { button, el, fill, sample } from "./parts.js";

/** @param {string} name @param {string | null | false | undefined} value */
function line(name, value) {
  return value ? [el("dt", {}, name), el("dd", {}, value)] : [];
}

/**
 * @param {Element} into
 * @param {Figures} figures
 * @param {Yarn[]} yarns
 * @param {(told: Told) => void} choose
 */
export function show(into, figures, yarns, choose) {
  const { panel } = figures;
  fill(
    into,
    figures.faults.length > 0 && told("faults", say("faults"), figures.faults, choose),
    panel
      ? el("section", { class: "figures" }, el("h2", {}, say("figures")), facts(panel))
      : el("p", { class: "note" }, say("no-figures")),
    figures.yarns ? amounts(figures, yarns) : null,
    figures.advice.length > 0 && told("advice", count("advice", figures.advice.length), figures.advice, choose),
  );
}

/** @param {PanelFigures} panel */
function facts(panel) {
  const price = (/** @type {string | null} */ value) => value && `${value} ${panel.currency ?? ""}`.trim();
  const most = panel.mostWaiting;
  return el(
    "dl",
    {},
    line(say("size"), panel.size),
    line(say("fringe"), panel.fringe),
    line(say("knots-word"), say("knots-of", { columns: panel.columns, rows: panel.rows, knots: panel.knots })),
    line(say("header-rows"), panel.headerRows > 0 && String(panel.headerRows)),
    line(say("hours"), panel.hours && say("from-to", { from: panel.hours[0], to: panel.hours[1] })),
    line(say("ends"), panel.ends),
    line(say("most-waiting"), most && most.lengths > 0 && (most.row === null ? String(most.lengths) : say("most-waiting-in", { n: most.lengths, row: most.row + 1 }))),
    line(say("cord"), `${panel.cord}${panel.spools ? `, ${count("spools", panel.spools)}` : ""}`),
    line(say("mass"), panel.mass),
    line(say("yarn-price"), price(panel.yarnPrice)),
    line(say("cord-price"), price(panel.cordPrice)),
  );
}

/** @param {Figures} figures @param {Yarn[]} yarns */
function amounts(figures, yarns) {
  const used = (figures.yarns ?? []).filter((yarn) => yarn.used);
  const priced = used.some((yarn) => yarn.price !== null);
  const head = (/** @type {string} */ words) => el("th", { scope: "col" }, words);
  return el(
    "section",
    { class: "amounts" },
    el("h2", {}, say("to-buy")),
    el(
      "div",
      { class: "scrolls", tabindex: "0", role: "region", "aria-label": say("to-buy") },
      el(
        "table",
        {},
        el("thead", {}, el("tr", {}, head(say("yarn")), head(say("length")), head(say("balls")), priced && head(say("price")))),
        el(
          "tbody",
          {},
          used.map((yarn) => {
            const known = yarns.find((one) => one.letter === yarn.letter);
            return el(
              "tr",
              {},
              el("th", { scope: "row" }, sample(known?.colour ?? null), known?.name ?? yarn.letter),
              el("td", {}, yarn.buy ?? ""),
              el("td", {}, yarn.balls === null ? "" : String(yarn.balls)),
              priced && el("td", {}, yarn.price ?? ""),
            );
          }),
        ),
      ),
    ),
  );
}

/** @param {string} kind @param {string} title @param {Told[]} all @param {(told: Told) => void} choose */
function told(kind, title, all, choose) {
  return el(
    "section",
    { class: `told ${kind}` },
    el("h2", {}, title),
    el(
      "ul",
      {},
      all.map((one) =>
        el(
          "li",
          // The program speaks of faults in English.
          { lang: one.lang },
          el("p", {}, plain(one.message)),
          one.hints.map((hint) => el("p", { class: "hint" }, plain(hint))),
          one.line !== null && el("p", { class: "where", lang: document.documentElement.lang }, say("in-file", { file: one.file ?? "", line: one.line })),
          one.places.length > 0 && button(say("show-place"), () => choose(one), { class: "quiet", lang: document.documentElement.lang }),
        ),
      ),
    ),
  );
}

/** A message without its back-ticks, as a sentence. @param {string} message */
export function plain(message) {
  const words = message.replaceAll("`", "");
  return words.charAt(0).toUpperCase() + words.slice(1) + (/[.!?]$/.test(words) ? "" : ".");
}
