// The keyboard: every knot can be reached and tied without a pointer.

import { BARE } from "./grid.js";
import { speak } from "./parts.js";
import { say } from "./words.js";

/** @typedef {import("./panel.js").Screen} Screen */
/** @typedef {import("./state.js").Panel} Panel */

/** Undo and redo, wherever she is. @param {Panel} panel @param {KeyboardEvent} event */
export function undoKeys(panel, event) {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  if (event.target instanceof HTMLTextAreaElement) return;
  if (event.target instanceof HTMLInputElement && ["text", "number", "date"].includes(event.target.type)) return;
  const key = event.key.toLowerCase();
  const kind = key === "z" && !event.shiftKey ? "undo" : key === "y" || (key === "z" && event.shiftKey) ? "redo" : null;
  if (!kind) return;
  event.preventDefault();
  void panel.step(kind);
}

/** Keys of the knots. @param {Screen} screen @param {KeyboardEvent} event */
export function keys(screen, event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const { view, hand, panel } = screen;
  const grid = panel.grid;
  if (!grid) return;
  const far = event.shiftKey ? 10 : 1;
  /** @type {Record<string, [number, number]>} */
  const steps = {
    ArrowLeft: [-far, 0],
    ArrowRight: [far, 0],
    ArrowUp: [0, -far],
    ArrowDown: [0, far],
    Home: [-grid.columns, 0],
    End: [grid.columns, 0],
    PageUp: [0, -10],
    PageDown: [0, 10],
  };
  const step = steps[event.key];
  if (step) {
    view.step(...step);
    hand.keyMoved(view.cursor);
    speak(screen.spoken());
  } else if (event.key === " " || event.key === "Enter") {
    view.showCursor = true;
    const open = hand.key(view.cursor);
    speak(open ? say("begun", { place: screen.spoken() }) : screen.spoken());
  } else if (event.key === "Delete" || event.key === "Backspace") {
    const yarn = hand.yarn;
    hand.yarn = BARE;
    if (hand.part) hand.fill();
    else hand.key(view.cursor);
    hand.yarn = yarn;
    speak(screen.spoken());
  } else if (event.key === "Escape") {
    screen.pointed = [];
    if (hand.letGo()) speak(say("let-go-said"));
  } else if (event.key === "+") view.zoom(1.25);
  else if (event.key === "-") view.zoom(1 / 1.25);
  else {
    const exact = panel.yarns.findIndex((yarn) => yarn.letter === event.key);
    const near = panel.yarns.findIndex((yarn) => yarn.letter.toLowerCase() === event.key.toLowerCase());
    const yarn = event.key === "." ? BARE : exact >= 0 ? exact : near;
    if (yarn < 0) return;
    screen.take(yarn);
  }
  event.preventDefault();
}
