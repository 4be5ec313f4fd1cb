// The panel's screen: the canvas, the yarns and the hand at one side, figures and advice at the other.

import { Away, get } from "./ask.js";
import * as earlier from "./earlier.js";
import * as figures from "./figures.js";
import { Hand, WAYS } from "./hand.js";
import * as making from "./making.js";
import * as pages from "./pages.js";
import { button, choice, dashed, el, fill, sample, soon, speak } from "./parts.js";
import { BARE, counted } from "./grid.js";
import { Panel } from "./state.js";
import { tracing } from "./trace.js";
import * as tying from "./tying.js";
import { View } from "./view.js";
import { count, language, number, say } from "./words.js";
import * as yarns from "./yarns.js";

/** Screens beside that of the knots. @type {Record<string, {build: (into: Element, panel: Panel, signal: AbortSignal) => void | Promise<void>}>} */
const PARTS = { yarns, making, tying, pages, earlier };

/** Panels that were open: what waits to be handed over stays with them. @type {Map<string, Panel>} */
const known = new Map();

/** @param {Element} into @param {AbortSignal} signal @param {string} name @param {string} part */
export async function open(into, signal, name, part) {
  const panel = known.get(name) ?? new Panel(name);
  known.set(name, panel);
  await panel.load();
  // She may have gone on meanwhile.
  if (signal.aborted) return null;
  const screen = new Screen(into, signal, panel, part in PARTS ? part : "");
  await screen.build();
  return screen;
}

