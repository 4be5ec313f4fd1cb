// The shelf: every panel of the folder as a small knotted drawing.

import { Refused, get, post } from "./ask.js";
import { plain } from "./figures.js";
import { small } from "./draw.js";
import { numbered } from "./grid.js";
import { button, el, fill } from "./parts.js";
import { count, say } from "./words.js";

/** Pixels of the longer side of a drawing. */
const SIDE = 190;

/** @param {Element} into @returns {Promise<{close: () => void, hear: () => void}>} */
export async function open(into) {
  let closed = false;
  const draw = async () => {
    const shelf = await get("/api/shelf");
    // She may have gone to a panel meanwhile.
    if (closed) return;
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
  return {
    close: () => {
      closed = true;
    },
    hear: () => void draw().catch(() => {}),
  };
}

/** @param {any} panel */
function card(panel) {
  const canvas = el("canvas", { "aria-hidden": "true", width: "1", height: "1" });
  if (panel.cells) {
    const scene = {
      grid: { columns: panel.columns, rows: panel.rows, cells: numbered(panel.cells, panel.yarns) },
      yarns: panel.yarns,
      symbols: [],
      leftToRight: true,
      printed: false,
      bare: "#d8ccb4",
      paper: "#fff",
    };
    small(canvas, scene, panel.cell ?? [1.67, 1], SIDE);
  }
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

/** A new panel: by knots, or a copy of another with or without its chart. */
function beginning() {
  const title = el("input", { type: "text", id: "begin-title" });
  const columns = el("input", { type: "number", id: "begin-columns", min: "1", max: "2000", value: "40" });
  const rows = el("input", { type: "number", id: "begin-rows", min: "1", max: "2000", value: "56" });
  const like = el("select", { id: "begin-like", onchange: () => sized() });
  const copied = el("input", { type: "checkbox", id: "begin-copied", onchange: () => sized() });
  const wrong = el("p", { class: "wrong", role: "alert", lang: "en" });
  const sized = () => {
    copied.disabled = like.value === "";
    columns.disabled = rows.disabled = !copied.disabled && copied.checked;
  };
  const begin = async () => {
    if (!title.value.trim()) {
      title.focus();
      return;
    }
    const taken = copied.checked && !copied.disabled;
    try {
      const size = taken ? null : [Number(columns.value), Number(rows.value)];
      const made = await post("/api/new", { title: title.value, size, like: like.value || null, copied: taken });
      location.hash = `#/panel/${encodeURIComponent(made.name)}`;
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      wrong.textContent = plain(error.told?.message ?? "");
    }
  };
  const adding = el(
    "section",
    { class: "beginning" },
    el("h2", {}, say("begin")),
    el(
      "div",
      { class: "fields" },
      el("label", { for: "begin-title" }, say("begin-title")),
      title,
      el("label", { for: "begin-columns" }, say("columns")),
      columns,
      el("label", { for: "begin-rows" }, say("rows")),
      rows,
      el("label", { for: "begin-like" }, say("begin-like")),
      like,
      el("label", { for: "begin-copied" }, say("begin-copied")),
      copied,
    ),
    button(say("begin-now"), () => void begin(), { class: "main" }),
    wrong,
  );
  const models = (/** @type {any[]} */ panels) => {
    const chosen = like.value;
    fill(like, el("option", { value: "" }, say("begin-plain")), panels.filter((panel) => panel.cells).map((panel) => el("option", { value: panel.name }, panel.title)));
    like.value = chosen;
    sized();
  };
  return { adding, models };
}
