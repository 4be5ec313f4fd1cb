// The booklet's pages as they are printed, and what is made of them.

import { Away, Refused, address, get, post } from "./ask.js";
import { plain } from "./figures.js";
import { button, el, fill } from "./parts.js";
import { LANGUAGES, count, say } from "./words.js";

/** @typedef {import("./state.js").Panel} Panel */

const EDITIONS = ["booklet", "chart", "large-print", "materials"];
const PAPERS = ["", "a4", "letter", "a5", "half-letter", "a3", "tabloid", "small-screen"];
const INKS = ["", "saving", "full", "symbols-only"];

/** @param {string} name @param {string} value */
function words(name, value) {
  if (value === "") return say("as-project");
  if (name === "edition") return say(`edition-${value}`);
  if (name === "ink") return say(`ink-${value}`);
  return LANGUAGES.find(([tag]) => tag === value)?.[1] ?? value;
}

/** @param {Element} into @param {Panel} panel @param {AbortSignal} signal */
export async function build(into, panel, signal) {
  const kept = `hitchpress-pages-${panel.name}`;
  /** @type {Record<string, string>} */
  let chosen = { edition: "booklet", paper: "", ink: "", language: "" };
  try {
    chosen = { ...chosen, ...JSON.parse(sessionStorage.getItem(kept) ?? "{}") };
  } catch {
    // As usual, then.
  }
  const sheets = el("ol", { class: "sheets" });
  const state = el("p", { class: "note", role: "status" });
  const result = el("div", { class: "result", role: "status" });
  const field = (/** @type {string} */ name, /** @type {string[]} */ values) => {
    const select = el(
      "select",
      { id: `pages-${name}`, onchange: () => {
        chosen[name] = select.value;
        sessionStorage.setItem(kept, JSON.stringify(chosen));
        void load();
      } },
      values.map((value) => el("option", { value }, words(name, value))),
    );
    select.value = chosen[name];
    return el("div", {}, el("label", { for: `pages-${name}` }, say(`pages-${name}`)), select);
  };
  const making = (/** @type {string} */ title, /** @type {string} */ busy, /** @type {() => any} */ order) => {
    const control = button(title, async () => {
      const ordered = order();
      if (!ordered) return;
      panel.lift();
      control.disabled = true;
      const ended = busily(result, busy);
      try {
        await panel.hand();
        show(result, panel, await post("/api/make", { panel: panel.name, job: ended.job, ...ordered }));
        await finished();
      } catch (error) {
        if (error instanceof Refused) fill(result, el("p", { class: "wrong", lang: "en" }, plain(error.told?.message ?? "")));
        else if (error instanceof Away) fill(result, el("p", { class: "wrong" }, say("away-empty")));
        else throw error;
      } finally {
        ended.stop();
      }
      control.disabled = false;
    });
    return control;
  };
  const file = el("select", { id: "copies-file" });
  const buyers = el("textarea", { id: "copies-buyers", rows: "5", spellcheck: "false", value: "name,order\n" });
  const none = el("p", { class: "note" }, say("copies-none"));
  const given = el(
    "div",
    { class: "fields tall" },
    el("label", { for: "copies-file" }, say("copies-file")),
    file,
    el("label", { for: "copies-buyers" }, say("copies-buyers")),
    buyers,
  );
  const make = making(say("copies-make"), say("making-copies"), () => {
    if (buyers.value.trim().split("\n").length > 1) return { what: "copies", file: file.value, buyers: buyers.value };
    buyers.focus();
    return null;
  });
  const copying = el("details", { class: "copying" }, el("summary", {}, say("copies")), el("p", { class: "note" }, say("copies-note")), none, given, make);
  /** Files that there are; the one that she chose stays chosen. */
  const finished = async () => {
    const { files } = await get("/api/finished", { panel: panel.name });
    if (signal.aborted) return;
    const chosenFile = file.value;
    // A copy is not copied again.
    const masters = files.filter((/** @type {string} */ name) => !name.includes("-copies/"));
    fill(file, masters.map((/** @type {string} */ name) => el("option", { value: name }, name)));
    if (masters.includes(chosenFile)) file.value = chosenFile;
    none.hidden = masters.length > 0;
    given.hidden = make.hidden = masters.length === 0;
  };
  fill(
    into,
    el(
      "div",
      { class: "page wide" },
      el("div", { class: "choices" }, field("edition", EDITIONS), field("paper", PAPERS), field("ink", INKS), field("language", ["", ...LANGUAGES.map(([tag]) => tag)])),
      el(
        "div",
        { class: "buttons" },
        making(say("compose"), say("composing"), () => ({ what: "compose", ...chosen })),
        making(say("make-shop"), say("making-shop"), () => ({ what: "shop" })),
      ),
      result,
      copying,
      state,
      sheets,
    ),
  );
  void finished();
  const seen = new IntersectionObserver((entries) => {
    for (const entry of entries) {
      const image = entry.target;
      if (!entry.isIntersecting || !(image instanceof HTMLImageElement) || image.src) continue;
      image.src = image.dataset.from ?? "";
    }
  }, { rootMargin: "300px" });
  signal.addEventListener("abort", () => seen.disconnect());
  let turns = 0;
  const load = async () => {
    const turn = (turns += 1);
    state.textContent = say("pages-coming");
    const values = { panel: panel.name, ...chosen };
    const made = await get("/api/pages", values);
    if (turn !== turns || signal.aborted) return;
    state.textContent = made.told ? "" : count("pages-n", made.pages.length);
    if (made.told) fill(state, el("span", { class: "wrong", lang: "en" }, made.told.map((/** @type {any} */ one) => `${plain(one.message)} `)));
    fill(
      sheets,
      made.pages.map((/** @type {[number, number]} */ [width, height], /** @type {number} */ at) => {
        const from = (/** @type {number} */ pixels) => address("/api/page", { ...values, number: at, width: pixels, n: made.n });
        const image = el("img", { alt: say("page-n", { n: at + 1 }), width: "220", height: String(Math.round((220 * height) / width)), "data-from": from(440) });
        seen.observe(image);
        return el("li", {}, el("a", { href: from(1600), target: "_blank", rel: "noopener" }, image), el("span", { class: "detail", "aria-hidden": "true" }, String(at + 1)));
      }),
    );
  };
  panel.on("loaded handed", load, signal);
  await load();
}

