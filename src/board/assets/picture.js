// A new panel from a picture, cut and straightened by hand and tried at once.
// Long, and one subject.

import { Away, Refused, address, get, post, send } from "./ask.js";
import { plain } from "./figures.js";
import { small } from "./draw.js";
import { letterOf, numbered } from "./grid.js";
import { button, dashed, el, fill, soon } from "./parts.js";
import { count, language, say } from "./words.js";

/** @typedef {{at: number, letters: string[]}} Doubt */
/** @typedef {[number, number, number, number]} Edges left, top, right and bottom in parts of a hundred */

/** @type {Edges} */
const WHOLE = [0, 0, 100, 100];
const SIDES = ["left", "top", "right", "bottom"];
/** Bytes that the board takes at once. */
const LARGEST = 64 * 2 ** 20;
/** CSS pixels of the longer side of both drawings. */
const SIDE = 480;
/** Doubtful squares that are shown at once. */
const SHOWN = 24;
/** Pixels between the two halves of the picture of what was read. */
const GAP = 24;

/** @param {Element} into @param {AbortSignal} signal @returns {Promise<import("./main.js").Screen>} */
export async function open(into, signal) {
  const screen = new Picture(into, signal);
  await screen.build();
  return screen;
}

class Picture {
  /** @param {Element} into @param {AbortSignal} signal */
  constructor(into, signal) {
    this.into = into;
    this.signal = signal;
    /** @type {number | null} */
    this.picture = null;
    /** @type {ImageBitmap | null} */
    this.image = null;
    /** @type {Edges} */
    this.crop = [...WHOLE];
    this.turn = 0;
    /** @type {Trial | null} */
    this.made = null;
    /** @type {Grid | null} */
    this.grid = null;
    /** @type {HTMLImageElement | null} */
    this.asRead = null;
    this.turns = 0;
    this.canvas = el("canvas", { class: "photograph", hidden: true, role: "img", "aria-label": say("picture-canvas") });
    this.drawn = el("canvas", { class: "drawn", hidden: true, role: "img", "aria-label": say("picture-drawn") });
    this.state = el("p", { class: "note", role: "status" });
    this.doubts = el("section", { class: "doubts", hidden: true });
    this.said = el("div");
    this.wrong = el("p", { class: "wrong", role: "alert", lang: "en" });
    this.again = soon(350, () => void this.try());
    this.#drag();
  }

  hear() {
    // Panels come and go on the shelf; nothing of it is shown here.
  }

