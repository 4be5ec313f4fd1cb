// The canvas: where the panel lies, what pointers and keys do, frame by frame.
// Long, and one subject.

import * as draw from "./draw.js";
import { BARE, inside, place } from "./grid.js";

/** @typedef {import("./grid.js").Cell} Cell */
/** @typedef {import("./draw.js").Scene} Scene */
/**
 * What the hand does; `null` cells lie beside the panel.
 * @typedef {{down: (cell: Cell) => void, move: (cell: Cell) => void, up: () => void, cancel: () => void,
 *   over: (cell: Cell | null) => void}} Hand
 */

/** Milliseconds of a frame that tiles may take. */
const BUDGET = 5;
/** Pixels of the margin in which numbers stand. */
const MARGIN = 34;

export class View {
  /**
   * @param {HTMLCanvasElement} canvas
   * @param {Hand} hand
   */
  constructor(canvas, hand) {
    this.canvas = canvas;
    this.hand = hand;
    const on = canvas.getContext("2d");
    if (!on) throw new Error("no canvas");
    this.on = on;
    /** @type {Scene | null} */
    this.scene = null;
    /** Proportions of a cell. @type {[number, number]} */
    this.cell = [1.67, 1];
    this.scale = 0;
    this.x = 0;
    this.y = 0;
    this.ratio = 1;
    /** Whether a finger paints; else it moves the panel. */
    this.fingerPaints = false;
    /** Whether any pointer moves the panel. */
    this.onlyMoves = false;
    /** The cell that the keyboard is at. @type {Cell} */
    this.cursor = { column: 0, row: 0 };
    this.showCursor = false;
    /** Draws what lies over the panel. */
    this.overlay = () => {};
    /** A picture under the knots. @type {{image: ImageBitmap, x: number, y: number, width: number, fade: number} | null} */
    this.traced = null;
    /** Whether the pointer moves that picture, and who hears of it. */
    this.movesTraced = false;
    this.tracedMoved = () => {};
    /** Milliseconds of script a frame: for checks. @type {number[]} */
    this.spent = [];
    /** @type {Map<string, {canvas: OffscreenCanvas, stale: boolean}>} */
    this.tiles = new Map();
    /** @type {OffscreenCanvas | null} */
    this.flat = null;
    /** @type {Set<number>} */
    this.flatStale = new Set();
    this.asked = false;
    this.touched = false;
    /** @type {Map<number, {x: number, y: number}>} */
    this.pointers = new Map();
    /** @type {"paint" | "move" | "trace" | null} */
    this.doing = null;
    this.#listen();
    new ResizeObserver(() => this.resize()).observe(canvas);
  }

