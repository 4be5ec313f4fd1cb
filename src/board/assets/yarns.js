// The yarns: names, letters, colours, order; one for another; and how alike they look.

import { get } from "./ask.js";
import { counted } from "./grid.js";
import { button, el, fill, sample, whileTyping } from "./parts.js";
import { number, say } from "./words.js";

/** @typedef {import("./state.js").Panel} Panel */

/** Differences under which two yarns are hard to tell apart, and under which they merge in grey. */
const NEAR = 10;

/** @param {Element} into @param {Panel} panel @param {AbortSignal} signal */
export function build(into, panel, signal) {
  const list = el("div");
  const alike = el("section", { class: "alike" });
  const taken = el("section", { class: "taken" });
  fill(into, el("div", { class: "page" }, list, adding(panel), taken, alike));
  photograph(taken);
  const typing = whileTyping(list);
  const cards = () => {
    if (!typing.later(cards)) fill(list, table(panel));
  };
  let turns = 0;
  const draw = async () => {
    const turn = (turns += 1);
    cards();
    const made = await get("/api/likeness", { panel: panel.name });
    if (turn === turns && !signal.aborted) fill(alike, ...likeness(panel, made));
  };
  panel.on("loaded", draw, signal);
  void draw();
}

/** @param {Panel} panel @param {number} item @param {string} key @param {any} from @param {any} to */
function set(panel, item, key, from, to) {
  if (from === to) return;
  panel.change({ kind: "form", changes: [{ do: "set", section: "yarn", item, key, from, to }] });
}

/** @param {Panel} panel */
function table(panel) {
  const { yarns } = panel;
  const counts = counted(panel.grid);
  const order = (/** @type {number} */ from, /** @type {number} */ to) => {
    const all = yarns.map((_, at) => at);
    all.splice(to, 0, ...all.splice(from, 1));
    panel.change({ kind: "form", changes: [{ do: "order", section: "yarn", order: all }] });
  };
  return el(
    "ol",
    { class: "cards" },
    yarns.map((yarn, at) => {
      const named = (/** @type {string} */ key) => say(key, { yarn: yarn.name });
      const by = el(
        "select",
        { "aria-label": named("replace-by") },
        yarns.filter((_, other) => other !== at).map((other) => el("option", { value: other.letter }, other.name)),
        el("option", { value: "." }, say("bare")),
      );
      const colour = el("input", { type: "color", value: yarn.colour, "aria-label": named("colour-of"), onchange: () => set(panel, at, "colour", yarn.colour, colour.value) });
      const name = el("input", { type: "text", value: yarn.name, "aria-label": named("name-of"), onchange: () => set(panel, at, "name", yarn.name, name.value.trim()) });
      const letter = el("input", { type: "text", class: "letter", maxlength: "2", value: yarn.letter, "aria-label": named("letter-of"), onchange: () => {
        const [typed] = Array.from(letter.value.trim());
        if (typed && typed !== yarn.letter) panel.change({ kind: "letter-yarn", letter: yarn.letter, to: typed });
        else letter.value = yarn.letter;
      } });
      return el(
        "li",
        {},
        el("div", { class: "line" }, colour, name, letter, el("span", { class: "count" }, say("knots-n", { n: number(counts[at]) }))),
        el(
          "div",
          { class: "buttons" },
          button(say("earlier-in-list"), () => order(at, at - 1), { disabled: at === 0, "aria-label": named("earlier-of") }),
          button(say("later-in-list"), () => order(at, at + 1), { disabled: at === yarns.length - 1, "aria-label": named("later-of") }),
          yarns.length > 1 && el("span", { class: "replace" }, button(say("replace"), () => panel.change({ kind: "replace-yarn", letter: yarn.letter, by: by.value })), by),
        ),
      );
    }),
  );
}

/** @param {Panel} panel */
function adding(panel) {
  const colour = el("input", { type: "color", id: "new-colour", value: "#7a8f6a" });
  const name = el("input", { type: "text", id: "new-name" });
  const letter = el("input", { type: "text", id: "new-letter", class: "letter", maxlength: "2" });
  const add = () => {
    const free = Array.from("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ").find((one) => panel.yarns.every((yarn) => yarn.letter !== one));
    const [typed] = Array.from(letter.value.trim());
    const words = name.value.trim();
    if (!words) {
      name.focus();
      return;
    }
    panel.change({ kind: "add-yarn", letter: typed ?? free ?? "?", name: words, colour: colour.value, like: panel.yarns.at(-1)?.letter ?? null });
    name.value = "";
    letter.value = "";
  };
  return el(
    "section",
    { class: "adding" },
    el("h2", {}, say("new-yarn")),
    el("p", { class: "note" }, say("new-yarn-note")),
    el("div", { class: "fields" }, el("label", { for: "new-colour" }, say("colour")), colour, el("label", { for: "new-name" }, say("name")), name, el("label", { for: "new-letter" }, say("letter")), letter),
    button(say("add-yarn"), add, { class: "main" }),
  );
}