  async build() {
    document.title = `${say("picture-title")} – Hitchpress`;
    const file = el("input", { type: "file", id: "picture-file", accept: "image/*,.csv,.xlsx,.ods", onchange: () => void this.choose(file) });
    const again = () => this.again();
    const select = (/** @type {string} */ name, /** @type {string[]} */ values, then = again) =>
      el("select", { id: `picture-${name}`, onchange: then }, values.map((value) => el("option", { value }, say(`picture-${name}-${value || "found"}`))));
    const number = (/** @type {string} */ id, /** @type {string} */ value, /** @type {string} */ least, /** @type {string} */ most) =>
      el("input", { type: "number", id, value, min: least, max: most, inputmode: "numeric", onchange: again });
    this.kind = select("kind", ["", "photograph", "drawing", "chart"], () => {
      this.#kinds();
      again();
    });
    this.columns = number("picture-columns", "60", "8", "600");
    this.rows = number("picture-rows", "", "8", "600");
    this.width = el("input", { type: "text", id: "picture-width", onchange: again });
    this.yarns = number("picture-yarns", "6", "2", "26");
    this.detail = select("detail", ["usual", "much", "little"]);
    this.fit = select("fit", ["squares", "knots"]);
    this.like = el("select", { id: "begin-like", onchange: again }, el("option", { value: "" }, say("picture-own")));
    this.title = el("input", { type: "text", id: "begin-title" });
    this.begin = button(say("begin-now"), () => void this.take(), { class: "main", disabled: true });
    const turn = el("input", { type: "range", id: "picture-turn", min: "-15", max: "15", step: "0.1", value: "0", oninput: () => {
      this.turn = Number(turn.value);
      degrees.textContent = say("degrees", { n: this.turn.toFixed(1) });
      this.#look();
      again();
    } });
    const degrees = el("span", { class: "detail" }, say("degrees", { n: "0.0" }));
    this.edges = SIDES.map((side, at) => el("input", { type: "number", id: `crop-${side}`, min: "0", max: "100", step: "0.5", value: String(WHOLE[at]), onchange: () => this.#edge(at) }));
    const whole = button(say("picture-whole"), () => {
      turn.value = "0";
      this.turn = 0;
      degrees.textContent = say("degrees", { n: "0.0" });
      this.#cut([...WHOLE]);
      again();
    });
    const pair = (/** @type {HTMLElement} */ field, /** @type {string} */ key) => {
      const label = el("label", { for: field.id }, say(key));
      return [label, field];
    };
    this.cutting = el(
      "div",
      { class: "cutting", hidden: true },
      el("p", { class: "note" }, say("picture-cut")),
      el("div", { class: "fields" }, el("label", { for: "picture-turn" }, say("picture-turn")), el("span", { class: "turning" }, turn, degrees)),
      el("div", { class: "edges" }, this.edges.map((edge, at) => el("span", {}, el("label", { for: edge.id }, say(`crop-${SIDES[at]}`)), edge))),
      whole,
    );
    this.asChart = [...pair(this.rows, "rows"), ...pair(this.fit, "picture-fit")];
    this.asPicture = [...pair(this.width, "picture-width"), ...pair(this.yarns, "picture-yarns"), ...pair(this.detail, "picture-detail")];
    this.asked = el(
      "div",
      { class: "fields", hidden: true },
      pair(this.kind, "picture-kind"),
      pair(this.columns, "columns"),
      this.asPicture,
      this.asChart,
      pair(this.like, "begin-like"),
    );
    this.taking = el(
      "div",
      { class: "taking", hidden: true },
      el("div", { class: "fields" }, pair(this.title, "begin-title")),
      this.begin,
      this.wrong,
    );
    fill(
      this.into,
      el("header", { class: "top" }, el("a", { href: "#/", class: "back" }, say("to-shelf")), el("h1", {}, say("picture-title"))),
      el("p", { class: "note" }, say("picture-note")),
      el("p", {}, el("label", { for: "picture-file" }, say("picture-choose")), " ", file),
      el(
        "div",
        { class: "trying" },
        el("div", { class: "left" }, this.canvas, this.cutting, this.asked),
        el("div", { class: "right" }, this.state, this.drawn, this.taking, this.doubts, this.said),
      ),
    );
    this.#kinds();
    const shelf = await get("/api/shelf");
    this.like.append(...shelf.panels.filter((/** @type {any} */ panel) => panel.cells).map((/** @type {any} */ panel) => el("option", { value: panel.name }, panel.title)));
  }

  #kinds() {
    const chart = this.kind?.value === "chart";
    for (const field of this.asChart ?? []) field.hidden = !chart;
    for (const field of this.asPicture ?? []) field.hidden = chart;
    // A drawing has its own colours, unless she wants fewer.
    if (this.yarns && this.kind) this.yarns.value = this.kind.value === "drawing" ? "" : this.yarns.value || "6";
    // An old chart says itself how many squares it has, unless she counts better.
    if (this.columns && chart !== (this.columns.dataset.chart === "true")) {
      this.columns.value = chart ? "" : "60";
      this.columns.dataset.chart = String(chart);
    }
  }

  /** @param {HTMLInputElement} file */
  async choose(file) {
    const [chosen] = file.files ?? [];
    if (!chosen) return;
    if (chosen.size > LARGEST) {
      this.#tell(say("picture-too-large"));
      return;
    }
    this.#cut([...WHOLE]);
    this.image = await createImageBitmap(chosen).catch(() => null);
    if (this.title && !this.title.value.trim()) {
      const words = chosen.name.replace(/\.[^.]*$/, "").replace(/[-_]+/g, " ").trim().slice(0, 60);
      this.title.value = words.charAt(0).toUpperCase() + words.slice(1);
    }
    const shown = this.image !== null;
    this.canvas.hidden = !shown;
    if (this.cutting) this.cutting.hidden = !shown;
    if (this.asked) this.asked.hidden = false;
    this.#look();
    this.#tell(say("picture-trying"), true);
    await this.#asking(async () => {
      this.picture = (await send("/api/picture", { name: chosen.name }, chosen)).picture;
      await this.try();
    });
  }

