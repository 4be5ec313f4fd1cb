// What is drawn over the knots: axes, places, the part in hand, and what happens to the lengths.

import { BARE } from "./grid.js";
import { dashed } from "./parts.js";

/** @typedef {import("./panel.js").Screen} Screen */

/** @param {Screen} screen */
export function overlay(screen) {
  const { hand, panel, view } = screen;
  const { on } = view;
  const { grid } = panel;
  if (!grid) return;
  const [across, down] = view.size();
  if (screen.marked && screen.figures?.marks) marked(screen, grid, screen.figures.marks);
  on.save();
  on.lineWidth = 2;
  for (const [at, upright] of /** @type {[number | null, boolean][]} */ ([[hand.axes.upright, true], [hand.axes.level, false]])) {
    if (at === null) continue;
    dashed(on, () => {
      on.beginPath();
      if (upright) {
        on.moveTo(view.x + at * across, view.y);
        on.lineTo(view.x + at * across, view.y + grid.rows * down);
      } else {
        on.moveTo(view.x, view.y + at * down);
        on.lineTo(view.x + grid.columns * across, view.y + at * down);
      }
      on.stroke();
    });
  }
  on.restore();
  for (const place of screen.pointed) {
    view.outline({
      left: place.column ?? 0,
      right: place.column ?? grid.columns - 1,
      top: Math.min(place.row, grid.rows - 1),
      bottom: Math.min(place.row, grid.rows - 1),
    });
  }
  if (hand.part && !hand.carried) view.outline(hand.part, true);
  if (hand.carried && hand.hover) {
    const corner = hand.corner(hand.hover);
    const { columns, rows, cells } = hand.carried;
    on.save();
    on.globalAlpha = 0.8;
    for (let row = 0; row < rows; row += 1) {
      for (let column = 0; column < columns; column += 1) {
        const yarn = cells[row * columns + column];
        if (yarn === BARE) continue;
        on.fillStyle = panel.yarns[yarn]?.colour ?? "#888";
        on.fillRect(view.x + (corner.column + column) * across, view.y + (corner.row + row) * down, across + 0.5, down + 0.5);
      }
    }
    on.restore();
    view.outline({ left: corner.column, right: corner.column + columns - 1, top: corner.row, bottom: corner.row + rows - 1 }, true);
  }
}

/** Where lengths start, are cut and are led behind. @param {Screen} screen @param {Grid} grid @param {Marks} all */
function marked({ view, lastRow }, grid, all) {
  const { on } = view;
  const last = lastRow ?? Infinity;
  const upTo = (/** @type {number[][]} */ places) => places.filter(([row]) => row <= last);
  const marks = { starts: upTo(all.starts), cuts: upTo(all.cuts), led: upTo(all.led) };
  if (lastRow !== null && lastRow < grid.rows) view.outline({ left: 0, right: grid.columns - 1, top: lastRow, bottom: lastRow }, true);
  const [across, down] = view.size();
  const middle = (/** @type {number} */ row, /** @type {number} */ column) => [view.x + (column + 0.5) * across, view.y + (row + 0.5) * down];
  const size = Math.max(2, Math.min(across, down) * 0.28);
  on.save();
  on.lineCap = "round";
  for (const [colour, thick] of /** @type {[string, number][]} */ ([["#fff", 4], ["#000", 1.6]])) {
    on.strokeStyle = colour;
    on.lineWidth = thick;
    on.beginPath();
    for (const [row, first, last] of marks.led) {
      const [x, y] = middle(row, first);
      const [end] = middle(row, last);
      on.moveTo(x - across * 0.3 * Math.sign(end - x || 1), y);
      on.quadraticCurveTo((x + end) / 2, y + down * 0.55, end + across * 0.3 * Math.sign(end - x || 1), y);
    }
    for (const [row, column] of marks.cuts) {
      const [x, y] = middle(row, column);
      on.moveTo(x - size, y - size);
      on.lineTo(x + size, y + size);
      on.moveTo(x + size, y - size);
      on.lineTo(x - size, y + size);
    }
    on.stroke();
  }
  for (const [row, column] of marks.starts) {
    const [x, y] = middle(row, column);
    on.beginPath();
    on.arc(x, y, size * 0.9, 0, 2 * Math.PI);
    on.fillStyle = "#fff";
    on.fill();
    on.lineWidth = 1.6;
    on.strokeStyle = "#000";
    on.stroke();
  }
  on.restore();
}
