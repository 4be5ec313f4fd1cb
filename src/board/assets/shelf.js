// The shelf: every panel of the folder as a small knotted drawing.

import { get } from "./ask.js";
import { beginning } from "./begin.js";
import { small } from "./draw.js";
import { numbered } from "./grid.js";
import { el, fill } from "./parts.js";
import { count, say } from "./words.js";

/** Pixels of the longer side of a drawing. */
const SIDE = 190;

/** @param {Element} into @param {AbortSignal} signal */
export async function open(into, signal) {
  const draw = async () => {
    const shelf = await get("/api/shelf");
    // She may have gone to a panel meanwhile.
    if (signal.aborted) return;
    document.title = `${shelf.folder} – Hitchpress`;
    fill(
      into,
      el("h1", {}, say("shelf-of", { folder: shelf.folder })),
      shelf.panels.length === 0 && el("p", { class: "note" }, say("shelf-empty")),
      el("ul", { class: "shelf" }, shelf.panels.map(card)),
      adding,
    );
    models(shelf.panels);
  };
  const { adding, models } = beginning();
  await draw();
  return { hear: () => void draw().catch(() => {}) };
}

/** @param {any} panel */
function card(panel) {
  const canvas = el("canvas", { "aria-hidden": "true", width: "1", height: "1" });
  if (panel.cells) small(canvas, { ...panel, cells: numbered(panel.cells, panel.yarns) }, panel.yarns, SIDE, panel.cell);
  const knots = panel.cells && say("columns-rows", { columns: panel.columns, rows: panel.rows });
  return el(
    "li",
    {},
    el(
      "a",
      { href: `#/panel/${encodeURIComponent(panel.name)}` },
      el("span", { class: "hung" }, canvas),
      el("span", { class: "title" }, panel.title),
      knots && el("span", { class: "detail" }, knots),
      panel.size && el("span", { class: "detail" }, panel.size),
      panel.faults > 0 && el("span", { class: "detail wrong" }, count("faults-n", panel.faults)),
    ),
  );
}
