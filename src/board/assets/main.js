// The page: which screen is open, and what every screen has.

import { Away, Refused, listen } from "./ask.js";
import { el, fill } from "./parts.js";
import * as shelf from "./shelf.js";
import * as panel from "./panel.js";
import * as picture from "./picture.js";
import { LANGUAGES, language, learn, say } from "./words.js";

/** @typedef {{hear: (event: {panel?: string, n?: number}) => void, here?: (here: boolean) => void}} Screen */

const board = /** @type {HTMLElement} */ (document.getElementById("board"));
const main = el("main", { id: "main", tabindex: "-1" });
/** @type {Screen | null} */
let screen = null;
/** Ends what the last screen listens to and draws. */
let leaving = new AbortController();
let opening = 0;
/** The words that she chose last: the next screen is drawn when they are there. */
let words = learn();
/** The language of the frame. */
let framed = "";

function frame() {
  const held = document.activeElement?.id === "language";
  framed = language();
  const select = el(
    "select",
    { id: "language", onchange: async () => {
      await (words = learn(select.value).catch(() => {
        // They do not come: all stays as it is.
        select.value = framed;
      }));
      if (framed !== language()) await route();
    } },
    LANGUAGES.map(([tag, name]) => el("option", { value: tag, lang: tag }, name)),
  );
  select.value = framed;
  fill(
    board,
    el("a", { class: "skip", href: "#main", onclick: (/** @type {Event} */ event) => {
      event.preventDefault();
      main.focus();
    } }, say("skip")),
    main,
    el("footer", {}, el("p", {}, say("foot")), el("label", { for: "language" }, say("language")), select),
  );
  if (held) select.focus();
}

async function route() {
  const turn = (opening += 1);
  await words;
  if (turn !== opening) return;
  leaving.abort();
  leaving = new AbortController();
  const { signal } = leaving;
  screen = null;
  if (framed !== language()) frame();
  const [, kind, name, part] = location.hash.split("/");
  try {
    const next = kind === "panel" && name
      ? await panel.open(main, signal, decodeURIComponent(name), part ?? "")
      : await (kind === "picture" ? picture : shelf).open(main, signal);
    if (!signal.aborted) screen = next;
  } catch (error) {
    if (signal.aborted) return;
    if (error instanceof Away) {
      fill(main, el("p", { class: "note", role: "alert" }, say("away-empty")));
      setTimeout(() => void (signal.aborted || route()), 1500);
    } else if (error instanceof Refused) {
      fill(main, el("h1", {}, say("gone")), el("p", {}, error.told?.message ?? ""), el("p", {}, el("a", { href: "#/" }, say("to-shelf"))));
    } else throw error;
  }
}

listen(
  (event) => {
    // What is being made has its own listener, wherever she is.
    if (event.job !== undefined) document.dispatchEvent(new CustomEvent("said", { detail: event }));
    else screen?.hear(event);
  },
  (here) => screen?.here?.(here),
);
addEventListener("hashchange", () => void route());
await route();
document.body.dataset.ready = "true";
