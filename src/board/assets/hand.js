// What a stroke of the hand does to the panel. One object for the page; the view tells it where the hand is.

import * as grids from "./grid.js";

/** @typedef {import("./grid.js").Cell} Cell */
/** @typedef {"knots" | "stretch" | "block" | "area" | "exchange" | "part" | "look"} Way */

/** Ways of the hand, in the order of the page. @type {Way[]} */
export const WAYS = ["knots", "stretch", "block", "area", "exchange", "part", "look"];

export class Hand {
  /**
   * @param {import("./state.js").Panel} panel
   * @param {{changed: () => void, tookUp: (yarn: number) => void}} page
   */
  constructor(panel, page) {
    this.panel = panel;
    this.page = page;
    /** @type {Way} */
    this.way = "knots";
    /** The yarn in hand. */
    this.yarn = 0;
    /** @type {{upright: number | null, level: number | null}} */
    this.axes = { upright: null, level: null };
    /** The part that is chosen. @type {Box | null} */
    this.part = null;
    /** What is carried, to be set down. @type {Grid | null} */
    this.carried = null;
    /** Where it would be set down. @type {Cell | null} */
    this.hover = null;
    /** @type {Cell | null} */
    this.from = null;
    /** @type {Cell | null} */
    this.to = null;
  }

  get grid() {
    return this.panel.grid;
  }