class Screen {
  /** @param {Element} into @param {AbortSignal} signal @param {Panel} panel @param {string} name which screen; empty is that of the knots */
  constructor(into, signal, panel, name) {
    this.into = into;
    this.signal = signal;
    this.panel = panel;
    this.name = name;
    /** @type {Figures | null} */
    this.figures = null;
    /** How often figures were asked for: an answer to an older question is left. */
    this.turns = 0;
    this.printed = false;
    this.marked = false;
    /** The last row whose starts, cuts and carries are shown, from 0; `null`: all. @type {number | null} */
    this.lastRow = null;
    /** Places that advice points at. @type {Place[]} */
    this.pointed = [];
    this.hand = new Hand(panel, {
      changed: () => {
        this.view.frame();
        this.#parts();
      },
      tookUp: (yarn) => this.take(yarn),
    });
    this.canvas = el("canvas", {
      class: "panel",
      tabindex: "0",
      role: "application",
      "aria-label": say("canvas"),
      "aria-describedby": "keys",
    });
    this.view = new View(this.canvas, this.hand);
    // The checks ask it where a knot lies on the screen.
    Object.assign(this.canvas, { view: this.view });
    this.view.overlays.push((view, on) => this.#overlay(view, on));
    this.reckon = soon(60, () => void this.#reckon());
    signal.addEventListener("abort", () => panel.lift());
    panel.on("loaded", ({ same }) => this.#loaded(same), signal);
    if (!name) panel.on("painted", (places) => this.view.changed(places), signal);
    panel.on("handed", () => {
      this.#steps();
      if (!name) this.reckon();
    }, signal);
    panel.on("safety", () => this.#safety(), signal);
    panel.on("kept", (places) => this.#kept(places), signal);
    panel.on("refused", (refusal) => this.#refused(refusal), signal);
    document.addEventListener("keydown", (event) => this.#undoKeys(event), { signal });
    this.canvas.addEventListener("keydown", (event) => this.#keys(event));
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.view.stale(), { signal });
  }

  /** @param {{panel?: string, n?: number}} event */
  hear(event) {
    if (event.panel === undefined || event.panel === this.panel.name) this.panel.hear(event.n);
  }

  /** @param {boolean} here */
  here(here) {
    this.panel.here(here);
  }

  async build() {
    const { panel } = this;
    document.title = `${panel.title} – Hitchpress`;
    this.heading = el("h1", {}, panel.title);
    this.safety = el("p", { class: "safety", role: "status" });
    this.message = el("div", { class: "message", role: "alert", hidden: true });
    this.undo = button(say("undo"), () => void panel.step("undo"));
    this.redo = button(say("redo"), () => void panel.step("redo"));
    this.yarns = el("div", { class: "yarns" });
    this.ways = el("div");
    this.part = el("section", { class: "part", hidden: true });
    this.told = el("aside", { class: "beside", "aria-label": say("beside") });
    this.where = el("p", { class: "at" });
    const head = [
      el(
        "header",
        { class: "top" },
        el("a", { href: "#/", class: "back" }, say("to-shelf")),
        this.heading,
        el("div", { class: "steps" }, this.undo, this.redo),
        this.safety,
      ),
      this.#screens(),
      this.message,
    ];
    if (this.name) {
      const inner = el("div");
      fill(this.into, ...head, inner);
      this.#loaded(true);
      this.#safety();
      await PARTS[this.name].build(inner, panel, this.signal);
      return;
    }
    fill(
      this.into,
      ...head,
      el(
        "div",
        { class: "work" },
        el("div", { class: "tools" }, this.yarns, this.ways, this.part, this.#mirrors(), this.#lines(), tracing(this.view, this.panel.name)),
        el("div", { class: "middle" }, this.canvas, this.#viewing(), this.where, el("p", { id: "keys", class: "keys" }, say("keys"))),
        this.told,
      ),
    );
    this.#ways();
    this.#loaded(false);
    this.#safety();
    this.reckon();
  }

  /** The way to the other screens of the panel. */
  #screens() {
    const path = `#/panel/${encodeURIComponent(this.panel.name)}`;
    return el(
      "nav",
      { class: "screens", "aria-label": say("screens") },
      ["", ...Object.keys(PARTS)].map((part) => el("a", { href: part ? `${path}/${part}` : path, "aria-current": part === this.name ? "page" : null }, say(`screen-${part || "knots"}`))),
    );
  }

  /** @param {boolean} same */
  #loaded(same) {
    const { panel, hand } = this;
    if (this.heading) this.heading.textContent = panel.title;
    if (this.name) {
      this.#steps();
      return;
    }
    if (!same) hand.resized();
    if (hand.yarn !== BARE && hand.yarn >= panel.yarns.length) hand.yarn = 0;
    this.canvas.hidden = panel.grid === null;
    if (panel.grid) this.#scene();
    this.#yarns();
    this.#steps();
    this.#parts();
    this.#limits();
    this.reckon();
  }

  #scene() {
    const { panel } = this;
    if (!panel.grid) return;
    const look = this.figures?.look;
    const symbols = panel.yarns.map((yarn) => {
      const path = this.figures?.yarns?.find((one) => one.letter === yarn.letter)?.symbol;
      return path ? new Path2D(path) : null;
    });
    if (look) this.view.proportions(look.across, look.down);
    this.view.show({
      grid: panel.grid,
      yarns: panel.yarns,
      symbols,
      leftToRight: look?.leftToRight ?? true,
      printed: this.printed,
      bare: look?.cord ?? "#d8ccb4",
      paper: "#ffffff",
    });
  }

  async #reckon() {
    const { panel } = this;
    const turn = (this.turns += 1);
    try {
      const made = await get("/api/figures", { panel: panel.name, language: language() });
      if (turn !== this.turns || this.signal.aborted) return;
      const first = !this.figures?.look;
      const looks = (/** @type {Figures | null} */ f) => JSON.stringify([f?.look, f?.yarns?.map((yarn) => yarn.symbol)]);
      const changed = looks(this.figures) !== looks(made);
      // Where there are faults, the panel keeps the proportions it had.
      this.figures = made.look || !this.figures ? made : { ...made, look: this.figures.look };
      if (this.told) figures.show(this.told, made, panel.yarns, (told) => this.#point(told.places));
      if (first || changed) this.#scene();
      else if (this.marked) this.view.frame();
      this.#counts();
    } catch (error) {
      if (!(error instanceof Away)) throw error;
    }
  }

  // Yarns and the hand

  #yarns() {
    const { panel, hand } = this;
    if (!this.yarns) return;
    /** @type {[string, Node][]} */
    const choices = panel.yarns.map((yarn, at) => [
      String(at),
      el("span", { class: "yarn" }, sample(yarn.colour), el("span", { class: "name" }, yarn.name), el("kbd", {}, yarn.letter), el("span", { class: "count", "data-letter": yarn.letter })),
    ]);
    choices.push([String(BARE), el("span", { class: "yarn" }, sample(null), el("span", { class: "name" }, say("bare")), el("kbd", {}, "."), el("span", { class: "count" }))]);
    fill(
      this.yarns,
      choice({ name: "yarn", title: say("yarn-in-hand"), choices, chosen: String(hand.yarn), kind: "list", then: (value) => this.take(Number(value)) }),
    );
    this.#counts();
  }

  #counts() {
    const counts = counted(this.panel.grid);
    this.panel.yarns.forEach((yarn, at) => {
      const shown = this.yarns?.querySelector(`[data-letter="${CSS.escape(yarn.letter)}"]`);
      if (shown) shown.textContent = number(counts[at]);
    });
  }

  /** A yarn comes into the hand. @param {number} yarn */
  take(yarn) {
    this.hand.yarn = yarn;
    const input = this.yarns?.querySelector(`input[value="${yarn}"]`);
    if (input instanceof HTMLInputElement) input.checked = true;
    speak(say("in-hand", { yarn: this.#name(yarn) }));
    if (this.hand.way === "look") this.#way("knots");
  }

  /** @param {number} yarn */
  #name(yarn) {
    return this.panel.yarns[yarn]?.name ?? say("bare");
  }

  #ways() {
    if (!this.ways) return;
    fill(
      this.ways,
      choice({
        name: "way",
        title: say("hand"),
        choices: WAYS.map((way) => [way, say(`way-${way}`)]),
        chosen: this.hand.way,
        kind: "ways",
        then: (way) => this.#way(/** @type {import("./hand.js").Way} */ (way)),
      }),
    );
  }

  /** @param {import("./hand.js").Way} way */
  #way(way) {
    this.hand.letGo();
    this.hand.way = way;
    const input = this.ways?.querySelector(`input[value="${way}"]`);
    if (input instanceof HTMLInputElement) input.checked = true;
    this.#parts();
  }

  /** What can be done with a part: shown while one is chosen. */
  #parts() {
    const { hand } = this;
    if (!this.part) return;
    const shown = hand.carried ? "carried" : hand.part ? "chosen" : hand.way === "part" ? "none" : "";
    const sized = hand.part ? `${hand.part.right - hand.part.left + 1}x${hand.part.bottom - hand.part.top + 1}` : "";
    if (this.part.dataset.shown === shown + sized) return;
    this.part.dataset.shown = shown + sized;
    this.part.hidden = shown === "";
    if (shown === "none") fill(this.part, el("h2", {}, say("part")), el("p", { class: "note" }, say("part-none")));
    if (shown === "carried") {
      fill(
        this.part,
        el("h2", {}, say("part")),
        el("p", { class: "note" }, say("part-carried")),
        el("div", { class: "buttons" }, button(say("part-sides"), () => hand.turn("sides")), button(say("part-ends"), () => hand.turn("ends")), button(say("let-go"), () => hand.letGo())),
      );
    }
    if (shown === "chosen" && hand.part) {
      const { left, right, top, bottom } = hand.part;
      fill(
        this.part,
        el("h2", {}, say("part")),
        el("p", { class: "note" }, say("part-of", { columns: right - left + 1, rows: bottom - top + 1 })),
        el(
          "div",
          { class: "buttons" },
          button(say("part-copy"), () => hand.carry(false)),
          button(say("part-move"), () => hand.carry(true)),
          button(say("part-fill"), () => hand.fill()),
          button(say("part-sides"), () => hand.turn("sides")),
          button(say("part-ends"), () => hand.turn("ends")),
          button(say("part-repeat-across"), () => hand.repeat("across")),
          button(say("part-repeat-down"), () => hand.repeat("down")),
          button(say("part-repeat-all"), () => hand.repeat("all")),
          button(say("let-go"), () => hand.letGo()),
        ),
      );
    }
  }

  // Mirror painting, rows and columns

  #mirrors() {
    const { hand } = this;
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
        this.view.frame();
      };
      return el("div", { class: "axis" }, el("label", {}, on, el("span", {}, say(`mirror-${which}`))), el("label", { for: `axis-${which}`, class: "unseen" }, say(`axis-${which}`)), at);
    };
    this.mirrors = el(
      "details",
      {},
      el("summary", {}, say("mirror")),
      el("p", { class: "note" }, say("mirror-note")),
      axis("upright", () => this.panel.grid?.columns ?? 2),
      axis("level", () => this.panel.grid?.rows ?? 2),
    );
    return this.mirrors;
  }

