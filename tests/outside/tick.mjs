// Boxes of a finished file in pdf.js's form layer, in headless Chromium: clicks one, and reads a file back.
//
// tick.mjs tick FILE FIELD OUT      clicks the first box of a field and saves
// tick.mjs check BEFORE FILE FIELD  says whether just that field is ticked, at all its places, and drawn so
// tick.mjs type FILE FIELD OUT WORDS  types words into a line and saves
// tick.mjs typed BEFORE FILE FIELD WORDS  says whether just that line has these words, and shows something
//
// HITCHPRESS_NODE is a folder with node_modules: pdfjs-dist and puppeteer-core.

import { createServer } from "node:http";
import { createRequire } from "node:module";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { extname, join, normalize } from "node:path";
import { pathToFileURL } from "node:url";

const modules = join(process.env.HITCHPRESS_NODE ?? ".", "node_modules");
const require = createRequire(join(modules, "any.js"));
const puppeteer = (await import(pathToFileURL(require.resolve("puppeteer-core")).href)).default;

const [task, ...words] = process.argv.slice(2);
const reads = task === "check" || task === "typed";
const files = reads ? { "/one.pdf": words[0], "/two.pdf": words[1] } : { "/one.pdf": words[0] };
const field = reads ? words[2] : words[1];

const kinds = { ".html": "text/html", ".mjs": "text/javascript", ".js": "text/javascript", ".pdf": "application/pdf" };
const server = createServer((asked, answer) => {
  const path = normalize(new URL(asked.url, "http://localhost").pathname);
  if (path === "/") return answer.setHeader("content-type", "text/html").end("<!doctype html><body></body>");
  try {
    const bytes = readFileSync(files[path] ?? join(modules, path));
    answer.setHeader("content-type", kinds[extname(path)] ?? "application/octet-stream").end(bytes);
  } catch {
    answer.writeHead(404).end();
  }
});
await new Promise((done) => server.listen(0, "127.0.0.1", done));
const home = mkdtempSync(join(tmpdir(), "hitchpress-chromium-"));
const browser = await puppeteer.launch({
  executablePath: process.env.HITCHPRESS_CHROMIUM ?? "/usr/bin/chromium",
  headless: true,
  userDataDir: home,
  protocolTimeout: 600_000,
  args: [
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
  ],
});

// Runs in the page: opens a file.
const open = async (path) => {
  const pdfjs = await import("/pdfjs-dist/build/pdf.mjs");
  const viewer = await import("/pdfjs-dist/web/pdf_viewer.mjs");
  pdfjs.GlobalWorkerOptions.workerSrc = "/pdfjs-dist/build/pdf.worker.mjs";
  const fonts = { cMapUrl: "/pdfjs-dist/cmaps/", standardFontDataUrl: "/pdfjs-dist/standard_fonts/" };
  const pdf = await pdfjs.getDocument({ url: path, ...fonts }).promise;
  return { pdfjs, viewer, pdf };
};

const tick = async (open, field, words) => {
  const { pdfjs, viewer, pdf } = await (0, eval)(`(${open})`)("/one.pdf");
  const fieldObjects = await pdf.getFieldObjects();
  for (let number = 1; number <= pdf.numPages; number++) {
    const page = await pdf.getPage(number);
    const annotations = await page.getAnnotations({ intent: "display" });
    const ours = annotations.find((a) => a.fieldName === field);
    if (!ours) continue;
    const viewport = page.getViewport({ scale: 1.5 });
    const div = document.createElement("div");
    div.className = "annotationLayer";
    document.body.append(div);
    const linkService = new viewer.SimpleLinkService();
    const shared = { div, page, linkService, annotationStorage: pdf.annotationStorage };
    const layer = new pdfjs.AnnotationLayer({ ...shared, viewport: viewport.clone({ dontFlip: true }) });
    await layer.render({
      ...shared, viewport: viewport.clone({ dontFlip: true }), annotations, renderForms: true, fieldObjects,
      enableScripting: false, hasJSActions: false, imageResourcesPath: "",
    });
    if (words !== undefined) {
      const line = div.querySelector(`[data-element-id="${ours.id}"]`);
      if (line?.type !== "text") throw new Error(`the form layer shows no line for ${field}`);
      line.value = words;
      line.dispatchEvent(new Event("input", { bubbles: true }));
    }
    const box = words !== undefined ? null : div.querySelector(`input[type=checkbox][data-element-id="${ours.id}"]`);
    if (words === undefined) {
      if (!box) throw new Error(`the form layer shows no box for ${field}`);
      if (box.checked) throw new Error(`${field} is ticked already`);
      box.click();
      if (!box.checked) throw new Error(`${field} cannot be ticked`);
    }
    const bytes = await pdf.saveDocument();
    let text = "";
    for (let at = 0; at < bytes.length; at += 0x8000) text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
    return btoa(text);
  }
  throw new Error(`no box of the field ${field}`);
};

