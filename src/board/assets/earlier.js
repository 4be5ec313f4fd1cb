// Earlier states of the panel: look at one, bring it back.

import { get } from "./ask.js";
import { small } from "./draw.js";
import { numbered } from "./grid.js";
import { button, el, fill } from "./parts.js";
import { moment, say } from "./words.js";

/** @typedef {import("./state.js").Panel} Panel */

/** Steps that are listed at a time. */
const LISTED = 40;

/** @param {Element} into @param {Panel} panel @param {AbortSignal} signal */
export async function build(into, panel, signal) {
  let most = LISTED;
  const draw = async () => {
    const { steps, done } = await get("/api/steps", { panel: panel.name });
    if (signal.aborted) return;
    const drawing = el("div", { class: "then", role: "status" });
    const states = Array.from({ length: steps.length + 1 }, (_, count) => count).reverse().slice(0, most);
    const words = (/** @type {number} */ count) => (count === 0 ? say("at-first") : `${say(`step-${steps[count - 1].kind}`)}, ${moment(steps[count - 1].time)}`);
    const look = async (/** @type {number} */ count) => {
      const then = await get("/api/earlier", { panel: panel.name, steps: count }).catch(() => null);
      if (!then) {
        fill(drawing, el("p", { class: "note" }, say("earlier-unreadable")));
        return;
      }
      const canvas = el("canvas", { role: "img", "aria-label": words(count) });
      fill(drawing, canvas, el("p", { class: "detail" }, words(count)), count !== done && button(say("bring-back"), () => panel.change({ kind: "restore", steps: count }), { class: "main" }));
      small(canvas, { ...then, cells: numbered(then.cells, then.yarns) }, then.yarns, Math.min(420, into.clientWidth - 20));
    };
    fill(
      into,
      el(
        "div",
        { class: "page earlier" },
        el("div", {}, el("p", { class: "note" }, say("earlier-note")), el("ol", { reversed: true, start: String(steps.length) }, states.map((count) => el("li", { value: String(count) }, button(words(count), () => void look(count), { class: "quiet", "aria-current": count === done ? "true" : null })))), most <= steps.length && button(say("more-steps"), () => {
          most *= 4;
          void draw();
        })),
        drawing,
      ),
    );
    if (steps.length === 0) fill(into, el("p", { class: "note" }, say("earlier-none")));
  };
  panel.on("loaded handed", draw, signal);
  await draw();
}