  /** @param {Cell[]} cells @returns {[number, number][]} */
  #changes(cells) {
    const grid = this.grid;
    if (!grid) return [];
    const all = grids.mirrored(cells, this.axes).filter((cell) => grids.inside(grid, cell));
    return all.map((cell) => [grids.place(grid, cell), this.yarn]);
  }

  /** @param {Cell} cell */
  down(cell) {
    const grid = this.grid;
    if (!grid) return;
    if (this.carried) {
      this.setDown(cell);
      return;
    }
    this.from = cell;
    this.to = cell;
    if (this.way === "knots") this.panel.paint(this.#changes([cell]));
    else if (this.way === "area") {
      const found = this.axesUsed() ? grids.mirrored([cell], this.axes).flatMap((c) => grids.area(grid, c)) : grids.area(grid, cell);
      this.panel.paint(found.map((c) => [grids.place(grid, c), this.yarn]));
    } else if (this.way === "exchange" && grids.inside(grid, cell)) {
      const yarn = grid.cells[grids.place(grid, cell)];
      this.panel.paint(grids.all(grid, yarn, this.part).map((c) => [grids.place(grid, c), this.yarn]));
    } else if (this.way === "look" && grids.inside(grid, cell)) this.page.tookUp(grid.cells[grids.place(grid, cell)]);
    else if (this.way === "part") this.part = null;
    this.page.changed();
  }

  axesUsed() {
    return this.axes.upright !== null || this.axes.level !== null;
  }

  /** @param {Cell} cell */
  move(cell) {
    if (this.carried) this.over(cell);
    if (!this.from || !this.to || (cell.column === this.to.column && cell.row === this.to.row)) return;
    const before = this.to;
    this.to = cell;
    if (this.way === "knots") this.panel.paint(this.#changes(grids.stretch(before, cell)));
    else if (this.way === "stretch" || this.way === "block") {
      this.panel.drop();
      this.panel.paint(this.#changes(this.#shape()));
    } else if (this.way === "part") this.part = this.#held();
    this.page.changed();
  }

  /** @returns {Cell[]} */
  #shape() {
    if (!this.from || !this.to) return [];
    return this.way === "stretch" ? grids.stretch(this.from, this.to) : grids.block(this.#within(grids.box(this.from, this.to)));
  }

  /** @param {Box} box @returns {Box} */
  #within(box) {
    const grid = /** @type {Grid} */ (this.grid);
    return {
      left: Math.max(0, box.left),
      top: Math.max(0, box.top),
      right: Math.min(grid.columns - 1, box.right),
      bottom: Math.min(grid.rows - 1, box.bottom),
    };
  }

  /** The part between the two ends of the hand. @returns {Box | null} */
  #held() {
    if (!this.from || !this.to) return null;
    const held = this.#within(grids.box(this.from, this.to));
    return held.left <= held.right && held.top <= held.bottom ? held : null;
  }

  up() {
    if (this.from && this.to) {
      if (this.way === "stretch" || this.way === "block") this.panel.paint(this.#changes(this.#shape()));
      if (this.way === "part") this.part = this.#held();
    }
    this.from = null;
    this.to = null;
    this.panel.lift();
    this.panel.catchUp();
    this.page.changed();
  }

  cancel() {
    this.from = null;
    this.to = null;
    this.panel.drop();
    this.panel.catchUp();
    this.page.changed();
  }

  /** @param {Cell | null} cell */
  over(cell) {
    this.hover = cell;
    if (this.carried) this.page.changed();
  }

  // The keyboard: one key begins, the same key ends.

  /** @param {Cell} cell @returns {boolean} whether the hand is now between two ends */
  key(cell) {
    const twoEnds = !this.carried && (this.way === "stretch" || this.way === "block" || this.way === "part");
    if (twoEnds && this.from) {
      this.move(cell);
      this.up();
      return false;
    }
    this.down(cell);
    if (twoEnds) return true;
    if (!this.carried) this.up();
    return false;
  }

  /** The cursor moved. @param {Cell} cell */
  keyMoved(cell) {
    if (this.from && (this.way === "stretch" || this.way === "block" || this.way === "part")) this.move(cell);
    this.over(cell);
  }

  // A part

  /** Where what is carried has its left upper corner when the hand is at a cell. @param {Cell} cell @returns {Cell} */
  corner(cell) {
    const carried = /** @type {Grid} */ (this.carried);
    return { column: cell.column - Math.floor(carried.columns / 2), row: cell.row - Math.floor(carried.rows / 2) };
  }

  /** @param {Cell} cell */
  setDown(cell) {
    const grid = this.grid;
    if (!grid || !this.carried) return;
    const corner = this.corner(cell);
    this.panel.paint(grids.setDown(grid, this.carried, corner));
    this.panel.lift();
    const { columns, rows } = this.carried;
    const box = this.#within({ left: corner.column, top: corner.row, right: corner.column + columns - 1, bottom: corner.row + rows - 1 });
    this.part = box.left <= box.right && box.top <= box.bottom ? box : null;
    this.page.changed();
  }

  /** Takes the part up; with `lift` the yarn in hand is tied where it was. @param {boolean} lift */
  carry(lift) {
    const grid = this.grid;
    if (!grid || !this.part) return;
    this.carried = grids.cut(grid, this.part);
    if (lift) {
      this.panel.paint(grids.block(this.part).map((cell) => [grids.place(grid, cell), this.yarn]));
      this.panel.lift();
    }
    this.page.changed();
  }

  /** @param {"sides" | "ends"} what */
  turn(what) {
    const grid = this.grid;
    if (this.carried) this.carried = grids.turned(this.carried, what);
    else if (grid && this.part) {
      const turned = grids.turned(grids.cut(grid, this.part), what);
      this.panel.paint(grids.setDown(grid, turned, { column: this.part.left, row: this.part.top }));
      this.panel.lift();
    }
    this.page.changed();
  }

  /** Repeats the part to the panel's edges, in the rows and columns that are asked for. @param {"across" | "down" | "all"} how */
  repeat(how) {
    const grid = this.grid;
    if (!grid || !this.part) return;
    const over = {
      left: how === "down" ? this.part.left : 0,
      right: how === "down" ? this.part.right : grid.columns - 1,
      top: how === "across" ? this.part.top : 0,
      bottom: how === "across" ? this.part.bottom : grid.rows - 1,
    };
    this.panel.paint(grids.repeated(grid, this.part, over));
    this.panel.lift();
    this.page.changed();
  }

  /** The yarn in hand in all of the part. */
  fill() {
    const grid = this.grid;
    if (!grid || !this.part) return;
    this.panel.paint(grids.block(this.part).map((cell) => [grids.place(grid, cell), this.yarn]));
    this.panel.lift();
    this.page.changed();
  }

  /** Lets go of everything. @returns {boolean} whether there was something */
  letGo() {
    const held = this.carried !== null || this.part !== null || this.from !== null;
    this.carried = null;
    if (this.from) this.cancel();
    this.part = null;
    this.page.changed();
    return held;
  }

  /** The grid changed its size: what is chosen may lie outside now. */
  resized() {
    this.part = null;
    this.from = null;
    this.to = null;
    this.axes = { upright: null, level: null };
    if (this.yarn !== grids.BARE && this.yarn >= this.panel.yarns.length) this.yarn = 0;
  }
}
