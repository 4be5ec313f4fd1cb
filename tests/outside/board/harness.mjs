// A board of the built program on a folder of its own, and pages of Chromium on it.
//
// HITCHPRESS_PROGRAM is the program, HITCHPRESS_NODE a folder with node_modules (puppeteer-core, axe-core),
// HITCHPRESS_CHROMIUM the browser, HITCHPRESS_SAMPLES the samples of the repository. With HITCHPRESS_ASSETS, the folder of the
// page's files, pages show these as they lie there, and the program need not be built anew to try a change of them.

import { spawn } from "node:child_process";
import { createRequire } from "node:module";
import { cpSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const modules = join(process.env.HITCHPRESS_NODE ?? ".", "node_modules");
const require = createRequire(join(modules, "any.js"));
const puppeteer = (await import(pathToFileURL(require.resolve("puppeteer-core")).href)).default;
export const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const samples = process.env.HITCHPRESS_SAMPLES ?? "samples";
const program = process.env.HITCHPRESS_PROGRAM ?? "target/debug/hitchpress";

/** Sizes of the page that stories are told at. */
export const SIZES = {
  desktop: { width: 1440, height: 900 },
  tablet: { width: 820, height: 1180, hasTouch: true, isMobile: true, deviceScaleFactor: 2 },
  phone: { width: 390, height: 844, hasTouch: true, isMobile: true, deviceScaleFactor: 2 },
};

export const pause = (milliseconds) => new Promise((done) => setTimeout(done, milliseconds));

/** Asks again until the answer is true, for at most a minute: machines that are busy with other things are slow. */
export async function until(words, ask, limit = 60_000) {
  const end = Date.now() + limit;
  for (;;) {
    let last;
    try {
      if (await ask()) return;
    } catch (error) {
      last = error;
    }
    if (Date.now() > end) throw new Error(`waited in vain: ${words}${last ? `; ${last.message}` : ""}`);
    await pause(60);
  }
}

/** A folder with copies of samples; `plain` makes a small panel of three yarns. */
export function room() {
  const folder = mkdtempSync(join(tmpdir(), "hitchpress-board-"));
  return {
    folder,
    path: (...parts) => join(folder, ...parts),
    text: (...parts) => readFileSync(join(folder, ...parts), "utf8"),
    bytes: (...parts) => readFileSync(join(folder, ...parts)),
    write: (name, text) => writeFileSync(join(folder, name), text),
    list: (...parts) => readdirSync(join(folder, ...parts)),
    sample: (name) => cpSync(join(samples, name), join(folder, name), { recursive: true }),
    end: () => rmSync(folder, { recursive: true, force: true }),
  };
}

/** A small panel: three yarns, every key that is required. */
export const PLAIN = `# Mine.
format = 1
title = "Plain"
maker = "Ada"   # me
date = 2026-09-14
chart = "chart.txt"

[[yarn]]
key = "A"
name = "sand"
colour = "#d8b26e"
wraps-per-inch = 10

[[yarn]]
key = "B"
name = "sea"
colour = "#336699"
wraps-per-inch = 10

[[yarn]]
key = "c"
name = "clay"
colour = "#a04830"
wraps-per-inch = 10

[cord]
diameter = "3 mm"   # measured
`;

/** Starts a board and waits until it listens. */
export async function start(folder, options = []) {
  const child = spawn(program, ["board", folder, "--no-browser", ...options], { stdio: ["ignore", "ignore", "pipe"] });
  let said = "";
  child.stderr.on("data", (data) => {
    said += data;
  });
  const ended = new Promise((done) => child.on("exit", (code, signal) => done(code ?? signal)));
  await until("the board listens", () => {
    if (child.exitCode !== null) throw new Error(`it ended: ${said}`);
    return /http:\/\/127\.0\.0\.1:\d+\/\?enter=[0-9a-f]+/.test(said);
  });
  const address = /http:\/\/127\.0\.0\.1:\d+\/\?enter=[0-9a-f]+/.exec(said)[0];
  return {
    child,
    address,
    ended,
    said: () => said,
    port: Number(/:(\d+)\//.exec(address)[1]),
    stop: async (signal = "SIGINT") => {
      child.kill(signal);
      return ended;
    },
  };
}

export async function browser() {
  const home = mkdtempSync(join(tmpdir(), "hitchpress-chromium-"));
  const opened = await puppeteer.launch({
    executablePath: process.env.HITCHPRESS_CHROMIUM ?? "/usr/bin/chromium",
    headless: true,
    userDataDir: home,
    protocolTimeout: 120_000,
    args: [
      "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
      "--disable-component-update", "--disable-sync", "--lang=en-GB", "--accept-lang=en-GB",
    ],
  });
  return { opened, end: async () => {
    await opened.close();
    rmSync(home, { recursive: true, force: true, maxRetries: 5 });
  } };
}

const KINDS = { js: "text/javascript", css: "text/css", json: "application/json", svg: "image/svg+xml" };

/** See HITCHPRESS_ASSETS. */
export async function fromDisk(shown) {
  const assets = process.env.HITCHPRESS_ASSETS;
  if (!assets) return;
  await shown.setRequestInterception(true);
  shown.on("request", (request) => {
    const [, folder, name, ending] = /^\/(words\/(?:form\/)?)?([\w-]+\.(js|css|json|svg))$/.exec(new URL(request.url()).pathname) ?? [];
    if (!name) return request.continue();
    const path = folder ? join(assets, "../../../layouts/board", folder.slice(6), name) : join(assets, name);
    return request.respond({ status: 200, contentType: KINDS[ending], body: readFileSync(path) });
  });
}

/** A page of its own, with everything that went wrong in it. */
export async function page(opened, size = "desktop") {
  const context = await opened.createBrowserContext();
  const shown = await context.newPage();
  await shown.setViewport(SIZES[size]);
  await fromDisk(shown);
  const wrong = [];
  shown.on("pageerror", (error) => wrong.push(error.message));
  shown.on("console", (message) => {
    if (message.type() === "error" && !/Failed to load resource|net::ERR/.test(message.text())) wrong.push(message.text());
  });
  return { shown, wrong, close: () => context.close() };
}

/** What stories do on a page. */
export function hands(shown) {
  const ready = () => shown.waitForFunction(() => document.body.dataset.ready === "true");
  const at = (column, row) =>
    shown.evaluate((c, r) => {
      const canvas = document.querySelector("canvas.panel");
      const box = canvas.getBoundingClientRect();
      const [across, down] = canvas.view.size();
      return { x: box.left + canvas.view.x + (c + 0.5) * across, y: box.top + canvas.view.y + (r + 0.5) * down };
    }, column, row);
  const self = {
    ready,
    at,
    go: async (hash) => {
      await shown.evaluate((to) => {
        location.hash = to;
      }, hash);
    },
    panel: async (name) => {
      await self.go(`#/panel/${encodeURIComponent(name)}`);
      await shown.waitForSelector("canvas.panel:not([hidden])");
      await shown.waitForFunction(() => document.querySelector("canvas.panel").view.scale > 0);
      await shown.waitForFunction(() => document.querySelector(".beside h2") !== null);
      await pause(80);
    },
    knot: async (column, row) => {
      const { x, y } = await at(column, row);
      await shown.mouse.click(x, y);
    },
    stroke: async (...cells) => {
      const points = [];
      for (const [column, row] of cells) points.push(await at(column, row));
      await shown.mouse.move(points[0].x, points[0].y);
      await shown.mouse.down();
      for (const point of points.slice(1)) await shown.mouse.move(point.x, point.y, { steps: 6 });
      await shown.mouse.up();
    },
    /** Clicks what is found, once more where it was drawn anew between the finding and the click: nothing was clicked then. */
    tap: async (find, missing) => {
      for (let tries = 0; ; tries += 1) {
        const element = await find();
        if (!element) throw new Error(missing);
        try {
          await element.evaluate((e) => e.scrollIntoView({ block: "nearest" }));
          await element.click();
          return;
        } catch (error) {
          if (tries > 5 || !/detached|not clickable/.test(error.message)) throw error;
        }
      }
    },
    /** Clicks what is called so: a button, a link, a label, a summary. */
    press: async (words) =>
      self.tap(async () => {
        const found = await shown.evaluateHandle((wanted) => {
          const all = [...document.querySelectorAll("button, a, summary, label, [role=tab]")];
          const named = (/** @type {Element} */ e) => (e.textContent ?? "").trim().replace(/\s+/g, " ");
          return all.find((e) => named(e) === wanted && e.getClientRects().length) ?? all.find((e) => named(e).startsWith(wanted) && e.getClientRects().length) ?? null;
        }, words);
        return found.asElement();
      }, `nothing is called "${words}"`),
    /** Clicks the first thing of a kind. */
    click: async (selector) => self.tap(() => shown.$(selector), `there is no ${selector}`),
    yarn: async (name) => self.press(name),
    says: async (words) => until(`the page says "${words}"`, () => shown.evaluate((w) => document.body.innerText.includes(w), words)),
    saved: async () => until("saved", () => shown.evaluate(() => document.querySelector(".safety")?.dataset.safety === "saved")),
    title: () => shown.$eval("h1", (e) => e.textContent),
  };
  return self;
}
