// A picture under the knots, to trace: moved, scaled, and the knots faded over it. It stays in this browser, kept over a
// reload, and is no part of the panel.

import { button, el, fill } from "./parts.js";
import { say } from "./words.js";

/** @typedef {import("./view.js").View} View */
/** @typedef {{file: Blob, x: number, y: number, width: number, fade: number}} Kept measures in columns and rows */

const SHELF = "traced";

/** @returns {Promise<IDBDatabase>} */
function base() {
  return new Promise((done, failed) => {
    const asked = indexedDB.open("hitchpress", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(SHELF);
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });
}

/** @param {IDBTransactionMode} mode @param {(shelf: IDBObjectStore) => IDBRequest} ask @returns {Promise<any>} */
async function kept(mode, ask) {
  const opened = await base();
  try {
    return await new Promise((done, failed) => {
      const asked = ask(opened.transaction(SHELF, mode).objectStore(SHELF));
      asked.onsuccess = () => done(asked.result);
      asked.onerror = () => failed(asked.error);
    });
  } finally {
    opened.close();
  }
}

/**
 * The controls of one panel.
 * @param {View} view
 * @param {string} name
 */
export function tracing(view, name) {
  /** @type {Blob | null} */
  let file = null;
  const keep = () => {
    const traced = view.traced;
    // Without room the picture is there until she leaves.
    if (file && traced) void kept("readwrite", (shelf) => shelf.put({ file, x: traced.x, y: traced.y, width: traced.width, fade: traced.fade }, name)).catch(() => {});
    else void kept("readwrite", (shelf) => shelf.delete(name)).catch(() => {});
  };
  const number = (/** @type {"x" | "y" | "width"} */ key, /** @type {string} */ least) => {
    const input = el("input", { type: "number", id: `trace-${key}`, step: "0.5", min: least, max: "1000", inputmode: "decimal", onchange: () => {
      const value = Number(input.value);
      if (!view.traced || !Number.isFinite(value)) return;
      view.traced[key] = key === "width" ? Math.max(1, value) : value;
      changed();
    } });
    return input;
  };
  const inputs = { x: number("x", "-1000"), y: number("y", "-1000"), width: number("width", "1") };
  const fade = el("input", { type: "range", id: "trace-fade", min: "0", max: "1", step: "0.05", oninput: () => {
    if (!view.traced) return;
    view.traced.fade = Number(fade.value);
    changed();
  } });
  const move = el("input", { type: "checkbox", id: "trace-move", onchange: () => {
    view.movesTraced = move.checked;
  } });
  const wrong = el("p", { class: "wrong", role: "alert" });
  const choose = el("input", { type: "file", id: "trace-file", accept: "image/*", onchange: async () => {
    const [chosen] = choose.files ?? [];
    if (chosen && await put({ file: chosen, x: 0, y: 0, width: view.scene?.grid.columns ?? 40, fade: 0.5 })) keep();
  } });
  const controls = el(
    "div",
    { hidden: true },
    el(
      "div",
      { class: "fields" },
      el("label", { for: "trace-fade" }, say("trace-fade")),
      fade,
      el("label", { for: "trace-width" }, say("trace-width")),
      inputs.width,
      el("label", { for: "trace-x" }, say("trace-x")),
      inputs.x,
      el("label", { for: "trace-y" }, say("trace-y")),
      inputs.y,
      el("label", { for: "trace-move" }, say("trace-move")),
      move,
    ),
    button(say("trace-away"), () => {
      view.traced = null;
      view.movesTraced = move.checked = false;
      file = null;
      choose.value = "";
      controls.hidden = true;
      keep();
      view.frame();
    }),
  );
  const shown = () => {
    const traced = view.traced;
    if (!traced) return;
    for (const key of /** @type {("x" | "y" | "width")[]} */ (["x", "y", "width"])) inputs[key].value = String(Math.round(traced[key] * 10) / 10);
    fade.value = String(traced.fade);
  };
  const changed = () => {
    shown();
    keep();
    view.frame();
  };
  /** @param {Kept} from */
  const put = async (from) => {
    const image = await createImageBitmap(from.file).catch(() => null);
    wrong.textContent = image ? "" : say("photograph-unreadable");
    if (!image) return false;
    file = from.file;
    view.traced = { image, x: from.x, y: from.y, width: from.width, fade: from.fade };
    controls.hidden = false;
    shown();
    view.frame();
    return true;
  };
  view.tracedMoved = changed;
  const details = el("details", { class: "tracing" });
  fill(details, el("summary", {}, say("trace")), el("p", { class: "note" }, say("trace-note")), el("p", {}, el("label", { for: "trace-file" }, say("photograph-choose")), " ", choose), wrong, controls);
  void kept("readonly", (shelf) => shelf.get(name)).then((found) => found && put(found)).catch(() => {});
  return details;
}