  /** A lying panel leaves no empty sheet above and below it. */
  #fit() {
    const grid = this.scene?.grid;
    const { clientWidth } = this.canvas;
    if (!grid || clientWidth < 4 * MARGIN) return;
    const tall = ((clientWidth - 2 * MARGIN) * grid.rows * this.cell[1]) / (grid.columns * this.cell[0]) + 2 * MARGIN;
    this.canvas.style.maxHeight = `${Math.max(280, Math.ceil(tall))}px`;
  }

  /** Another panel, size, palette or way of drawing. @param {Scene} scene */
  show(scene) {
    const same = this.scene && this.scene.grid.columns === scene.grid.columns && this.scene.grid.rows === scene.grid.rows;
    this.scene = scene;
    this.#fit();
    this.stale();
    if (!same && this.canvas.width > 1) {
      this.touched = false;
      this.whole();
    }
  }

  /** Everything is drawn anew. */
  stale() {
    this.tiles.clear();
    this.flat = null;
    this.frame();
  }

  /** These places are drawn anew. @param {number[]} places */
  changed(places) {
    const grid = this.scene?.grid;
    if (!grid) return;
    for (const at of places) {
      const [row, column] = [Math.floor(at / grid.columns), at % grid.columns];
      for (const [across, down] of [[0, 0], [-1, 0], [1, 0], [0, -1], [0, 1]]) {
        const tile = this.tiles.get(`${Math.floor((column + across) / draw.TILE)} ${Math.floor((row + down) / draw.TILE)}`);
        if (tile) tile.stale = true;
      }
      this.flatStale.add(at);
    }
    this.frame();
  }

  /** Proportions of a cell. @param {number} across @param {number} down */
  proportions(across, down) {
    if (Math.abs(this.cell[0] / this.cell[1] - across / down) < 1e-6) return;
    this.cell = [across / down, 1];
    this.#fit();
    this.stale();
    if (!this.touched) this.whole();
  }

  resize() {
    this.#fit();
    const { clientWidth, clientHeight } = this.canvas;
    const ratio = window.devicePixelRatio || 1;
    const width = Math.max(1, Math.round(clientWidth * ratio));
    const height = Math.max(1, Math.round(clientHeight * ratio));
    if (width === this.canvas.width && height === this.canvas.height && ratio === this.ratio) return;
    if (ratio !== this.ratio) this.tiles.clear();
    this.ratio = ratio;
    this.canvas.width = width;
    this.canvas.height = height;
    if (!this.touched) this.whole();
    this.draw();
  }

  /** Width and height of a cell in CSS pixels. */
  size() {
    return [this.cell[0] * this.scale, this.cell[1] * this.scale];
  }

  /** All of the panel is seen. */
  whole() {
    const grid = this.scene?.grid;
    if (!grid) return;
    const { clientWidth, clientHeight } = this.canvas;
    const scale = Math.min(
      (clientWidth - 2 * MARGIN) / (grid.columns * this.cell[0]),
      (clientHeight - 2 * MARGIN) / (grid.rows * this.cell[1]),
    );
    this.#rescale(Math.max(0.4, scale));
    this.x = (clientWidth - grid.columns * this.cell[0] * this.scale) / 2;
    this.y = (clientHeight - grid.rows * this.cell[1] * this.scale) / 2;
    this.frame();
  }

  /** @param {number} scale */
  #rescale(scale) {
    const next = Math.min(80, Math.max(0.4, scale));
    if (next === this.scale) return;
    this.scale = next;
    this.tiles.clear();
  }

  /** Larger or smaller about a place of the canvas. @param {number} by @param {number} [x] @param {number} [y] */
  zoom(by, x = this.canvas.clientWidth / 2, y = this.canvas.clientHeight / 2) {
    this.touched = true;
    const before = this.scale;
    this.#rescale(this.scale * by);
    const grown = this.scale / before;
    this.x = x - (x - this.x) * grown;
    this.y = y - (y - this.y) * grown;
    this.#hold();
    this.frame();
  }

  /** @param {number} x @param {number} y */
  pan(x, y) {
    this.touched = true;
    this.x += x;
    this.y += y;
    this.#hold();
    this.frame();
  }

  /** The panel never leaves the canvas. */
  #hold() {
    const grid = this.scene?.grid;
    if (!grid) return;
    const [across, down] = this.size();
    const least = 60;
    const hold = (/** @type {number} */ at, /** @type {number} */ long, /** @type {number} */ room) =>
      Math.min(room - least, Math.max(least - long, at));
    this.x = hold(this.x, grid.columns * across, this.canvas.clientWidth);
    this.y = hold(this.y, grid.rows * down, this.canvas.clientHeight);
  }

  /** Moves so that a cell is seen. @param {Cell} cell @param {boolean} [large] */
  reveal(cell, large = false) {
    if (large && this.size()[0] < 14) this.#rescale(14 / this.cell[0]);
    const [across, down] = this.size();
    const [x, y] = [this.x + (cell.column + 0.5) * across, this.y + (cell.row + 0.5) * down];
    const { clientWidth, clientHeight } = this.canvas;
    const edge = MARGIN + Math.max(across, down);
    this.touched = this.touched || large;
    if (large || x < edge || x > clientWidth - edge) this.x += (large ? clientWidth / 2 : Math.min(Math.max(x, edge), clientWidth - edge)) - x;
    if (large || y < edge || y > clientHeight - edge) this.y += (large ? clientHeight / 2 : Math.min(Math.max(y, edge), clientHeight - edge)) - y;
    this.frame();
  }

  /** The cell at a place of the canvas; it may lie beside the panel. @param {number} x @param {number} y @returns {Cell} */
  at(x, y) {
    const [across, down] = this.size();
    return { column: Math.floor((x - this.x) / across), row: Math.floor((y - this.y) / down) };
  }

  /** Asks for a frame. */
  frame() {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(() => {
      this.asked = false;
      const from = performance.now();
      this.draw();
      this.spent.push(performance.now() - from);
      if (this.spent.length > 600) this.spent.shift();
    });
  }

  draw() {
    const { on, canvas, scene, ratio } = this;
    on.setTransform(1, 0, 0, 1, 0, 0);
    on.clearRect(0, 0, canvas.width, canvas.height);
    if (!scene || this.scale === 0) return;
    const { columns, rows } = scene.grid;
    const [across, down] = this.size().map((size) => size * ratio);
    const [x, y] = [Math.round(this.x * ratio), Math.round(this.y * ratio)];
    if (this.traced) this.#trace(x, y, across, down);
    const seen = {
      left: Math.max(0, Math.floor(-x / across)),
      top: Math.max(0, Math.floor(-y / down)),
      right: Math.min(columns - 1, Math.floor((canvas.width - x) / across)),
      bottom: Math.min(rows - 1, Math.floor((canvas.height - y) / down)),
    };
    on.globalAlpha = this.traced ? 1 - this.traced.fade : 1;
    if (seen.left <= seen.right && seen.top <= seen.bottom) this.#tiled(seen, x, y, across, down);
    on.globalAlpha = 1;
    on.setTransform(ratio, 0, 0, ratio, 0, 0);
    this.#numbers(seen);
    this.overlay();
    if (this.showCursor) this.outline({ left: this.cursor.column, right: this.cursor.column, top: this.cursor.row, bottom: this.cursor.row });
  }

  /** @param {Box} seen @param {number} x @param {number} y @param {number} across @param {number} down */
  #tiled(seen, x, y, across, down) {
    const { on, scene } = this;
    if (!scene) return;
    this.#flatten();
    const until = performance.now() + BUDGET;
    let late = false;
    const last = (/** @type {number} */ n) => Math.floor(n / draw.TILE);
    if (this.tiles.size > 600) this.tiles.clear();
    // Small cells are plain: one pixel for each, drawn large.
    const plain = Math.min(across, down) < 3.5;
    const flat = () => {
      if (!this.flat) return;
      on.imageSmoothingEnabled = false;
      on.drawImage(this.flat, x, y, Math.round(scene.grid.columns * across), Math.round(scene.grid.rows * down));
    };
    if (plain) {
      flat();
      return;
    }
    let flatDrawn = false;
    for (let row = last(seen.top); row <= last(seen.bottom); row += 1) {
      for (let column = last(seen.left); column <= last(seen.right); column += 1) {
        const key = `${column} ${row}`;
        let tile = this.tiles.get(key);
        if (!tile || tile.stale) {
          if (performance.now() < until) {
            tile = { canvas: this.#tile(column, row, across, down, tile?.canvas), stale: false };
            this.tiles.set(key, tile);
          } else {
            late = true;
            if (!tile && !flatDrawn) {
              // Under all tiles; those that are there already are drawn again.
              flat();
              flatDrawn = true;
              row = last(seen.top) - 1;
              break;
            }
          }
        }
        if (tile) on.drawImage(tile.canvas, x + Math.round(column * draw.TILE * across), y + Math.round(row * draw.TILE * down));
      }
    }
    if (late) this.frame();
  }

  /** @param {number} column @param {number} row @param {number} across @param {number} down @param {OffscreenCanvas} [old] */
  #tile(column, row, across, down, old) {
    const scene = /** @type {Scene} */ (this.scene);
    const part = {
      left: column * draw.TILE,
      top: row * draw.TILE,
      right: Math.min(scene.grid.columns, (column + 1) * draw.TILE) - 1,
      bottom: Math.min(scene.grid.rows, (row + 1) * draw.TILE) - 1,
    };
    const [x, y] = [Math.round(part.left * across), Math.round(part.top * down)];
    const width = Math.max(1, Math.round((part.right + 1) * across) - x);
    const height = Math.max(1, Math.round((part.bottom + 1) * down) - y);
    const canvas = old && old.width === width && old.height === height ? old : new OffscreenCanvas(width, height);
    const on = canvas.getContext("2d");
    if (on) {
      on.setTransform(1, 0, 0, 1, 0, 0);
      on.clearRect(0, 0, width, height);
      on.setTransform(1, 0, 0, 1, -x, -y);
      // Wraps reach into the cells round them; a tile has only its own.
      const wide = {
        left: Math.max(0, part.left - 1),
        top: Math.max(0, part.top - 1),
        right: Math.min(scene.grid.columns - 1, part.right + 1),
        bottom: Math.min(scene.grid.rows - 1, part.bottom + 1),
      };
      draw.cells(on, scene, wide, across, down);
    }
    return canvas;
  }

  /** One pixel a cell, of the whole panel. */
  #flatten() {
    const scene = /** @type {Scene} */ (this.scene);
    const { columns, rows, cells } = scene.grid;
    const bytes = (/** @type {number} */ yarn) => {
      if (yarn === BARE) return [0, 0, 0, 0];
      const hex = scene.yarns[yarn].colour;
      return [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16)).concat(255);
    };
    const table = scene.yarns.map((_, yarn) => bytes(yarn));
    table[BARE] = bytes(BARE);
    if (!this.flat) {
      this.flat = new OffscreenCanvas(columns, rows);
      const pixels = new ImageData(columns, rows);
      cells.forEach((yarn, at) => pixels.data.set(table[yarn], at * 4));
      this.flat.getContext("2d")?.putImageData(pixels, 0, 0);
    } else if (this.flatStale.size) {
      const on = this.flat.getContext("2d");
      for (const at of this.flatStale) {
        const pixel = new ImageData(1, 1);
        pixel.data.set(table[cells[at]]);
        on?.putImageData(pixel, at % columns, Math.floor(at / columns));
      }
    }
    this.flatStale.clear();
  }

  /** @param {number} x @param {number} y @param {number} across @param {number} down */
  #trace(x, y, across, down) {
    const traced = this.traced;
    if (!traced) return;
    const width = traced.width * across;
    const height = (width * traced.image.height) / traced.image.width;
    this.on.drawImage(traced.image, x + traced.x * across, y + traced.y * down, width, height);
  }

  /** Numbers of rows and columns on tens, at the canvas's edges. @param {Box} seen */
  #numbers(seen) {
    const { on, canvas } = this;
    const [across, down] = this.size();
    const style = getComputedStyle(canvas);
    on.fillStyle = style.getPropertyValue("--faint");
    on.font = `12px ${style.fontFamily}`;
    on.textBaseline = "middle";
    const every = (/** @type {number} */ size) => [1, 2, 5, 10, 20, 50, 100].find((step) => step * size >= 30) ?? 100;
    const columns = every(across);
    on.textAlign = "center";
    const top = Math.max(9, this.y - 12);
    for (let column = seen.left; column <= seen.right; column += 1) {
      if ((column + 1) % columns === 0 || column === 0) on.fillText(String(column + 1), this.x + (column + 0.5) * across, top);
    }
    const rows = every(down * 1.6);
    on.textAlign = "right";
    const left = Math.max(26, this.x - 8);
    for (let row = seen.top; row <= seen.bottom; row += 1) {
      if ((row + 1) % rows === 0 || row === 0) on.fillText(String(row + 1), left, this.y + (row + 0.5) * down);
    }
  }

  /** A frame round cells, seen on every ground. @param {Box} box @param {boolean} [dashed] */
  outline(box, dashed = false) {
    const { on } = this;
    const [across, down] = this.size();
    const [x, y] = [this.x + box.left * across, this.y + box.top * down];
    const [width, height] = [(box.right - box.left + 1) * across, (box.bottom - box.top + 1) * down];
    on.save();
    on.lineWidth = 3;
    on.strokeStyle = "#fff";
    on.strokeRect(x - 1, y - 1, width + 2, height + 2);
    on.lineWidth = 1.5;
    on.strokeStyle = "#000";
    if (dashed) on.setLineDash([5, 4]);
    on.strokeRect(x - 1, y - 1, width + 2, height + 2);
    on.restore();
  }

  #listen() {
    const { canvas } = this;
    const where = (/** @type {PointerEvent | WheelEvent} */ event) => {
      const box = canvas.getBoundingClientRect();
      return { x: event.clientX - box.left, y: event.clientY - box.top };
    };
    canvas.addEventListener("wheel", (event) => {
      event.preventDefault();
      const { x, y } = where(event);
      const unit = event.deltaMode === 1 ? 18 : 1;
      if (event.ctrlKey || event.metaKey) this.zoom(Math.exp(-event.deltaY * unit * 0.0025), x, y);
      else if (event.shiftKey) this.pan(-(event.deltaY || event.deltaX) * unit, 0);
      else this.pan(-event.deltaX * unit, -event.deltaY * unit);
    }, { passive: false });
    canvas.addEventListener("contextmenu", (event) => event.preventDefault());
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      this.showCursor = false;
      const at = where(event);
      this.pointers.set(event.pointerId, at);
      if (this.pointers.size > 1) {
        if (this.doing === "paint") this.hand.cancel();
        this.doing = "move";
        return;
      }
      const moves = this.onlyMoves || event.button === 1 || event.button === 2 || (event.pointerType === "touch" && !this.fingerPaints);
      this.doing = this.movesTraced && this.traced && !moves ? "trace" : moves ? "move" : "paint";
      if (this.doing === "paint") this.hand.down(this.at(at.x, at.y));
    });
    canvas.addEventListener("pointermove", (event) => {
      const at = where(event);
      const before = this.pointers.get(event.pointerId);
      if (!before) {
        if (event.pointerType !== "touch") this.hand.over(this.at(at.x, at.y));
        return;
      }
      if (this.doing === "paint") {
        // Quick hands move by more than a cell a frame.
        const all = event.getCoalescedEvents?.() ?? [];
        for (const one of all.length ? all : [event]) {
          const cell = where(one);
          this.hand.move(this.at(cell.x, cell.y));
        }
      } else if (this.doing === "trace" && this.traced) {
        const [across, down] = this.size();
        this.traced.x += (at.x - before.x) / across;
        this.traced.y += (at.y - before.y) / down;
        this.frame();
      } else if (this.pointers.size === 2) {
        const [other] = [...this.pointers].filter(([id]) => id !== event.pointerId).map(([, point]) => point);
        const gap = (/** @type {{x: number, y: number}} */ p) => Math.hypot(p.x - other.x, p.y - other.y);
        this.pan((at.x - before.x) / 2, (at.y - before.y) / 2);
        if (gap(before) > 8) this.zoom(gap(at) / gap(before), (at.x + other.x) / 2, (at.y + other.y) / 2);
      } else this.pan(at.x - before.x, at.y - before.y);
      this.pointers.set(event.pointerId, at);
    });
    const up = (/** @type {PointerEvent} */ event) => {
      if (!this.pointers.delete(event.pointerId)) return;
      if (this.doing === "paint") {
        if (event.type === "pointerup") this.hand.up();
        else this.hand.cancel();
      }
      if (this.doing === "trace") this.tracedMoved();
      if (this.pointers.size === 0) this.doing = null;
    };
    canvas.addEventListener("pointerup", up);
    canvas.addEventListener("pointercancel", up);
    canvas.addEventListener("pointerleave", (event) => {
      if (!this.pointers.has(event.pointerId)) this.hand.over(null);
    });
  }

  /** Moves the cursor, and brings it into sight. @param {number} across @param {number} down */
  step(across, down) {
    const grid = this.scene?.grid;
    if (!grid) return;
    const to = (/** @type {number} */ n, /** @type {number} */ most) => Math.min(most - 1, Math.max(0, n));
    this.cursor = { column: to(this.cursor.column + across, grid.columns), row: to(this.cursor.row + down, grid.rows) };
    this.showCursor = true;
    this.reveal(this.cursor);
  }

  /** The yarn under the cursor. */
  yarnAtCursor() {
    const grid = this.scene?.grid;
    return grid && inside(grid, this.cursor) ? grid.cells[place(grid, this.cursor)] : BARE;
  }
}
