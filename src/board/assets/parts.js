// Small parts that screens are made of.

/** @typedef {Node | string | null | undefined | false} Child */

/**
 * An element. Names that begin with `on` are listened to; `true` is an attribute without a value; `null` and `false` leave
 * it out.
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, any>} [given]
 * @param {...(Child | Child[])} children
 * @returns {HTMLElementTagNameMap[T]}
 */
export function el(tag, given = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(given)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "value" || name === "checked") /** @type {any} */ (element)[name] = value;
    else if (name === "style") Object.entries(value).forEach(([key, v]) => element.style.setProperty(key, String(v)));
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  fill(element, ...children);
  return element;
}

/**
 * Puts children in the place of those that were there.
 * @param {Element} element
 * @param {...(Child | Child[])} children
 */
export function fill(element, ...children) {
  const shown = children.flat().filter((child) => child !== null && child !== undefined && child !== false);
  element.replaceChildren(.../** @type {(Node | string)[]} */ (shown));
}

/**
 * @param {string} words
 * @param {() => void} then
 * @param {Record<string, any>} [given]
 */
export function button(words, then, given = {}) {
  return el("button", { type: "button", onclick: then, ...given }, words);
}

/**
 * Whether she is in the middle of typing: what she types is not taken from her.
 * @param {Element} into
 */
export function whileTyping(into) {
  /** @type {EventTarget | null} */
  let field = null;
  /** @type {(() => void) | null} */
  let then = null;
  const ended = () => {
    field = null;
    // Her own change is told first.
    const next = then;
    then = null;
    if (next) setTimeout(next);
  };
  into.addEventListener("input", (event) => {
    const { target } = event;
    if (target instanceof HTMLTextAreaElement || (target instanceof HTMLInputElement && !["checkbox", "color", "date"].includes(target.type))) field = target;
  });
  into.addEventListener("change", ended);
  into.addEventListener("focusout", ended);
  return {
    /** Keeps what is to be done until she is done; false if she is not typing. @param {() => void} next */
    later: (next) => {
      if (!(field instanceof Element) || !into.contains(field)) return false;
      then = next;
      return true;
    },
  };
}

/** Strokes that are seen on every ground: a white line, and a black one of dashes upon it. @param {CanvasRenderingContext2D} on @param {() => void} draw */
export function dashed(on, draw) {
  for (const [colour, dash] of /** @type {[string, number[]][]} */ ([["#fff", []], ["#000", [6, 6]]])) {
    on.strokeStyle = colour;
    on.setLineDash(dash);
    draw();
  }
  on.setLineDash([]);
}

/**
 * One of several choices: a group of radio buttons.
 * @param {{name: string, title: string, choices: [string, string | Node][], chosen: string,
 *   then: (choice: string) => void, kind?: string}} asked
 */
export function choice({ name, title, choices, chosen, then, kind = "" }) {
  return el(
    "fieldset",
    { class: `choice ${kind}` },
    el("legend", {}, title),
    choices.map(([value, words]) =>
      el(
        "label",
        {},
        el("input", { type: "radio", name, value, checked: value === chosen, onchange: () => then(value) }),
        el("span", {}, words),
      ),
    ),
  );
}

/** A sample of a yarn. @param {string | null} colour `null`: bare cord */
export function sample(colour) {
  return el("span", {
    class: colour === null ? "sample bare" : "sample",
    style: colour === null ? {} : { "background-color": colour },
    "aria-hidden": "true",
  });
}

/** Says something to those who listen. @param {string} words */
export function speak(words) {
  const spoken = document.getElementById("spoken");
  if (!spoken) return;
  // The same words twice are said twice.
  spoken.textContent = spoken.textContent === words ? `${words}\u00a0` : words;
}

/**
 * Waits until nothing more is asked for so long, then does it once.
 * @param {number} milliseconds
 * @param {() => void} then
 */
export function soon(milliseconds, then) {
  /** @type {number | undefined} */
  let waiting;
  return () => {
    clearTimeout(waiting);
    waiting = setTimeout(then, milliseconds);
  };
}