/** A colour from a photograph: it stays in this page. @param {HTMLElement} into */
function photograph(into) {
  const canvas = el("canvas", { class: "photograph", hidden: true, "aria-label": say("photograph-canvas"), role: "img" });
  const found = el("p", { class: "note" });
  const file = el("input", { type: "file", id: "photograph", accept: "image/*", onchange: async () => {
    const [chosen] = file.files ?? [];
    if (!chosen) return;
    const image = await createImageBitmap(chosen).catch(() => null);
    if (!image) {
      found.textContent = say("photograph-unreadable");
      return;
    }
    const scale = Math.min(1, 640 / image.width, 480 / image.height);
    canvas.width = Math.max(1, Math.round(image.width * scale));
    canvas.height = Math.max(1, Math.round(image.height * scale));
    canvas.getContext("2d", { willReadFrequently: true })?.drawImage(image, 0, 0, canvas.width, canvas.height);
    canvas.hidden = false;
    found.textContent = say("photograph-point");
  } });
  canvas.addEventListener("click", (event) => {
    const on = canvas.getContext("2d", { willReadFrequently: true });
    if (!on) return;
    const box = canvas.getBoundingClientRect();
    const [x, y] = [((event.clientX - box.left) * canvas.width) / box.width, ((event.clientY - box.top) * canvas.height) / box.height];
    // The mean of a small patch: one pixel of a photograph is a matter of chance.
    const reach = 3;
    const { data } = on.getImageData(Math.max(0, Math.round(x) - reach), Math.max(0, Math.round(y) - reach), 2 * reach + 1, 2 * reach + 1);
    const sum = [0, 0, 0];
    let n = 0;
    for (let at = 0; at < data.length; at += 4) {
      if (data[at + 3] === 0) continue;
      for (let c = 0; c < 3; c += 1) sum[c] += data[at + c];
      n += 1;
    }
    if (!n) return;
    const hex = `#${sum.map((c) => Math.round(c / n).toString(16).padStart(2, "0")).join("")}`;
    const input = document.getElementById("new-colour");
    if (input instanceof HTMLInputElement) input.value = hex;
    fill(found, sample(hex), ` ${say("photograph-taken", { colour: hex })}`);
  });
  fill(into, el("h2", {}, say("from-photograph")), el("p", {}, el("label", { for: "photograph" }, say("photograph-choose")), " ", file), canvas, found);
}

/** @param {Panel} panel @param {Likeness} made */
function likeness(panel, made) {
  const name = (/** @type {string} */ letter) => panel.yarns.find((yarn) => yarn.letter === letter)?.name ?? letter;
  const ways = /** @type {const} */ (["grey", "protan", "deutan", "tritan"]);
  const head = (/** @type {string} */ words) => el("th", { scope: "col" }, words);
  const pairs = made.pairs.filter((pair) => pair.difference < NEAR || pair.least < NEAR || pair.lightness < NEAR);
  const why = (/** @type {Likeness["pairs"][0]} */ pair) => {
    if (pair.difference < NEAR) return say("alike-all");
    const found = [];
    if (pair.least < NEAR) found.push(say("alike-blind"));
    if (pair.lightness < NEAR) found.push(say("alike-grey"));
    return found.join("; ");
  };
  return [
    el("h2", {}, say("alike")),
    el(
      "div",
      { class: "scrolls", tabindex: "0", role: "region", "aria-label": say("alike") },
      el(
        "table",
        {},
        el("thead", {}, el("tr", {}, head(say("yarn")), head(say("seen-as-is")), ...ways.map((way) => head(say(`seen-${way}`))))),
        el(
          "tbody",
          {},
          made.yarns.map((seen) => {
            const yarn = panel.yarns.find((one) => one.letter === seen.letter);
            return el("tr", {}, el("th", { scope: "row" }, name(seen.letter)), el("td", {}, sample(yarn?.colour ?? null)), ...ways.map((way) => el("td", {}, sample(seen[way]))));
          }),
        ),
      ),
    ),
    pairs.length > 0
      ? el("ul", { class: "pairs" }, pairs.map((pair) => el("li", {}, say("alike-pair", { a: name(pair.a), b: name(pair.b), why: why(pair) }))))
      : el("p", { class: "note" }, say("alike-none")),
  ];
}
