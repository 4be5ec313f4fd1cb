// A new panel on the shelf: by knots or by its finished size, plain or after another one.

import { Refused, get, post } from "./ask.js";
import { plain } from "./figures.js";
import { button, el, fill } from "./parts.js";
import { say } from "./words.js";

/** The form, and what tells it of the panels that there are. */
export function beginning() {
  const title = el("input", { type: "text", id: "begin-title" });
  const number = (/** @type {string} */ id, /** @type {string} */ value) => el("input", { type: "number", id, min: "1", max: "2000", value, inputmode: "numeric", onchange: () => measure(false) });
  const [columns, rows] = [number("begin-columns", "40"), number("begin-rows", "56")];
  const text = (/** @type {string} */ id) => el("input", { type: "text", id, onchange: () => measure(true) });
  const [width, height] = [text("begin-width"), text("begin-height")];
  const like = el("select", { id: "begin-like", onchange: () => sized() });
  const copied = el("input", { type: "checkbox", id: "begin-copied", onchange: () => sized() });
  const size = el("p", { class: "note", role: "status" });
  const wrong = el("p", { class: "wrong", role: "alert", lang: "en" });

  /** What was asked last: an older answer is no longer of interest. */
  let asked = Promise.resolve();
  let turns = 0;
  /** Knots from the measures she wrote, or the size of the knots. @param {boolean} measured */
  const measure = (measured) => {
    asked = measuring(measured, (turns += 1));
  };
  const measuring = async (/** @type {boolean} */ measured, /** @type {number} */ turn) => {
    if (!measured) width.value = height.value = "";
    wrong.textContent = "";
    try {
      const across = width.value.trim() || columns.value || "1";
      const down = height.value.trim() || rows.value || "1";
      const made = await get("/api/sized", { like: like.value, across, down });
      if (turn !== turns) return;
      // Knots that she is typing are hers.
      if (measured) [columns.value, rows.value] = [String(made.columns), String(made.rows)];
      size.textContent = say("begin-size", { size: made.size });
    } catch (error) {
      if (turn !== turns) return;
      size.textContent = "";
      if (error instanceof Refused && measured) wrong.textContent = [error.told?.message ?? "", ...(error.told?.hints ?? [])].map(plain).join(": ");
    }
  };
  const sized = () => {
    copied.disabled = like.value === "";
    const taken = !copied.disabled && copied.checked;
    for (const field of [columns, rows, width, height]) field.disabled = taken;
    if (taken) size.textContent = "";
    else measure(width.value !== "" || height.value !== "");
  };
  const begin = async () => {
    if (!title.value.trim()) {
      title.focus();
      return;
    }
    const taken = copied.checked && !copied.disabled;
    await asked;
    try {
      const knots = taken ? null : [Number(columns.value), Number(rows.value)];
      const made = await post("/api/new", { title: title.value, size: knots, like: like.value || null, copied: taken });
      location.hash = `#/panel/${encodeURIComponent(made.name)}`;
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      wrong.textContent = plain(error.told?.message ?? "");
    }
  };
  const pair = (/** @type {HTMLElement} */ field, /** @type {string} */ words) => [el("label", { for: field.id }, words), field];
  const adding = el(
    "section",
    { class: "beginning" },
    el("h2", {}, say("begin")),
    el(
      "div",
      { class: "fields" },
      pair(title, say("begin-title")),
      pair(columns, say("columns")),
      pair(rows, say("rows")),
      pair(width, say("begin-width")),
      pair(height, say("begin-height")),
      pair(like, say("begin-like")),
      pair(copied, say("begin-copied")),
    ),
    size,
    button(say("begin-now"), () => void begin(), { class: "main" }),
    wrong,
    el("p", { class: "other" }, el("a", { href: "#/picture" }, say("begin-picture"))),
  );
  const models = (/** @type {any[]} */ panels) => {
    const chosen = like.value;
    fill(like, el("option", { value: "" }, say("begin-plain")), panels.filter((panel) => panel.cells).map((panel) => el("option", { value: panel.name }, panel.title)));
    like.value = chosen;
    sized();
  };
  return { adding, models };
}
