// The panel's screen: the canvas, the yarns and the hand at one side, figures and advice at the other.

import { Away, get } from "./ask.js";
import * as earlier from "./earlier.js";
import * as figures from "./figures.js";
import { Hand, WAYS } from "./hand.js";
import { keys, undoKeys } from "./keys.js";
import * as making from "./making.js";
import * as pages from "./pages.js";
import { button, choice, el, fill, sample, soon, speak } from "./parts.js";
import { BARE, counted } from "./grid.js";
import { overlay } from "./overlay.js";
import { Panel } from "./state.js";
import { lines, mirrors, parts } from "./tools.js";
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

export class Screen {
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
        if (this.part) parts(this.part, this.hand);
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
    this.view.overlay = () => overlay(this);
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
    document.addEventListener("keydown", (event) => undoKeys(panel, event), { signal });
    this.canvas.addEventListener("keydown", (event) => keys(this, event));
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
    this.away = el("p", { class: "away", role: "status" });
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
      el("div", { class: "notices" }, this.message, this.away),
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
        el("div", { class: "tools" }, this.yarns, this.ways, this.part, mirrors(this), lines(this), tracing(this.view, this.panel.name)),
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
    if (this.part) parts(this.part, this.hand);
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
    if (this.part) parts(this.part, this.hand);
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

  /** @param {Place[]} places */
  #point(places) {
    this.pointed = places;
    if (!places.length) return;
    const first = places[0];
    this.view.cursor = { row: first.row, column: first.column ?? 0 };
    this.view.reveal({ row: first.row, column: first.column ?? Math.floor((this.panel.grid?.columns ?? 1) / 2) }, true);
    this.canvas.scrollIntoView({ block: "nearest" });
    speak(this.spoken());
  }

  /** "row 12, column 5, oat" */
  spoken() {
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
    if (this.away) this.away.textContent = this.panel.safety === "away" ? say("board-away") : "";
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