  #lines() {
    const what = el("select", { id: "line", onchange: () => this.#limits() }, el("option", { value: "rows" }, say("rows")), el("option", { value: "columns" }, say("columns")));
    const at = el("input", { type: "number", id: "line-at", min: "1", value: "1", inputmode: "numeric" });
    const many = el("input", { type: "number", id: "line-count", min: "1", max: "200", value: "1", inputmode: "numeric" });
    this.lines = { what, at, many };
    const doing = (/** @type {"put-in" | "take-out"} */ kind) => {
      this.panel.lift();
      this.panel.change({ kind, line: what.value, at: Math.max(0, Number(at.value) - 1), count: Math.max(1, Number(many.value)) });
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

  #limits() {
    const grid = this.panel.grid;
    if (!grid || !this.lines) return;
    this.lines.at.max = String(this.lines.what.value === "rows" ? grid.rows + 1 : grid.columns + 1);
  }

  // Looking

  #viewing() {
    const { view } = this;
    const check = (/** @type {string} */ words, /** @type {(on: boolean) => void} */ then) => {
      const input = el("input", { type: "checkbox", onchange: () => then(input.checked) });
      return el("label", {}, input, el("span", {}, words));
    };
    const finger = check(say("finger-paints"), (on) => {
      view.fingerPaints = on;
    });
    finger.classList.add("finger");
    // Rows are worked from the top: up to one of them is how far the work has come.
    const last = el("input", { type: "number", id: "marks-row", min: "1", step: "1", inputmode: "numeric", oninput: () => {
      const row = Math.floor(Number(last.value));
      this.lastRow = row >= 1 ? row - 1 : null;
      if (this.lastRow !== null && this.panel.grid) view.reveal({ column: view.cursor.column, row: Math.min(this.lastRow, this.panel.grid.rows - 1) });
      view.frame();
    } });
    const rows = el("span", { class: "upto", hidden: true }, el("label", { for: "marks-row" }, say("marks-row")), last);
    return el(
      "div",
      { class: "viewing" },
      el("div", { class: "buttons" }, button(say("larger"), () => view.zoom(1.4)), button(say("smaller"), () => view.zoom(1 / 1.4)), button(say("whole"), () => {
        view.touched = false;
        view.whole();
      })),
      check(say("as-printed"), (on) => {
        this.printed = on;
        this.#scene();
      }),
      check(say("marks"), (on) => {
        this.marked = on;
        rows.hidden = !on;
        view.frame();
      }),
      rows,
      finger,
    );
  }

  /** @param {View} view @param {CanvasRenderingContext2D} on */
  #overlay(view, on) {
    const { hand } = this;
    const grid = this.panel.grid;
    if (!grid) return;
    const [across, down] = view.size();
    if (this.marked && this.figures?.marks) this.#marks(view, on, this.figures.marks);
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
    for (const place of this.pointed) {
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
          on.fillStyle = this.panel.yarns[yarn]?.colour ?? "#888";
          on.fillRect(view.x + (corner.column + column) * across, view.y + (corner.row + row) * down, across + 0.5, down + 0.5);
        }
      }
      on.restore();
      view.outline({ left: corner.column, right: corner.column + columns - 1, top: corner.row, bottom: corner.row + rows - 1 }, true);
    }
  }

  /** Where lengths start, are cut and are led behind. @param {View} view @param {CanvasRenderingContext2D} on @param {Marks} all */
  #marks(view, on, all) {
    const last = this.lastRow ?? Infinity;
    const upTo = (/** @type {number[][]} */ places) => places.filter(([row]) => row <= last);
    const marks = { starts: upTo(all.starts), cuts: upTo(all.cuts), led: upTo(all.led) };
    const grid = this.panel.grid;
    if (this.lastRow !== null && grid && this.lastRow < grid.rows) view.outline({ left: 0, right: grid.columns - 1, top: this.lastRow, bottom: this.lastRow }, true);
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

  /** @param {Place[]} places */
  #point(places) {
    this.pointed = places;
    if (!places.length) return;
    const first = places[0];
    this.view.cursor = { row: first.row, column: first.column ?? 0 };
    this.view.reveal({ row: first.row, column: first.column ?? Math.floor((this.panel.grid?.columns ?? 1) / 2) }, true);
    this.canvas.scrollIntoView({ block: "nearest" });
    speak(this.#spoken());
  }

  // Keys

  /** @param {KeyboardEvent} event */
  #undoKeys(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    if (event.target instanceof HTMLTextAreaElement) return;
    if (event.target instanceof HTMLInputElement && ["text", "number", "date"].includes(event.target.type)) return;
    const key = event.key.toLowerCase();
    const kind = key === "z" && !event.shiftKey ? "undo" : key === "y" || (key === "z" && event.shiftKey) ? "redo" : null;
    if (!kind) return;
    event.preventDefault();
    void this.panel.step(kind);
  }

  /** @param {KeyboardEvent} event */
  #keys(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const { view, hand, panel } = this;
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
      speak(this.#spoken());
    } else if (event.key === " " || event.key === "Enter") {
      view.showCursor = true;
      const open = hand.key(view.cursor);
      speak(open ? say("begun", { place: this.#spoken() }) : this.#spoken());
    } else if (event.key === "Delete" || event.key === "Backspace") {
      const yarn = hand.yarn;
      hand.yarn = BARE;
      if (hand.part) hand.fill();
      else hand.key(view.cursor);
      hand.yarn = yarn;
      speak(this.#spoken());
    } else if (event.key === "Escape") {
      this.pointed = [];
      if (hand.letGo()) speak(say("let-go-said"));
    } else if (event.key === "+") view.zoom(1.25);
    else if (event.key === "-") view.zoom(1 / 1.25);
    else {
      const exact = panel.yarns.findIndex((yarn) => yarn.letter === event.key);
      const near = panel.yarns.findIndex((yarn) => yarn.letter.toLowerCase() === event.key.toLowerCase());
      const yarn = event.key === "." ? BARE : exact >= 0 ? exact : near;
      if (yarn < 0) return;
      this.take(yarn);
    }
    event.preventDefault();
  }

  /** "row 12, column 5, oat" */
  #spoken() {
    const { row, column } = this.view.cursor;
    const words = say("place", { row: number(row + 1), column: number(column + 1), yarn: this.#name(this.view.yarnAtCursor()) });
    if (this.where) this.where.textContent = words;
    return words;
  }

  // What the board says

  #steps() {
    const { panel } = this;
    const name = (/** @type {string} */ verb, /** @type {string | null} */ kind) => {
      const what = kind && say(`step-${kind}`);
      if (!what) return say(verb);
      return verb === "undo" ? say("undo-what", { what }) : say("redo-what", { what });
    };
    for (const [control, verb, kind] of /** @type {[HTMLButtonElement | undefined, string, string | null][]} */ ([[this.undo, "undo", panel.undo], [this.redo, "redo", panel.redo]])) {
      if (!control) continue;
      control.disabled = kind === null && !(verb === "undo" && panel.waiting.length > 0);
      control.title = name(verb, kind);
    }
  }

  #safety() {
    if (this.safety) {
      this.safety.textContent = say(`safety-${this.panel.safety}`);
      this.safety.dataset.safety = this.panel.safety;
    }
    this.#steps();
  }

  /** @param {(Node | string)[]} words */
  #message(...words) {
    if (!this.message) return;
    const close = button(say("close"), () => {
      if (this.message) this.message.hidden = true;
    }, { class: "quiet" });
    fill(this.message, el("p", {}, ...words), close);
    this.message.hidden = false;
  }

  /** Somebody else changed the same knots. @param {number[]} places */
  #kept(places) {
    const columns = this.panel.grid?.columns ?? 1;
    this.pointed = places.slice(0, 200).map((at) => ({ row: Math.floor(at / columns), column: at % columns }));
    this.#message(count("kept", places.length));
  }

  /** @param {{refused: string, told?: Told}} refusal */
  #refused({ refused, told }) {
    if (refused === "moved") this.#message(say("moved"));
    else this.#message(el("span", { lang: "en" }, figures.plain(told?.message ?? ""), " ", ...(told?.hints ?? []).map((hint) => `${figures.plain(hint)} `)));
  }
}
