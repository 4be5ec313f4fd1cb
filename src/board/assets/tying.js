// Working along: the row in hand large, the next ones small, ticks kept in this browser.

import { get } from "./ask.js";
import { button, el, fill, speak } from "./parts.js";
import { language, say } from "./words.js";

/** @typedef {import("./state.js").Panel} Panel */
/** @typedef {{number: string, leftToRight: boolean, sentence: string}} Row */

/** Rows that are shown after the one in hand. */
const NEXT = 3;

/** @param {Element} into @param {Panel} panel @param {AbortSignal} signal */
export async function build(into, panel, signal) {
  const key = `hitchpress-tied-${location.port}-${panel.name}`;
  /** @type {Row[]} */
  let rows = [];
  let done = Number(localStorage.getItem(key)) || 0;
  const draw = (/** @type {boolean} */ moved) => {
    if (!rows.length) {
      fill(into, el("p", { class: "note" }, say("tying-none")));
      return;
    }
    done = Math.min(rows.length, Math.max(0, done));
    const row = rows[done];
    const to = (/** @type {number} */ next) => {
      done = next;
      localStorage.setItem(key, String(done));
      draw(true);
    };
    const tick = button(say("tied"), () => to(done + 1), { class: "main large" });
    fill(
      into,
      el(
        "div",
        { class: "page tying" },
        el("p", { class: "detail" }, say("tied-of", { n: done, all: rows.length })),
        el("progress", { max: String(rows.length), value: done, "aria-label": say("tied-of", { n: done, all: rows.length }) }),
        row
          ? el("article", { class: "row" }, el("h2", {}, say("row-n", { n: row.number })), el("p", { class: "way" }, say(row.leftToRight ? "left-to-right" : "right-to-left")), el("p", { class: "sentence" }, row.sentence))
          : el("p", { class: "sentence" }, say("all-tied")),
        el("div", { class: "buttons" }, row && tick, done > 0 && button(say("back-a-row"), () => to(done - 1), { class: "large" })),
        el("ol", { class: "next" }, rows.slice(done + 1, done + 1 + NEXT).map((next) => el("li", {}, el("strong", {}, say("row-n", { n: next.number })), " ", next.sentence))),
        el("p", {}, el("label", {}, say("go-to-row"), " ", goTo(rows, done, to))),
      ),
    );
    if (moved) {
      speak(row ? row.sentence : say("all-tied"));
      tick.focus();
    }
  };
  const load = async () => {
    const made = await get("/api/rows", { panel: panel.name, language: language() });
    if (signal.aborted) return;
    rows = made.rows;
    draw(false);
  };
  panel.on("loaded", load, signal);
  await load();
}

/** @param {Row[]} rows @param {number} done @param {(row: number) => void} to */
function goTo(rows, done, to) {
  const select = el("select", { onchange: () => to(Number(select.value)) }, rows.map((row, at) => el("option", { value: String(at) }, row.number)));
  select.value = String(Math.min(done, rows.length - 1));
  return select;
}