  /** @param {() => Promise<void>} ask */
  async #asking(ask) {
    try {
      await ask();
    } catch (error) {
      if (error instanceof Refused) fill(this.state, el("span", { class: "wrong", lang: "en" }, plain(error.told?.message ?? say("picture-too-large"))));
      else if (error instanceof Away) this.#tell(say("away-empty"));
      else throw error;
    }
  }

  /** @param {string} words @param {boolean} [busy] */
  #tell(words, busy = false) {
    fill(this.state, words, busy && el("progress", { "aria-label": words }));
  }

  // The picture as it is cut

  /** Width and height of the straightened picture over those of the picture: nothing beyond its edges is shown. */
  #share() {
    const image = this.image;
    if (!image) return 1;
    const turn = (this.turn * Math.PI) / 180;
    const [sin, cos] = [Math.abs(Math.sin(turn)), Math.abs(Math.cos(turn))];
    const { width: w, height: h } = image;
    return Math.min(1, w / (w * cos + h * sin), h / (w * sin + h * cos));
  }

  #look() {
    const { image, canvas } = this;
    const on = canvas.getContext("2d");
    if (!image || !on) return;
    const share = this.#share();
    const [width, height] = [image.width * share, image.height * share];
    const ratio = window.devicePixelRatio || 1;
    const scale = (SIDE * ratio) / Math.max(width, height);
    canvas.width = Math.max(1, Math.round(width * scale));
    canvas.height = Math.max(1, Math.round(height * scale));
    canvas.style.width = `${canvas.width / ratio}px`;
    on.imageSmoothingQuality = "high";
    on.translate(canvas.width / 2, canvas.height / 2);
    on.rotate((this.turn * Math.PI) / 180);
    on.scale(scale, scale);
    on.drawImage(image, -image.width / 2, -image.height / 2);
    on.setTransform(1, 0, 0, 1, 0, 0);
    const [left, top, right, bottom] = this.crop.map((part, at) => (part / 100) * (at % 2 ? canvas.height : canvas.width));
    // What is cut off is veiled, and the cut framed so that it is seen on every ground.
    on.fillStyle = "rgb(250 247 241 / 72%)";
    on.beginPath();
    on.rect(0, 0, canvas.width, canvas.height);
    on.rect(left, top, right - left, bottom - top);
    on.fill("evenodd");
    on.lineWidth = 2;
    dashed(on, () => on.strokeRect(left + 1, top + 1, Math.max(1, right - left - 2), Math.max(1, bottom - top - 2)));
  }

  /** @param {Edges} crop */
  #cut(crop) {
    this.crop = crop;
    this.edges?.forEach((edge, at) => {
      edge.value = String(Math.round(crop[at] * 10) / 10);
    });
    this.#look();
  }

  /** @param {number} at */
  #edge(at) {
    /** @type {Edges} */
    const crop = [...this.crop];
    const other = crop[(at + 2) % 4];
    const wanted = Math.min(100, Math.max(0, Number(this.edges?.[at].value) || 0));
    crop[at] = at < 2 ? Math.min(wanted, other - 2) : Math.max(wanted, other + 2);
    this.#cut(crop);
    this.again();
  }

  #drag() {
    const { canvas } = this;
    /** @type {[number, number] | null} */
    let from = null;
    const place = (/** @type {PointerEvent} */ event) => {
      const box = canvas.getBoundingClientRect();
      const part = (/** @type {number} */ at, /** @type {number} */ long) => Math.min(100, Math.max(0, (at / long) * 100));
      return /** @type {[number, number]} */ ([part(event.clientX - box.left, box.width), part(event.clientY - box.top, box.height)]);
    };
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      from = place(event);
    });
    canvas.addEventListener("pointermove", (event) => {
      if (!from) return;
      const to = place(event);
      const [left, right] = [Math.min(from[0], to[0]), Math.max(from[0], to[0])];
      const [top, bottom] = [Math.min(from[1], to[1]), Math.max(from[1], to[1])];
      // A click is no cut.
      if (right - left < 2 || bottom - top < 2) return;
      this.#cut([left, top, right, bottom]);
    });
    canvas.addEventListener("pointerup", () => {
      if (from) this.again();
      from = null;
    });
    canvas.addEventListener("pointercancel", () => {
      from = null;
    });
  }

  // What it becomes

  async try() {
    if (this.picture === null || this.signal.aborted) return;
    const turn = (this.turns += 1);
    this.#tell(say("picture-trying"), true);
    const chart = this.kind?.value === "chart";
    const width = chart ? "" : this.width?.value.trim() ?? "";
    const wanted = {
      picture: this.picture,
      kind: this.kind?.value ?? "",
      columns: width ? "" : this.columns?.value ?? "",
      rows: chart ? this.rows?.value ?? "" : "",
      width,
      yarns: chart ? "" : this.yarns?.value ?? "",
      detail: chart ? "" : this.detail?.value ?? "",
      fit: chart ? this.fit?.value ?? "" : "",
      crop: this.image ? this.crop : null,
      straighten: this.image ? this.turn : 0,
      language: language(),
      like: this.like?.value ?? "",
    };
    await this.#asking(async () => {
      const made = await post("/api/trial", wanted);
      if (turn !== this.turns || this.signal.aborted) return;
      this.made = made.trial ? made : null;
      this.grid = made.cells ? { columns: made.columns, rows: made.rows, cells: numbered(made.cells, made.yarns) } : null;
      if (this.begin) this.begin.disabled = !made.trial;
      if (this.taking) this.taking.hidden = !made.trial;
      this.drawn.hidden = !this.grid;
      if (this.grid) {
        const knots = say("columns-rows", { columns: made.columns, rows: made.rows });
        this.#tell([knots, made.size, count("yarns-n", made.yarns.length)].filter(Boolean).join(" · "));
      } else this.#tell(say("picture-nothing"));
      fill(this.said, made.said.length > 0 && el("details", { open: !made.trial }, el("summary", {}, say("what-was-said")), el("pre", { lang: "en", tabindex: "0" }, made.said.join("\n").replaceAll("`", ""))));
      this.#draw();
      await this.#doubtful(made);
    });
  }

  #draw() {
    const { grid, made } = this;
    if (!grid || !made) return;
    small(this.drawn, grid, made.yarns, SIDE, made.cell);
    const on = this.drawn.getContext("2d");
    if (!on) return;
    const [across, down] = [this.drawn.width / grid.columns, this.drawn.height / grid.rows];
    for (const { at } of made.doubts) {
      const [x, y] = [(at % grid.columns) * across, Math.floor(at / grid.columns) * down];
      for (const [colour, wide] of /** @type {[string, number][]} */ ([["#fff", 3], ["#000", 1.2]])) {
        on.strokeStyle = colour;
        on.lineWidth = wide;
        on.strokeRect(x, y, across, down);
      }
    }
  }

  /** @param {any} made */
  async #doubtful(made) {
    const doubts = /** @type {Doubt[]} */ (made.doubts ?? []);
    this.doubts.hidden = doubts.length === 0;
    if (!doubts.length || !this.grid) return;
    const image = new Image();
    image.src = address("/api/as-read", { trial: made.trial });
    await image.decode().catch(() => {});
    if (this.made !== made) return;
    this.asRead = image.naturalWidth ? image : null;
    const list = el("ul", { class: "settling" });
    const show = (/** @type {number} */ from) => {
      list.append(...doubts.slice(from, from + SHOWN).map((doubt) => this.#doubt(doubt)));
      more.hidden = from + SHOWN >= doubts.length;
      more.onclick = () => show(from + SHOWN);
    };
    const more = button(say("more-steps"), () => {});
    fill(this.doubts, el("h2", {}, count("doubts", doubts.length)), el("p", { class: "note" }, say("doubts-note")), list, more);
    show(0);
  }

  /** @param {Doubt} doubt */
  #doubt(doubt) {
    const { grid, made, asRead } = this;
    if (!grid || !made) return el("li");
    const [column, row] = [doubt.at % grid.columns, Math.floor(doubt.at / grid.columns)];
    const canvas = el("canvas", { width: "120", height: "120", "aria-hidden": "true" });
    const on = canvas.getContext("2d");
    if (asRead && on) {
      // The picture is the left half; round the square its neighbours are seen.
      const across = (asRead.naturalWidth - GAP) / 2 / grid.columns;
      const down = asRead.naturalHeight / grid.rows;
      const half = 2.5 * Math.max(across, down);
      on.drawImage(asRead, (column + 0.5) * across - half, (row + 0.5) * down - half, 2 * half, 2 * half, 0, 0, 120, 120);
    }
    const named = (/** @type {string} */ letter) => made.yarns.find((yarn) => yarn.letter === letter)?.name ?? say("bare");
    const place = say("row-column", { row: row + 1, column: column + 1 });
    const letters = [...doubt.letters, ...made.yarns.map((yarn) => yarn.letter).filter((/** @type {string} */ one) => !doubt.letters.includes(one)), "."];
    const select = el("select", { "aria-label": place, onchange: () => {
      const at = made.yarns.findIndex((yarn) => yarn.letter === select.value);
      grid.cells[doubt.at] = at < 0 ? 255 : at;
      this.#draw();
    } }, letters.map((letter) => el("option", { value: letter }, named(letter))));
    select.value = letterOf(grid.cells[doubt.at], made.yarns);
    return el("li", {}, canvas, el("span", { class: "detail" }, place), select);
  }

  async take() {
    const { made, grid, title } = this;
    if (!made || !grid || !title) return;
    if (!title.value.trim()) {
      title.focus();
      return;
    }
    try {
      const { name } = await post("/api/new", { title: title.value, trial: made.trial });
      await this.#settle(name, grid, made);
      location.hash = `#/panel/${encodeURIComponent(name)}`;
    } catch (error) {
      if (error instanceof Refused) this.wrong.textContent = plain(error.told?.message ?? "");
      else if (error instanceof Away) this.wrong.textContent = say("away-empty");
      else throw error;
    }
  }

  /** What she settled is a step of its own on the new panel. @param {string} name @param {Grid} grid @param {any} made */
  async #settle(name, grid, made) {
    const read = Array.from(/** @type {string} */ (made.cells));
    const at = made.doubts.map((/** @type {Doubt} */ doubt) => doubt.at).filter((/** @type {number} */ one) => letterOf(grid.cells[one], made.yarns) !== read[one]);
    if (!at.length) return;
    const { n } = await get("/api/panel", { panel: name });
    const from = at.map((/** @type {number} */ one) => read[one]).join("");
    const to = at.map((/** @type {number} */ one) => letterOf(grid.cells[one], made.yarns)).join("");
    await post("/api/change", { panel: name, base: n, change: { kind: "knots", columns: grid.columns, rows: grid.rows, at, from, to } });
  }
}
