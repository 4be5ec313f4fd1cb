// Tools of the hand beside its ways: parts of the panel, axes, rows and columns.

import { button, el, fill } from "./parts.js";
import { say } from "./words.js";

/** @typedef {import("./panel.js").Screen} Screen */
/** @typedef {import("./hand.js").Hand} Hand */

/** What can be done with a part: shown while one is chosen. @param {HTMLElement} into @param {Hand} hand */
export function parts(into, hand) {
  const shown = hand.carried ? "carried" : hand.part ? "chosen" : hand.way === "part" ? "none" : "";
  const sized = hand.part ? `${hand.part.right - hand.part.left + 1}x${hand.part.bottom - hand.part.top + 1}` : "";
  if (into.dataset.shown === shown + sized) return;
  into.dataset.shown = shown + sized;
  into.hidden = shown === "";
  if (!shown) return;
  let note = say(`part-${shown}`);
  /** @type {[string, () => void][]} */
  const turns = [["part-sides", () => hand.turn("sides")], ["part-ends", () => hand.turn("ends")]];
  /** @type {[string, () => void][]} */
  let does = shown === "carried" ? turns : [];
  if (shown === "chosen" && hand.part) {
    const { left, right, top, bottom } = hand.part;
    note = say("part-of", { columns: right - left + 1, rows: bottom - top + 1 });
    does = [
      ["part-copy", () => hand.carry(false)],
      ["part-move", () => hand.carry(true)],
      ["part-fill", () => hand.fill()],
      ...turns,
      ["part-repeat-across", () => hand.repeat("across")],
      ["part-repeat-down", () => hand.repeat("down")],
      ["part-repeat-all", () => hand.repeat("all")],
    ];
  }
  if (does.length) does.push(["let-go", () => hand.letGo()]);
  fill(into, el("h2", {}, say("part")), el("p", { class: "note" }, note), does.length > 0 && el("div", { class: "buttons" }, does.map(([key, then]) => button(say(key), then))));
}

/** Painting about an axis. @param {Screen} screen */
export function mirrors({ hand, panel, view }) {
  const axis = (/** @type {"upright" | "level"} */ which, /** @type {() => number} */ most) => {
    const at = el("input", { type: "number", id: `axis-${which}`, min: "1", step: "1", inputmode: "numeric", disabled: true, onchange: () => set() });
    const on = el("input", { type: "checkbox", onchange: () => {
      at.disabled = !on.checked;
      if (on.checked) at.value = String(Math.floor(most() / 2));
      set();
    } });
    const set = () => {
      const before = Math.min(most() - 1, Math.max(1, Number(at.value) || 1));
      hand.axes[which] = on.checked ? before : null;
      view.frame();
    };
    return el("div", { class: "axis" }, el("label", {}, on, el("span", {}, say(`mirror-${which}`))), el("label", { for: `axis-${which}`, class: "unseen" }, say(`axis-${which}`)), at);
  };
  return el(
    "details",
    {},
    el("summary", {}, say("mirror")),
    el("p", { class: "note" }, say("mirror-note")),
    axis("upright", () => panel.grid?.columns ?? 2),
    axis("level", () => panel.grid?.rows ?? 2),
  );
}

/** Rows and columns put in and taken out. @param {Screen} screen */
export function lines({ panel, signal }) {
  const what = el("select", { id: "line", onchange: () => limits() }, el("option", { value: "rows" }, say("rows")), el("option", { value: "columns" }, say("columns")));
  const at = el("input", { type: "number", id: "line-at", min: "1", value: "1", inputmode: "numeric" });
  const many = el("input", { type: "number", id: "line-count", min: "1", max: "200", value: "1", inputmode: "numeric" });
  const limits = () => {
    if (panel.grid) at.max = String(panel.grid[what.value === "rows" ? "rows" : "columns"] + 1);
  };
  panel.on("loaded", limits, signal);
  limits();
  const doing = (/** @type {"put-in" | "take-out"} */ kind) => {
    panel.lift();
    panel.change({ kind, line: what.value, at: Math.max(0, Number(at.value) - 1), count: Math.max(1, Number(many.value)) });
  };
  return el(
    "details",
    {},
    el("summary", {}, say("lines")),
    el("p", { class: "note" }, say("lines-note")),
    el("div", { class: "fields" }, el("label", { for: "line" }, say("line-what")), what, el("label", { for: "line-at" }, say("line-at")), at, el("label", { for: "line-count" }, say("line-count")), many),
    el("div", { class: "buttons" }, button(say("put-in"), () => doing("put-in")), button(say("take-out"), () => doing("take-out"))),
  );
}
