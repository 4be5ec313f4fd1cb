// One panel as the page has it: what the board last said, and what was painted since. Changes wait in line until the board
// has them; while it is away they are kept, over a reload too.

import { Away, Refused, get, post } from "./ask.js";
import { BARE, letterOf, numbered } from "./grid.js";

/** @typedef {{base: number, change: any}} Waiting */
/** @typedef {"saved" | "saving" | "away"} Safety */

export class Panel extends EventTarget {
  /** @param {string} name */
  constructor(name) {
    super();
    this.name = name;
    this.n = -1;
    this.title = "";
    /** @type {Grid | null} */
    this.grid = null;
    /** @type {Yarn[]} */
    this.yarns = [];
    this.isPicture = false;
    /** @type {string | null} */
    this.undo = null;
    /** @type {string | null} */
    this.redo = null;
    /** @type {Safety} */
    this.safety = "saved";
    /** @type {Waiting[]} */
    this.waiting = this.#kept();
    /** What is being painted: place, letter that was there. @type {Map<number, string>} */
    this.stroke = new Map();
    this.#busy = false;
    this.#heard = -1;
    this.#behind = false;
  }

  #busy;
  #heard;
  /** Whether a newer state was not taken, as a stroke was in hand. */
  #behind;

  #key() {
    return `hitchpress-waiting-${location.port}-${this.name}`;
  }

  /** @returns {Waiting[]} */
  #kept() {
    try {
      return JSON.parse(localStorage.getItem(this.#key()) ?? "[]");
    } catch {
      return [];
    }
  }

  #keep() {
    try {
      if (this.waiting.length) localStorage.setItem(this.#key(), JSON.stringify(this.waiting));
      else localStorage.removeItem(this.#key());
    } catch {
      // There is no room: the changes are still in memory.
    }
  }

  /** Calls until the signal for each of these events. @param {string} whats @param {(detail: any) => void} then @param {AbortSignal} signal */
  on(whats, then, signal) {
    for (const what of whats.split(" ")) this.addEventListener(what, (event) => then(/** @type {CustomEvent} */ (event).detail), { signal });
  }

  /** @param {string} what @param {any} [detail] */
  #tell(what, detail) {
    this.dispatchEvent(new CustomEvent(what, { detail }));
  }

  /** @param {Safety} safety */
  #be(safety) {
    if (this.safety === safety) return;
    this.safety = safety;
    this.#tell("safety");
  }

  /** Fetches everything. Throws what `get` throws. */
  async load() {
    this.#take(await get("/api/panel", { panel: this.name }));
    if (this.waiting.length) void this.hand();
  }

  /** @param {Sketch} sketch */
  #take(sketch) {
    const before = this.grid;
    this.n = sketch.n;
    this.title = sketch.title;
    this.yarns = sketch.yarns;
    this.isPicture = sketch.isPicture;
    this.undo = sketch.undo;
    this.redo = sketch.redo;
    if (sketch.cells === null || sketch.columns === null || sketch.rows === null) this.grid = null;
    else this.grid = { columns: sketch.columns, rows: sketch.rows, cells: numbered(sketch.cells, sketch.yarns) };
    // What the board does not have yet lies over what it has.
    const grid = this.grid;
    if (grid) {
      const fits = (/** @type {any} */ change) =>
        change.kind === "knots" && change.columns === grid.columns && change.rows === grid.rows;
      for (const { change } of this.waiting) {
        if (!fits(change)) continue;
        const to = Array.from(change.to);
        change.at.forEach((/** @type {number} */ at, /** @type {number} */ i) => {
          grid.cells[at] = this.#number(String(to.length === 1 ? to[0] : to[i]));
        });
      }
    }
    const same = before && this.grid && before.columns === this.grid.columns && before.rows === this.grid.rows;
    this.#tell("loaded", { same });
  }

  /** @param {string} letter */
  #number(letter) {
    const at = this.yarns.findIndex((yarn) => yarn.letter === letter);
    return at < 0 ? BARE : at;
  }

  /**
   * Paints knots of the stroke in hand.
   * @param {[number, number][]} changes place and yarn
   * @returns {number[]} the places that are different now
   */
  paint(changes) {
    const grid = this.grid;
    if (!grid) return [];
    const different = [];
    for (const [at, yarn] of changes) {
      const was = grid.cells[at];
      if (was === yarn || at < 0 || at >= grid.cells.length) continue;
      if (!this.stroke.has(at)) this.stroke.set(at, letterOf(was, this.yarns));
      grid.cells[at] = yarn;
      different.push(at);
    }
    if (different.length) this.#tell("painted", different);
    return different;
  }

  /** Ends the stroke in hand and hands it over. */
  lift() {
    const grid = this.grid;
    if (!grid || this.stroke.size === 0) return;
    const at = [];
    let from = "";
    let to = "";
    for (const [place, was] of this.stroke) {
      const now = letterOf(grid.cells[place], this.yarns);
      if (now === was) continue;
      at.push(place);
      from += was;
      to += now;
    }
    this.stroke.clear();
    if (!at.length) return;
    if (new Set(to).size === 1) to = String(Array.from(to)[0]);
    this.change({ kind: "knots", columns: grid.columns, rows: grid.rows, at, from, to });
  }

  /** Lets go of the stroke in hand: what was there comes back. */
  drop() {
    const grid = this.grid;
    if (!grid) return;
    const places = [...this.stroke.keys()];
    for (const [at, was] of this.stroke) grid.cells[at] = this.#number(was);
    this.stroke.clear();
    if (places.length) this.#tell("painted", places);
  }

  /** Puts a change in line. @param {any} change */
  change(change) {
    this.waiting.push({ base: this.n, change });
    this.#keep();
    void this.hand();
  }

  /** Undoes what the board does not have yet, else asks the board. @param {"undo" | "redo"} kind */
  async step(kind) {
    this.lift();
    const last = this.waiting.at(-1);
    const grid = this.grid;
    if (kind === "undo" && this.safety === "away" && last && last.change.kind === "knots" && grid) {
      this.waiting.pop();
      this.#keep();
      const was = Array.from(/** @type {string} */ (last.change.from));
      last.change.at.forEach((/** @type {number} */ at, /** @type {number} */ i) => {
        grid.cells[at] = this.#number(was[i]);
      });
      this.#tell("painted", last.change.at);
      return;
    }
    this.change({ kind });
  }

  /** Hands over what waits, one change after the other. */
  async hand() {
    if (this.#busy) return;
    this.#busy = true;
    let reload = false;
    while (this.waiting.length) {
      this.#be(this.safety === "away" ? "away" : "saving");
      const { base, change } = this.waiting[0];
      const before = this.n;
      try {
        const answer = await post("/api/change", { panel: this.name, base, change });
        this.waiting.shift();
        this.n = answer.n;
        // Those behind it were painted on what it left.
        for (const next of this.waiting) if (next.base === before) next.base = answer.n;
        if (answer.kept?.length) this.#tell("kept", answer.kept);
        if (change.kind === "knots" && !answer.kept?.length && answer.n <= before + 1) {
          if (answer.n > before) {
            this.undo = "knots";
            this.redo = null;
          }
        } else reload = true;
      } catch (error) {
        if (error instanceof Away) {
          this.#be("away");
          this.#keep();
          this.#busy = false;
          setTimeout(() => void this.hand(), 1500);
          return;
        }
        this.waiting.shift();
        reload = true;
        if (error instanceof Refused) this.#tell("refused", { refused: error.refused, told: error.told, change });
        else throw error;
      }
      this.#keep();
    }
    this.#busy = false;
    this.#be("saved");
    this.#tell("handed");
    if (reload || this.#behind || this.#heard > this.n) await this.#again();
  }

  async #again() {
    this.#behind = this.stroke.size > 0;
    if (this.#behind) return;
    try {
      const before = this.n;
      const sketch = await get("/api/panel", { panel: this.name });
      // She may have begun a stroke meanwhile, or handed over a change that this answer does not know.
      if (this.stroke.size || this.n !== before) this.#behind = true;
      else this.#take(sketch);
      if (!this.stroke.size && this.#behind) void this.hand();
    } catch (error) {
      if (error instanceof Refused) this.#tell("refused", { refused: error.refused, told: error.told });
    }
  }

  /** The board says that there is a newer state. @param {number | undefined} n */
  hear(n) {
    if (n !== undefined) this.#heard = n;
    if (this.#busy || this.waiting.length || this.stroke.size) this.#behind ||= n === undefined;
    else if (n === undefined || n > this.n) void this.#again();
  }

  /** The hand is free: what was not taken during a stroke is asked for. */
  catchUp() {
    if (this.#behind || this.#heard > this.n) void this.hand();
  }

  /** The board is there again, or is not. @param {boolean} here */
  here(here) {
    if (!here) this.#be("away");
    else if (this.safety === "away") {
      this.#be("saved");
      void this.hand();
    }
  }
}