// Runs in the page: a page's picture, and the pixels of a box in it.
const pictures = (pdfjs) => {
  const canvasOf = async (pdf, number) => {
    const page = await pdf.getPage(number);
    const viewport = page.getViewport({ scale: 3 });
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [viewport.width, viewport.height];
    const canvasContext = canvas.getContext("2d", { willReadFrequently: true });
    await page.render({ canvas, canvasContext, viewport, annotationMode: pdfjs.AnnotationMode.ENABLE }).promise;
    return { viewport, canvasContext };
  };
  const pixels = ({ viewport, canvasContext }, rect) => {
    const [x0, y0, x1, y1] = viewport.convertToViewportRectangle(rect).map(Math.round);
    const [left, top] = [Math.min(x0, x1), Math.min(y0, y1)];
    return canvasContext.getImageData(left, top, Math.abs(x1 - x0), Math.abs(y1 - y0)).data;
  };
  const share = (one, other, rect) => {
    const [a, b] = [one, other].map((canvas) => pixels(canvas, rect));
    let changed = 0;
    for (let at = 0; at < a.length; at += 4) {
      if ([0, 1, 2].some((i) => Math.abs(a[at + i] - b[at + i]) > 40)) changed += 4;
    }
    return changed / a.length;
  };
  return { canvasOf, share };
};

const typed = async (open, pictures, field, words) => {
  const opened = (0, eval)(`(${open})`);
  const { pdfjs, pdf } = await opened("/two.pdf");
  const before = (await opened("/one.pdf")).pdf;
  const { canvasOf, share } = (0, eval)(`(${pictures})`)(pdfjs);
  let [places, others] = [0, 0];
  for (let number = 1; number <= pdf.numPages; number++) {
    const page = await pdf.getPage(number);
    for (const line of (await page.getAnnotations()).filter((a) => a.fieldType === "Tx")) {
      const where = `${line.fieldName} on page ${number}`;
      if (line.fieldName !== field) {
        others += 1;
        if (line.fieldValue) throw new Error(`${where}: says ${line.fieldValue}`);
        continue;
      }
      places += 1;
      if (line.fieldValue !== words) throw new Error(`${where}: says ${line.fieldValue}`);
      const changed = share(await canvasOf(before, number), await canvasOf(pdf, number), line.rect);
      if (!(changed > 0.005 && changed < 0.5)) throw new Error(`${where}: ${changed.toFixed(3)} of the line changed`);
    }
  }
  if (places !== 1) throw new Error(`${places} places of ${field}`);
  return `1 line typed, ${others} others empty`;
};

const check = async (open, pictures, field) => {
  const opened = (0, eval)(`(${open})`);
  const { pdfjs, pdf } = await opened("/two.pdf");
  const before = (await opened("/one.pdf")).pdf;
  const { canvasOf, share } = (0, eval)(`(${pictures})`)(pdfjs);
  let [places, others] = [0, 0];
  const states = new Set();
  for (let number = 1; number <= pdf.numPages; number++) {
    const page = await pdf.getPage(number);
    const boxes = (await page.getAnnotations()).filter((a) => a.checkBox);
    let drawn = null;
    for (const box of boxes) {
      const where = `${box.fieldName} on page ${number}`;
      const ticked = box.fieldValue !== "Off" && box.fieldValue === box.exportValue;
      if (box.fieldName !== field) {
        others += 1;
        if (box.fieldValue !== "Off" && box.fieldValue != null) throw new Error(`${where}: ${box.fieldValue}`);
        continue;
      }
      places += 1;
      states.add(box.exportValue);
      if (!ticked) throw new Error(`${where}: not ticked (${box.fieldValue})`);
      drawn ??= [await canvasOf(before, number), await canvasOf(pdf, number)];
      const changed = share(...drawn, box.rect);
      if (!(changed > 0.03 && changed < 0.5)) throw new Error(`${where}: ${changed.toFixed(3)} of the box changed`);
    }
  }
  if (states.size !== 1) throw new Error(`${field} has the states ${[...states]}`);
  return `${places} places ticked, ${others} other boxes empty`;
};

try {
  const page = await browser.newPage();
  page.on("console", (said) => process.stderr.write(`${said.text()}\n`));
  await page.goto(`http://127.0.0.1:${server.address().port}/`);
  const shown = JSON.stringify;
  const run = {
    tick: `(${tick})(${shown(open.toString())}, ${shown(field)})`,
    type: `(${tick})(${shown(open.toString())}, ${shown(field)}, ${shown(words[3] ?? "")})`,
    check: `(${check})(${shown(open.toString())}, ${shown(pictures.toString())}, ${shown(field)})`,
    typed: `(${typed})(${shown(open.toString())}, ${shown(pictures.toString())}, ${shown(field)}, ${shown(words[3] ?? "")})`,
  }[task];
  const result = await page.evaluate(run);
  if (!reads) writeFileSync(words[2], Buffer.from(result, "base64"));
  else console.log(result);
} catch (fault) {
  console.error(String(fault?.stack ?? fault));
  process.exitCode = 1;
} finally {
  await browser.close();
  server.close();
  rmSync(home, { recursive: true, force: true });
}