/** Says that something is being made, for how long, and what the program said last. @param {Element} into @param {string} busy */
function busily(into, busy) {
  const job = crypto.randomUUID();
  const time = el("span", { class: "detail", "aria-hidden": "true" });
  const line = el("p", { class: "note", lang: "en" });
  const from = Date.now();
  const stop = button(say("stop"), () => void post("/api/stop", { job }));
  fill(into, el("p", {}, busy, " ", time), el("progress", { "aria-label": busy }), line, stop);
  const tick = setInterval(() => {
    time.textContent = say("seconds", { n: Math.round((Date.now() - from) / 1000) });
  }, 1000);
  const listened = new AbortController();
  document.addEventListener("said", (event) => {
    const { detail } = /** @type {CustomEvent} */ (event);
    if (detail.job === job && detail.line?.trim()) line.textContent = detail.line;
  }, { signal: listened.signal });
  return { job, stop: () => {
    clearInterval(tick);
    listened.abort();
  } };
}

/** @param {Element} into @param {Panel} panel @param {{done: boolean, stopped: boolean, said: string[], files: string[]}} made */
function show(into, panel, made) {
  fill(
    into,
    el("p", { class: made.done || made.stopped ? "" : "wrong" }, say(made.done ? "made" : made.stopped ? "stopped" : "not-made")),
    el("ul", {}, made.files.map((file) => el("li", {}, file.endsWith(".pdf") ? el("a", { href: address("/api/made", { panel: panel.name, file }), target: "_blank", rel: "noopener" }, file) : file))),
    el("details", { open: !made.done && !made.stopped }, el("summary", {}, say("what-was-said")), el("pre", { lang: "en", tabindex: "0" }, made.said.join("\n"))),
  );
}
