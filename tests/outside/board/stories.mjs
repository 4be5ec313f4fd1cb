// What a maker does on the board, from beginning to end: each story has a folder, a board and a page of its own, and looks at
// the files that were written and at what is on the screen.
//
// node stories.mjs [NAME...]   tells all stories, or those whose name holds one of the words

import assert from "node:assert/strict";
import { PLAIN, SIZES, axe, browser, fromDisk, hands, page, pause, room, start, until } from "./harness.mjs";

/** @type {[string, string, (story: any) => Promise<void>][]} */
const stories = [];
const story = (name, size, tell) => stories.push([name, size, tell]);
const rows = (...lines) => `${lines.join("\n")}\n`;

const plain = (room, chart = rows("AAAAAAAA", "AAAAAAAA", "AAABBAAA", "AAABBAAA", "AAAAAAAA", "AAAAAAAA")) => {
  room.write("project.toml", PLAIN);
  room.write("chart.txt", chart);
};

story("a knot is painted and saved to the letter", "desktop", async ({ room, open, h }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.yarn("clay");
  await h.knot(2, 1);
  await until("the file", () => room.text("chart.txt") === rows("AAAAAAAA", "AAcAAAAA", "AAABBAAA", "AAABBAAA", "AAAAAAAA", "AAAAAAAA"));
  await h.saved();
  await h.says("Saved");
  assert.equal(room.text("project.toml"), PLAIN);
});

story("a stroke, a straight stretch, a block and an area", "desktop", async ({ room, open, h }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.yarn("clay");
  await h.stroke([0, 0], [7, 0]);
  await until("the stroke", () => room.text("chart.txt").startsWith("cccccccc\n"));
  await h.press("A straight stretch");
  await h.stroke([0, 1], [4, 5]);
  await until("the stretch", () => room.text("chart.txt") === rows("cccccccc", "cAAAAAAA", "AcABBAAA", "AAcBBAAA", "AAAcAAAA", "AAAAcAAA"));
  await h.press("A block");
  await h.yarn("sea");
  await h.stroke([6, 4], [7, 5]);
  await until("the block", () => room.text("chart.txt").endsWith(rows("AAAcAABB", "AAAAcABB")));
  await h.press("An area");
  await h.yarn("sand");
  await h.knot(3, 2);
  await until("the area", () => room.text("chart.txt") === rows("cccccccc", "cAAAAAAA", "AcAAAAAA", "AAcAAAAA", "AAAcAABB", "AAAAcABB"));
});

story("one yarn is exchanged for another", "desktop", async ({ room, open, h }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.press("Exchange a yarn");
  await h.yarn("clay");
  await h.knot(0, 0);
  await until("the file", () => !room.text("chart.txt").includes("A") && room.text("chart.txt").includes("BB"));
});

story("bare cord", "desktop", async ({ room, open, h }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.yarn("Bare cord");
  await h.stroke([0, 5], [7, 5]);
  await until("the file", () => room.text("chart.txt").endsWith("........\n"));
});

story("undo and do again, after a reload and after a restart", "desktop", async ({ room, open, h, shown, board, reopen }) => {
  plain(room);
  const first = room.text("chart.txt");
  await open();
  await h.panel(".");
  await h.yarn("clay");
  await h.knot(0, 0);
  await h.knot(1, 0);
  await until("both", () => room.text("chart.txt").startsWith("ccA"));
  const both = room.text("chart.txt");
  await shown.reload();
  await h.ready();
  await h.panel(".");
  await h.press("Undo");
  await until("one undone", () => room.text("chart.txt").startsWith("cAA"));
  await reopen();
  await h.panel(".");
  await h.press("Undo");
  await until("both undone", () => room.text("chart.txt") === first);
  await h.press("Do again");
  await h.press("Do again");
  await until("both again", () => room.text("chart.txt") === both);
});

story("edited in a text editor meanwhile", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  room.write("chart.txt", room.text("chart.txt").replace("BB", "cc"));
  await until("the page shows it", () => shown.evaluate(() => {
    const { grid } = document.querySelector("canvas.panel").view.scene;
    return grid.cells[2 * 8 + 3] === 2;
  }));
  await h.yarn("clay");
  await h.knot(7, 5);
  await until("both are in the file", () => room.text("chart.txt") === rows("AAAAAAAA", "AAAAAAAA", "AAAccAAA", "AAABBAAA", "AAAAAAAA", "AAAAAAAc"));
  await h.press("Undo");
  await until("the knot is undone", () => !room.text("chart.txt").endsWith("c\n"));
  await h.press("Undo");
  await until("the other program's change is undone", () => room.text("chart.txt").includes("AAABBAAA\nAAABBAAA"));
});

story("two pages and a text editor on one file", "desktop", async ({ room, open, h, other, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.yarn("clay");
  const second = await other();
  await second.h.panel(".");
  await second.h.yarn("sea");
  await second.h.stroke([0, 5], [7, 5]);
  await shown.bringToFront();
  await h.stroke([0, 0], [7, 0]);
  await until("both are in the file", () => room.text("chart.txt") === rows("cccccccc", "AAAAAAAA", "AAABBAAA", "AAABBAAA", "AAAAAAAA", "BBBBBBBB"));
  await until("the second page shows the first's", () => second.shown.evaluate(() => document.querySelector("canvas.panel").view.scene.grid.cells[0] === 2));
  await until("the first page shows the second's", () => shown.evaluate(() => document.querySelector("canvas.panel").view.scene.grid.cells[40] === 1));
  await second.close();
});

/** Holds the page's next request of a path back; `held` tells when there is one, `release` lets it go. */
const holding = async (shown, path) => {
  await shown.evaluate((wanted) => {
    const ask = window.fetch;
    window.back ??= {};
    window.fetch = (where, how) => {
      if (window.back[wanted] || !String(where).startsWith(wanted)) return ask(where, how);
      return new Promise((done) => {
        window.back[wanted] = () => done(ask(where, how));
      });
    };
  }, path);
  return {
    held: () => until(`the page asks for ${path}`, () => shown.evaluate((wanted) => window.back[wanted] !== undefined, path)),
    release: () => shown.evaluate((wanted) => window.back[wanted](), path),
  };
};

story("a change from elsewhere comes in the middle of a stroke", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.yarn("clay");
  const { held, release } = await holding(shown, "/api/panel");
  room.write("chart.txt", room.text("chart.txt").replace(/A+\n$/, "BBBBBBBB\n"));
  await held();
  const [from, middle, to] = [await h.at(0, 0), await h.at(4, 0), await h.at(7, 0)];
  await shown.mouse.move(from.x, from.y);
  await shown.mouse.down();
  await shown.mouse.move(middle.x, middle.y, { steps: 6 });
  await release();
  await pause(300);
  await shown.mouse.move(to.x, to.y, { steps: 6 });
  await shown.mouse.up();
  await until("both are in the file", () => room.text("chart.txt") === rows("cccccccc", "AAAAAAAA", "AAABBAAA", "AAABBAAA", "AAAAAAAA", "BBBBBBBB"));
  await until("both are shown", () => shown.evaluate(() => {
    const { cells } = document.querySelector("canvas.panel").view.scene.grid;
    return cells[0] === 2 && cells[40] === 1;
  }));
});

story("server stopped and started again while she paints", "desktop", async ({ room, open, h, board, restart }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.yarn("clay");
  await board().stop();
  await h.knot(0, 0);
  await h.knot(1, 0);
  await h.says("The board does not answer");
  assert.ok(room.text("chart.txt").startsWith("AAA"));
  await restart();
  await until("handed over", () => room.text("chart.txt").startsWith("ccA"), 20_000);
  await h.saved();
});

for (const size of Object.keys(SIZES)) {
  for (const language of ["en-GB", "de-DE", "fr-FR"]) {
    story(`nothing that is said moves the panel under her hand: ${size}, ${language}`, size, async ({ room, open, h, board, restart, shown }) => {
      plain(room);
      await open();
      await shown.select("#language", language);
      await h.ready();
      await h.panel(".");
      await h.yarn("clay");
      const place = () => shown.$eval("canvas.panel", (e) => JSON.stringify(e.getBoundingClientRect()));
      const before = await place();
      await board().stop();
      await h.knot(1, 0);
      await until("said that the board is away", () => shown.$eval(".away", (e) => e.textContent !== ""));
      assert.equal(await place(), before, "the board is away");
      if (process.env.HITCHPRESS_PICTURES) await shown.screenshot({ path: `${process.env.HITCHPRESS_PICTURES}/away-${size}-${language}.png` });
      room.write("chart.txt", room.text("chart.txt").replace("AA", "BB"));
      await restart();
      await until("said that a knot was changed elsewhere", () => shown.$eval(".message", (e) => !e.hidden));
      await h.saved();
      assert.equal(await place(), before, "the board is back, and says something");
    });
  }
}

story("what was painted without a server is kept over a reload", "desktop", async ({ room, open, h, board, restart, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.yarn("clay");
  await board().stop("SIGKILL");
  await h.knot(4, 4);
  await h.says("The board does not answer");
  await restart();
  await shown.reload();
  await h.ready();
  await h.panel(".");
  await until("handed over", () => room.text("chart.txt").split("\n")[4] === "AAAAcAAA", 20_000);
});

story("keyboard alone", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  await shown.focus("canvas.panel");
  const press = (key) => shown.keyboard.press(key);
  await press("c");
  await press("ArrowRight");
  await press("ArrowDown");
  await until("the place is spoken", () => shown.$eval("#spoken", (e) => e.textContent.includes("row 2, column 2, sand")));
  await press("Space");
  await until("the knot", () => room.text("chart.txt").split("\n")[1] === "AcAAAAAA");
  await until("and said", () => shown.$eval("#spoken", (e) => e.textContent.includes("row 2, column 2, clay")));
  await press("Delete");
  await until("bare", () => room.text("chart.txt").split("\n")[1] === "A.AAAAAA");
  await shown.keyboard.down("Control");
  await press("z");
  await press("z");
  await shown.keyboard.up("Control");
  await until("undone", () => room.text("chart.txt").split("\n")[1] === "AAAAAAAA");
});

story("a block with the keyboard", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.press("A block");
  await shown.focus("canvas.panel");
  for (const key of ["b", "Space", "ArrowRight", "ArrowDown", "Space"]) await shown.keyboard.press(key);
  await until("the block", () => room.text("chart.txt").startsWith("BBAAAAAA\nBBAAAAAA\n"));
});

story("a part is copied, mirrored and set down", "desktop", async ({ room, open, h, shown }) => {
  plain(room, rows("cBAAAAAA", "cAAAAAAA", "AAAAAAAA", "AAAAAAAA"));
  await open();
  await h.panel(".");
  await h.press("Choose a part");
  await h.stroke([0, 0], [1, 1]);
  await h.says("2 columns, 2 rows");
  await h.press("Copy");
  await h.press("Left for right");
  await h.knot(7, 3);
  await until("set down mirrored", () => room.text("chart.txt") === rows("cBAAAAAA", "cAAAAAAA", "AAAAAABc", "AAAAAAAc"));
  await shown.keyboard.press("Escape");
});

story("a part is moved, turned upside down and repeated", "desktop", async ({ room, open, h }) => {
  plain(room, rows("cBAA", "AAAA", "AAAA", "AAAA"));
  await open();
  await h.panel(".");
  await h.yarn("sand");
  await h.press("Choose a part");
  await h.stroke([0, 0], [1, 1]);
  await h.press("Upside down");
  await until("turned", () => room.text("chart.txt") === rows("AAAA", "cBAA", "AAAA", "AAAA"));
  await h.press("Move");
  await h.knot(3, 3);
  await until("moved", () => room.text("chart.txt") === rows("AAAA", "AAAA", "AAAA", "AAcB"));
  await h.press("Let go");
  await h.stroke([2, 2], [3, 3]);
  await h.press("Repeat everywhere");
  await until("repeated", () => room.text("chart.txt") === rows("AAAA", "cBcB", "AAAA", "cBcB"));
});

story("mirror painting about both axes", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.press("Mirror painting");
  await h.press("Upright axis after column");
  await h.press("Level axis after row");
  await h.yarn("clay");
  await h.knot(1, 0);
  await until("four knots", () => room.text("chart.txt") === rows("AcAAAAcA", "AAAAAAAA", "AAABBAAA", "AAABBAAA", "AAAAAAAA", "AcAAAAcA"));
});

story("rows and columns are put in and taken out", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.press("Rows and columns");
  const number = async (id, value) => {
    await shown.$eval(`#${id}`, (e, v) => { e.value = v; e.dispatchEvent(new Event("change")); }, String(value));
  };
  await number("line-at", 4);
  await number("line-count", 2);
  await h.press("Put in");
  await until("two more rows", () => room.text("chart.txt").split("\n").filter((line) => line === "AAABBAAA").length === 4);
  await until("shown", () => shown.evaluate(() => document.querySelector("canvas.panel").view.scene.grid.rows === 8));
  await shown.select("#line", "columns");
  await number("line-at", 1);
  await number("line-count", 3);
  await h.press("Take out");
  await until("three columns fewer", () => room.text("chart.txt").startsWith("AAAAA\n"));
  await h.press("Undo");
  await h.press("Undo");
  await until("as before", () => room.text("chart.txt") === rows("AAAAAAAA", "AAAAAAAA", "AAABBAAA", "AAABBAAA", "AAAAAAAA", "AAAAAAAA"));
});

story("rows that moved meanwhile are told, and nothing is painted wrong", "desktop", async ({ room, open, h, shown, board, restart }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.yarn("clay");
  await board().stop();
  await h.knot(0, 0);
  await h.says("The board does not answer");
  const moved = rows("BBBBBBBB", "AAAAAAAA", "AAAAAAAA", "AAABBAAA", "AAABBAAA", "AAAAAAAA", "AAAAAAAA");
  room.write("chart.txt", moved);
  await restart();
  await h.says("Rows or columns were put in or taken out elsewhere");
  assert.equal(room.text("chart.txt"), moved);
});

story("knots that were changed elsewhere stay and are told", "desktop", async ({ room, open, h, board, restart }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.yarn("clay");
  await board().stop();
  await h.stroke([0, 0], [3, 0]);
  await h.says("The board does not answer");
  room.write("chart.txt", room.text("chart.txt").replace("AAAAAAAA\n", "BAAAAAAA\n"));
  await restart();
  await h.says("1 knot was changed elsewhere");
  await until("the others are there", () => room.text("chart.txt").startsWith("BcccAAAA\n"));
});

story("figures and advice follow a stroke, and advice shows its place", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.says("8 × 6, 48 in all");
  await h.yarn("clay");
  await h.knot(6, 4);
  await h.says("clay at row 5, column 7");
  const before = await shown.evaluate(() => document.querySelector("canvas.panel").view.scale);
  await shown.evaluate(() => {
    const item = [...document.querySelectorAll(".advice li")].find((li) => li.textContent.includes("row 5, column 7"));
    item.querySelector("button").click();
  });
  await until("the cursor is there", () => shown.evaluate(() => {
    const { cursor } = document.querySelector("canvas.panel").view;
    return cursor.row === 4 && cursor.column === 6;
  }));
  assert.ok((await shown.evaluate(() => document.querySelector("canvas.panel").view.scale)) >= Math.min(before, 8));
});

story("where lengths start, are cut and are led is shown, up to a row", "desktop", async ({ room, open, h, shown }) => {
  room.sample("two-pears");
  await open();
  await h.panel("two-pears");
  const drawn = () => shown.evaluate(() => { const c = document.querySelector("canvas.panel"); return c.toDataURL(); });
  const bare = await drawn();
  await h.press("Show starts, cuts and carries");
  await until("marks", async () => (await drawn()) !== bare);
  const all = await drawn();
  await shown.$eval("#marks-row", (e) => { e.value = "3"; e.dispatchEvent(new Event("input")); });
  await until("fewer", async () => (await drawn()) !== all);
  const some = await drawn();
  await h.press("Show starts, cuts and carries");
  await until("none", async () => (await drawn()) === bare);
  assert.equal(new Set([bare, all, some]).size, 3);
  assert.equal(await shown.$eval(".upto", (e) => e.hidden), true);
});

story("a chart that is a picture is painted and stays one", "desktop", async ({ room, open, h, shown }) => {
  room.sample("two-pears");
  const before = room.bytes("two-pears", "chart.png");
  await open();
  await h.panel("two-pears");
  await h.yarn("candle cream");
  const yarn = await shown.evaluate(() => document.querySelector("canvas.panel").view.scene.grid.cells[0]);
  await h.yarn(yarn === 0 ? "candle cream" : "larder blue");
  await h.knot(0, 0);
  await until("another picture", () => !room.bytes("two-pears", "chart.png").equals(before));
  assert.equal(room.bytes("two-pears", "chart.png").subarray(1, 4).toString(), "PNG");
  await h.press("Undo");
  await until("as before, to the byte", () => room.bytes("two-pears", "chart.png").equals(before));
});

story("the shelf shows every panel, and a new folder appears by itself", "desktop", async ({ room, open, h, shown }) => {
  room.sample("two-pears");
  room.sample("low-water-heron");
  await open();
  await h.says("Two Pears");
  await h.says("Low Water Heron");
  assert.equal(await shown.$$eval(".shelf li", (all) => all.length), 2);
  await h.press("Low Water Heron");
  await shown.waitForSelector("canvas.panel");
  assert.equal(await h.title(), "Low Water Heron");
});

story("a faulty project is told with its line, and is painted all the same", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  room.write("project.toml", PLAIN.replace('"3 mm"', '"3 miles"'));
  await open();
  await h.panel(".");
  await h.says("To mend");
  await h.says("project.toml, line 27");
  await h.yarn("clay");
  await h.knot(0, 0);
  await until("the knot", () => room.text("chart.txt").startsWith("cA"));
  room.write("project.toml", PLAIN);
  await until("figures again", () => shown.evaluate(() => document.body.innerText.includes("48 in all")));
});

story("a finger moves the panel until she says that it paints", "phone", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  const first = room.text("chart.txt");
  const place = await h.at(3, 0);
  await shown.touchscreen.tap(place.x, place.y);
  await pause(300);
  assert.equal(room.text("chart.txt"), first);
  await h.press("My finger paints");
  await h.yarn("clay");
  await shown.$eval("canvas.panel", (e) => e.scrollIntoView({ block: "center" }));
  const again = await h.at(3, 0);
  await shown.touchscreen.tap(again.x, again.y);
  await until("the knot", () => room.text("chart.txt").startsWith("AAAcAAAA"));
});

story("wheel and keys change the size, and the whole panel comes back", "desktop", async ({ room, open, h, shown }) => {
  room.sample("low-water-heron");
  await open();
  await h.panel("low-water-heron");
  const scale = () => shown.evaluate(() => document.querySelector("canvas.panel").view.scale);
  const whole = await scale();
  await h.press("Larger");
  assert.ok((await scale()) > whole * 1.3);
  const { x, y } = await h.at(30, 40);
  await shown.mouse.move(x, y);
  await shown.keyboard.down("Control");
  await shown.mouse.wheel({ deltaY: 300 });
  await shown.keyboard.up("Control");
  await until("smaller", async () => (await scale()) < whole * 1.3);
  await h.press("Whole panel");
  await until("whole", async () => Math.abs((await scale()) - whole) < 0.01);
});

story("the board speaks five languages", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  for (const [tag, undo] of [["de-DE", "Rückgängig"], ["fr-FR", "Défaire"], ["es-ES", "Deshacer"], ["en-US", "Undo"], ["en-GB", "Undo"]]) {
    await shown.select("#language", tag);
    // Both kinds of English say "Undo": the page's own language tells that the words are the new ones.
    const spoken = (tag, words) => document.documentElement.lang === tag && [...document.querySelectorAll("button")].some((b) => b.textContent === words);
    await until(tag, () => shown.evaluate(spoken, tag, undo));
  }
});

story("advice is given in her language, and its places are shown", "desktop", async ({ room, open, h, shown }) => {
  plain(room, rows("AAAAAAAA", "AAAAAAAA", "AAABBAAA", "AAABBAAA", "AcAAAAAA", "AAAAAAAA"));
  await open();
  await h.panel(".");
  const lone = [
    ["de-DE", "1 Garn wird für einen einzigen Knoten angelegt und wieder abgeschnitten: clay bei Reihe 5, Spalte 2."],
    ["fr-FR", "1 fil est commencé pour un seul nœud puis coupé\u202f: clay au rang 5, colonne 2."],
    ["es-ES", "1 hilo se empieza para un solo nudo y se corta otra vez: clay en la fila 5, columna 2."],
    ["en-US", "1 yarn is started for one knot and cut again: clay at row 5, column 2."],
  ];
  for (const [tag, words] of lone) {
    await shown.select("#language", tag);
    await h.says(words);
    const held = (wanted) => [...document.querySelectorAll(".advice li")].find((li) => li.textContent.includes(wanted));
    assert.equal(await shown.evaluate(`(${held})(${JSON.stringify(words)}).lang`), tag);
    await shown.evaluate(`(${held})(${JSON.stringify(words)}).querySelector("button").click()`);
    await until("its place", () => shown.evaluate(() => document.querySelector(".at")?.textContent.includes("5")));
  }
  assert.ok((await shown.$eval(".advice", (e) => e.innerText)).includes("a neighbor's yarn"));
});

story("another language is chosen, and another screen before its words are there", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  const [words, shelf] = [await holding(shown, "/words/de-DE"), await holding(shown, "/api/shelf")];
  await shown.select("#language", "de-DE");
  await words.held();
  await h.go("#/");
  await pause(300);
  await words.release();
  await shelf.held();
  await pause(300);
  await shelf.release();
  await h.says("Ein neuer Behang");
  await pause(300);
  const said = await shown.$eval("body", (e) => e.innerText);
  assert.ok(said.includes("Ein neuer Behang") && !said.includes("A new panel"), said);
  // The answer for the first panel comes after she has gone to the second screen.
  const figures = await holding(shown, "/api/panel");
  await h.go("#/panel/.");
  await figures.held();
  await h.go("#/picture");
  await until("the picture's screen", () => shown.$("#picture-file"));
  await figures.release();
  await pause(300);
  assert.ok(await shown.$("#picture-file"), "the last screen that she asked for is shown");
});

story("two languages are chosen, and the words of the first come last", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.go("#/panel/./making");
  await h.says("Subtitle");
  const words = await holding(shown, "/words/de-DE");
  await shown.select("#language", "de-DE");
  await words.held();
  await shown.select("#language", "fr-FR");
  await until("French", () => shown.$eval("#board", (e) => e.innerText.includes("Sous-titre")));
  await words.release();
  await pause(300);
  const spoken = async () => [await shown.$eval("#language", (e) => e.value), await shown.evaluate(() => document.documentElement.lang)];
  assert.deepEqual(await spoken(), ["fr-FR", "fr-FR"]);
  await h.go("#/");
  await h.says("Un nouveau panneau");
  // The same with the words of the form.
  const form = await holding(shown, "/words/form/es-ES");
  await shown.select("#language", "es-ES");
  await until("Spanish", () => shown.evaluate(() => document.documentElement.lang === "es-ES"));
  await h.go("#/panel/./making");
  await form.held();
  await shown.select("#language", "de-DE");
  await h.says("Untertitel");
  await form.release();
  await pause(300);
  await h.go("#/");
  await h.says("Ein neuer Behang");
  await h.go("#/panel/./making");
  await h.says("Untertitel");
});

story("the words of another language do not come", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.yarn("clay");
  await shown.evaluate(() => {
    const ask = window.fetch;
    window.fetch = (where, how) => (!window.there && String(where).startsWith("/words/") ? Promise.reject(new TypeError("torn")) : ask(where, how));
  });
  await shown.select("#language", "de-DE");
  await until("English again", () => shown.$eval("#language", (e) => e.value === "en-GB"));
  await h.knot(0, 0);
  await until("painting goes on", () => room.text("chart.txt").startsWith("cAA"));
  await h.says("Undo");
  await shown.evaluate(() => {
    window.there = true;
  });
  await shown.focus("#language");
  await shown.select("#language", "de-DE");
  await h.says("Rückgängig");
  assert.equal(await shown.evaluate(() => document.activeElement.id), "language");
});

story("the first address is good once, and a stranger is turned away", "desktop", async ({ room, open, board, other, h }) => {
  plain(room);
  await open();
  const again = await fetch(board().address, { redirect: "manual" });
  assert.equal(again.status, 401);
  const stranger = await fetch(`http://127.0.0.1:${board().port}/api/shelf`);
  assert.equal(stranger.status, 401);
  await h.says("Plain");
});

const field = (shown, id, value) => shown.$eval(`#${id}`, (e, v) => {
  e.value = v;
  e.dispatchEvent(new Event("change"));
}, value);

story("a yarn is renamed and coloured, and her comments stay", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.go("#/panel/./yarns");
  await shown.waitForSelector(".cards li");
  await shown.$eval('.cards li input[type="text"]', (e) => { e.value = "straw"; e.dispatchEvent(new Event("change")); });
  await until("the name", () => room.text("project.toml") === PLAIN.replace("sand", "straw"));
  await shown.waitForFunction(() => document.querySelector('.cards input[type="text"]').value === "straw");
  await shown.$eval('.cards li input[type="color"]', (e) => { e.value = "#112233"; e.dispatchEvent(new Event("change")); });
  await until("the colour", () => room.text("project.toml") === PLAIN.replace("sand", "straw").replace("#d8b26e", "#112233"));
});

story("yarns are added, given another letter, ordered and taken out", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.go("#/panel/./yarns");
  await shown.waitForSelector(".cards li");
  await field(shown, "new-name", "moss");
  await field(shown, "new-letter", "m");
  await h.press("Add the yarn");
  await until("four", () => shown.$$eval(".cards li", (all) => all.length === 4));
  assert.ok(room.text("project.toml").includes('key = "m"\nname = "moss"'));
  await shown.$$eval(".cards input.letter", (all) => { all[1].value = "S"; all[1].dispatchEvent(new Event("change")); });
  await until("the letter in both files", () => room.text("chart.txt").includes("AAASSAAA") && room.text("project.toml").includes('key = "S"'));
  await shown.waitForFunction(() => document.querySelectorAll(".cards input.letter")[1].value === "S");
  await h.click('button[aria-label="sea up"]');
  await until("the order", () => room.text("project.toml").indexOf('"sea"') < room.text("project.toml").indexOf('"sand"'));
  await shown.waitForFunction(() => document.querySelectorAll(".cards input.letter")[0].value === "S");
  await shown.$$eval(".cards .replace", (all) => { all[0].querySelector("select").value = "c"; all[0].querySelector("button").click(); });
  await until("its knots are another's", () => room.text("chart.txt").includes("AAAccAAA") && !room.text("project.toml").includes('"sea"'));
  await h.press("Undo");
  await until("both files again", () => room.text("chart.txt").includes("AAASSAAA") && room.text("project.toml").includes('"sea"'));
});

story("a colour of a picture chart is changed in both files", "desktop", async ({ room, open, h, shown }) => {
  room.sample("two-pears");
  await open();
  await h.go("#/panel/two-pears/yarns");
  await shown.waitForSelector(".cards li");
  const before = room.bytes("two-pears", "chart.png");
  await shown.$eval('.cards li input[type="color"]', (e) => { e.value = "#402030"; e.dispatchEvent(new Event("change")); });
  await until("both", () => room.text("two-pears", "project.toml").includes("#402030") && !room.bytes("two-pears", "chart.png").equals(before));
  await h.panel("two-pears");
  assert.equal(await shown.$$eval(".faults li", (all) => all.length), 0);
});

story("a measure is mended in the form, and its fault stood beside it", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  room.write("project.toml", PLAIN.replace('"3 mm"', '"3 miles"'));
  await open();
  await h.go("#/panel/./making");
  await shown.waitForSelector("#cord--diameter[aria-invalid]");
  const told = await shown.$eval("#cord--diameter-told", (e) => e.textContent);
  assert.ok(told.includes("unit of length"), told);
  await field(shown, "cord--diameter", "4 mm");
  await until("mended", () => room.text("project.toml") === PLAIN.replace("3 mm", "4 mm"));
  await until("no fault", () => shown.evaluate(() => !document.querySelector("#cord--diameter[aria-invalid]")));
});

story("a section that was not there yet is written by the form", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.go("#/panel/./making");
  await shown.waitForSelector("#pace--knots-per-minute");
  await field(shown, "pace--knots-per-minute", "6");
  await until("written", () => room.text("project.toml").includes("[pace]\nknots-per-minute = 6\n"));
  assert.ok(room.text("project.toml").startsWith("# Mine.\nformat = 1\n") && room.text("project.toml").includes('maker = "Ada"   # me'));
  await field(shown, "-subtitle".replace("-s", "--s"), "Two words");
  await until("the subtitle", () => room.text("project.toml").includes('subtitle = "Two words"'));
  await h.panel(".");
  await h.says("Hours");
});

story("what she types in the form is not taken from her", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.go("#/panel/./making");
  await shown.waitForSelector("#--subtitle");
  await shown.focus("#--subtitle");
  await shown.keyboard.type("Half a");
  room.write("project.toml", PLAIN.replace('"Ada"', '"Bea"').replace('"Plain"', '"Plainer"'));
  await h.says("Plainer");
  await pause(500);
  await shown.keyboard.type(" word");
  await shown.keyboard.press("Tab");
  await until("the subtitle", () => room.text("project.toml").includes('subtitle = "Half a word"'));
  assert.ok(room.text("project.toml").includes('maker = "Bea"   # me'));
  await until("the other change is shown", () => shown.$eval("#--maker", (e) => e.value === "Bea"));
  assert.equal(await shown.$eval("#--subtitle", (e) => e.value), "Half a word");
});

story("points of a list are written one by one, in her own language", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await shown.select("#language", "de-DE");
  await h.go("#/panel/./making");
  await h.says("Untertitel");
  await shown.waitForSelector("#hanging--lower-edge");
  const point = async (at, values) => {
    for (const [n, value] of values.entries()) {
      await shown.evaluate((line, input, to) => {
        const field = document.querySelectorAll(".points .point")[line].querySelectorAll("input")[input];
        field.value = to;
        field.dispatchEvent(new Event("change"));
      }, at, n, value);
    }
  };
  await point(0, ["0 cm", "1 cm"]);
  await until("the first", () => /lower-edge = \[ *\{ *at = "0 cm", depth = "1 cm" *\} *\]/.test(room.text("project.toml")));
  await until("a line for the next", () => shown.$$eval(".points .point", (all) => all.length === 2));
  await point(1, ["30 cm", "2 cm"]);
  await until("the second", () => /"1 cm" *\}, *\{ *at = "30 cm", depth = "2 cm" *\}/.test(room.text("project.toml")));
  await until("shown", () => shown.$$eval(".points .point", (all) => all.length === 3));
  await shown.evaluate(() => document.querySelector(".points .point button").click());
  await until("the first is out", () => /lower-edge = \[ *\{ *at = "30 cm", depth = "2 cm" *\} *\]/.test(room.text("project.toml")));
});

story("rows are tied one after the other, and the place is kept", "tablet", async ({ room, open, h, shown }) => {
  room.sample("two-pears");
  await open();
  await h.go("#/panel/two-pears/tying");
  await h.says("Row H1");
  await h.press("Tied");
  await h.press("Tied");
  await h.says("Row H3");
  await shown.reload();
  await h.ready();
  await h.says("Row H3");
  await h.press("Back a row");
  await h.says("Row H2");
});

story("pages are seen, composed to a file and proofed", "desktop", async ({ room, open, h, shown }) => {
  room.sample("two-pears");
  await open();
  await h.go("#/panel/two-pears/pages");
  await until("pages", () => shown.$$eval(".sheets img", (all) => all.length > 5), 60_000);
  await until("the first is drawn", () => shown.$eval(".sheets img", (e) => e.naturalWidth >= 400), 60_000);
  await shown.select("#pages-edition", "materials");
  await until("fewer pages", () => shown.$$eval(".sheets img", (all) => all.length > 0 && all.length < 5), 60_000);
  await h.press("Compose to a file");
  await until("made", () => shown.evaluate(() => document.body.innerText.includes("Done.")), 90_000);
  const name = await shown.$eval(".result a", (e) => e.textContent);
  assert.equal(room.bytes("two-pears", name).subarray(0, 5).toString(), "%PDF-");
  const said = await shown.$eval(".result pre", (e) => e.textContent);
  assert.match(said, /as the project says/);
  const status = await shown.evaluate((href) => fetch(href).then((answer) => answer.headers.get("content-type")), await shown.$eval(".result a", (e) => e.getAttribute("href")));
  assert.equal(status, "application/pdf");
});

story("an earlier state is looked at and brought back", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  const first = room.text("chart.txt");
  await open();
  await h.panel(".");
  await h.yarn("clay");
  for (const column of [0, 1, 2]) {
    await h.knot(column, 0);
    await until("painted", () => room.text("chart.txt")[column] === "c");
  }
  await h.go("#/panel/./earlier");
  await shown.waitForSelector(".earlier li");
  assert.equal(await shown.$$eval(".earlier li", (all) => all.length), 4);
  await h.press("As it was at first");
  await h.says("Bring this back");
  await h.press("Bring this back");
  await until("as at first", () => room.text("chart.txt") === first);
  await h.press("Undo");
  await until("and undone", () => room.text("chart.txt").startsWith("cccA"));
});

story("a new panel is begun, painted, composed and proofed without the terminal", "desktop", async ({ room, open, h, shown }) => {
  await open();
  await h.says("There is no panel in this folder yet");
  await field(shown, "begin-title", "Été au port");
  await field(shown, "begin-columns", "20");
  await field(shown, "begin-rows", "16");
  await h.press("Begin");
  await shown.waitForSelector("canvas.panel");
  await h.panel("ete-au-port");
  await h.yarn("navy");
  await h.press("A block");
  await h.stroke([4, 4], [9, 9]);
  await until("the block is in the file", () => room.text("ete-au-port", "chart.txt").split("\n")[5] === "CCCCNNNNNNCCCCCCCCCC");
  await h.go("#/panel/ete-au-port/pages");
  await shown.waitForSelector("#pages-edition");
  await shown.select("#pages-edition", "chart");
  await h.press("Compose to a file");
  await until("made", () => shown.evaluate(() => document.body.innerText.includes("Done.")), 90_000);
});

story("numbers that are typed quickly are those that the panel has", "desktop", async ({ room, open, h, shown }) => {
  await open();
  await h.says("There is no panel in this folder yet");
  const { held, release } = await holding(shown, "/api/sized");
  await field(shown, "begin-title", "Quick");
  await field(shown, "begin-columns", "20");
  await held();
  await field(shown, "begin-rows", "16");
  await release();
  await pause(300);
  await h.press("Begin");
  await shown.waitForSelector("canvas.panel");
  const lines = room.text("quick", "chart.txt").trim().split("\n");
  assert.deepEqual([lines.length, lines[0].length], [16, 20]);
});

story("a copy of another panel takes its yarns and its knots", "desktop", async ({ room, open, h, shown }) => {
  room.sample("two-pears");
  await open();
  await h.says("Two Pears");
  await field(shown, "begin-title", "Three Pears");
  await shown.select("#begin-like", "two-pears");
  await h.press("Take its knots too");
  await h.press("Begin");
  await shown.waitForSelector("canvas.panel");
  await h.panel("three-pears");
  assert.equal(await h.title(), "Three Pears");
  assert.ok(room.bytes("three-pears", "chart.png").equals(room.bytes("two-pears", "chart.png")));
  assert.ok(room.text("three-pears", "project.toml").includes("# A small panel in two yarns"));
});

story("a new panel by its finished size", "desktop", async ({ room, open, h, shown }) => {
  await open();
  await shown.waitForSelector("#begin-width");
  await field(shown, "begin-title", "Window");
  // The starter's gauge: 20 inches by 30 centimetres, as the swatch of its project says.
  await field(shown, "begin-width", "20 in");
  await until("columns", () => shown.$eval("#begin-columns", (e) => Number(e.value) > 60));
  await field(shown, "begin-height", "30 cm");
  await until("rows", () => shown.$eval("#begin-rows", (e) => Number(e.value) !== 56));
  const [columns, rows] = await shown.evaluate(() => ["begin-columns", "begin-rows"].map((id) => Number(document.getElementById(id).value)));
  await h.press("Begin");
  await shown.waitForSelector("canvas.panel");
  const lines = room.text("window", "chart.txt").trimEnd().split("\n");
  assert.equal(lines.length, rows);
  assert.equal(lines[0].length, columns);
  await h.panel("window");
  // A column is so wide that they come nearest to what was asked for.
  const { across, down } = await shown.evaluate(() => fetch("/api/figures?panel=window&language=en-GB").then((a) => a.json()).then((made) => made.look));
  assert.ok(Math.abs(columns * across - 508) <= across / 2, `${columns} columns of ${across} mm`);
  assert.ok(Math.abs(rows * down - 300) <= down / 2, `${rows} rows of ${down} mm`);
  await shown.evaluate(() => history.back());
  await shown.waitForSelector("#begin-width");
  await field(shown, "begin-width", "20 miles");
  await h.says("is no measure");
});

/** A picture for a file input, drawn by the browser itself. */
const drawPicture = async (shown, id, name, kind, draw) => {
  await shown.waitForSelector(`#${id}`);
  await shown.evaluate(async (to, called, type, paint) => {
    const canvas = document.createElement("canvas");
    new Function("canvas", "on", paint)(canvas, canvas.getContext("2d"));
    const blob = await new Promise((done) => canvas.toBlob(done, type));
    const given = new DataTransfer();
    given.items.add(new File([blob], called, { type }));
    const input = document.getElementById(to);
    input.files = given.files;
    input.dispatchEvent(new Event("change"));
  }, id, name, kind, draw);
};
const HILLS = `
  canvas.width = 640; canvas.height = 480;
  const sky = on.createLinearGradient(0, 0, 0, 480);
  sky.addColorStop(0, "#2b4a7a"); sky.addColorStop(0.6, "#e8b07a");
  on.fillStyle = sky; on.fillRect(0, 0, 640, 480);
  for (const [y, colour] of [[300, "#6b5a4a"], [360, "#3d4a2e"], [420, "#1f2a1c"]]) {
    on.fillStyle = colour; on.beginPath(); on.moveTo(0, 480);
    for (let x = 0; x <= 640; x += 8) on.lineTo(x, y + 30 * Math.sin(x / 70 + y));
    on.lineTo(640, 480); on.fill();
  }
  const pixels = on.getImageData(0, 0, 640, 480);
  for (let i = 0, seed = 7; i < pixels.data.length; i += 1) { seed = (seed * 1103515245 + 12345) % 2147483648; if (i % 4 < 3) pixels.data[i] += (seed / 2147483648) * 14 - 7; }
  on.putImageData(pixels, 0, 0);`;

story("from a photograph to a composed, proofed booklet without the terminal", "desktop", async ({ room, open, h, shown }) => {
  await open();
  await h.says("without header and fringe");
  await h.press("From a picture or an old chart");
  await drawPicture(shown, "picture-file", "evening-hills.png", "image/png", HILLS);
  await h.says("60 columns");
  assert.equal(await shown.$eval("#begin-title", (e) => e.value), "Evening hills");
  await field(shown, "picture-columns", "30");
  await field(shown, "picture-yarns", "4");
  await h.says("30 columns");
  const whole = await shown.$eval(".right [role=status]", (e) => e.textContent);
  // The left half alone, by drawing over it, is as high for half the width.
  const box = await shown.$eval("canvas.photograph", (e) => { const b = e.getBoundingClientRect(); return { x: b.x, y: b.y, w: b.width, h: b.height }; });
  await shown.mouse.move(box.x + 1, box.y + 1);
  await shown.mouse.down();
  await shown.mouse.move(box.x + box.w / 2, box.y + box.h - 1, { steps: 5 });
  await shown.mouse.up();
  await until("drawn anew", () => shown.$eval(".right [role=status]", (e, was) => e.textContent !== was && e.textContent.includes("30 columns"), whole));
  await shown.$eval("#picture-turn", (e) => { e.value = "2.5"; e.dispatchEvent(new Event("input")); });
  await until("trying", () => shown.$eval(".right [role=status]", (e) => e.textContent.includes("being drawn")));
  await until("straightened", () => shown.$eval(".right [role=status]", (e) => e.textContent.includes("30 columns")));
  const rows = await shown.$eval(".right [role=status]", (e) => Number(/, (\d+) rows/.exec(e.textContent)[1]));
  await h.press("Begin");
  await shown.waitForSelector("canvas.panel");
  const lines = room.text("evening-hills", "chart.txt").trimEnd().split("\n").filter((line) => !line.startsWith("#"));
  assert.equal(lines.length, rows);
  assert.ok(lines.every((line) => line.length === 30));
  assert.ok(new Set(lines.join("")).size <= 4);
  assert.ok(room.text("evening-hills", "project.toml").includes('title = "Evening hills"'));
  await h.go("#/panel/evening-hills/pages");
  await shown.waitForSelector("#pages-edition");
  await h.press("Compose to a file");
  await until("made", () => shown.evaluate(() => document.body.innerText.includes("Done.")), 90_000);
  const name = await shown.$eval(".result a", (e) => e.textContent);
  assert.equal(room.bytes("evening-hills", name).subarray(0, 5).toString(), "%PDF-");
  assert.deepEqual(room.list(".hitchpress").filter((one) => one.startsWith("trial-")).length > 0, true, "trials lie where the shelf does not look");
});

// A chart of 12 by 10 squares; one of them is smudged.
const SQUARES = `
  const side = 24; canvas.width = 12 * side + 40; canvas.height = 10 * side + 40;
  on.fillStyle = "#fff"; on.fillRect(0, 0, canvas.width, canvas.height);
  for (let row = 0; row < 10; row += 1) for (let column = 0; column < 12; column += 1) {
    on.fillStyle = (column + row) % 5 === 0 ? "#20508c" : row > 6 ? "#c07030" : "#f0e6c8";
    on.fillRect(20 + column * side, 20 + row * side, side, side);
    // Half of it is another colour's.
    if (column === 4 && row === 3) { on.fillStyle = "#20508c"; on.fillRect(20 + column * side, 20 + row * side, side / 2, side); }
  }
  on.strokeStyle = "#333"; on.lineWidth = 1;
  for (let n = 0; n <= 12; n += 1) { on.beginPath(); on.moveTo(20.5 + n * side, 20); on.lineTo(20.5 + n * side, 20 + 10 * side); on.stroke(); }
  for (let n = 0; n <= 10; n += 1) { on.beginPath(); on.moveTo(20, 20.5 + n * side); on.lineTo(20 + 12 * side, 20.5 + n * side); on.stroke(); }`;

story("from an old chart, its doubtful squares settled", "desktop", async ({ room, open, h, shown }) => {
  await open();
  await h.go("#/picture");
  await shown.waitForSelector("#picture-file");
  await drawPicture(shown, "picture-file", "old.png", "image/png", SQUARES);
  await h.says("columns");
  await shown.select("#picture-kind", "chart");
  await h.says("12 columns, 10 rows");
  await field(shown, "begin-title", "Old chart");
  const settled = await shown.evaluate(() => {
    const select = document.querySelector(".settling select");
    if (!select) return null;
    const other = [...select.options].map((one) => one.value).find((one) => one !== select.value && one !== ".");
    select.value = other;
    select.dispatchEvent(new Event("change"));
    const [, row, column] = /Row (\d+), column (\d+)/.exec(select.getAttribute("aria-label"));
    return { other, row: Number(row), column: Number(column) };
  });
  assert.ok(settled, "a square is in doubt");
  await h.press("Begin");
  await shown.waitForSelector("canvas.panel");
  await until("settled", () => room.text("old-chart", "chart.txt").split("\n")[settled.row - 1][settled.column - 1] === settled.other);
  const lines = room.text("old-chart", "chart.txt").trimEnd().split("\n");
  assert.equal(lines.length, 10);
  assert.ok(lines.every((line) => line.length === 12));
});

story("what is being made is stopped, and nothing of it is left", "desktop", async ({ room, open, h, shown }) => {
  room.sample("low-water-heron");
  await open();
  await h.go("#/panel/low-water-heron/pages");
  await h.says("Compose to a file");
  const before = room.list("low-water-heron").sort();
  await h.press("Make the folder for a shop");
  await until("it is being made", () => shown.$(".result progress"));
  await h.press("Stop");
  await h.says("Stopped. Only what was whole already is kept.");
  assert.deepEqual(room.list("low-water-heron").sort(), before);
  await h.press("Compose to a file");
  await until("made", () => shown.evaluate(() => document.body.innerText.includes("Done.")), 120_000);
});

story("a file that is no picture is told, and nothing is begun", "desktop", async ({ room, open, h, shown }) => {
  await open();
  await h.go("#/picture");
  await shown.waitForSelector("#picture-file");
  await shown.evaluate(() => {
    const given = new DataTransfer();
    given.items.add(new File(["not a picture"], "letter.png", { type: "image/png" }));
    const input = document.getElementById("picture-file");
    input.files = given.files;
    input.dispatchEvent(new Event("change"));
  });
  await h.says("Nothing came of this picture");
  assert.equal(await shown.$eval(".taking", (e) => e.hidden), true);
  assert.deepEqual(room.list(".").filter((one) => !one.startsWith(".")), []);
});

story("a picture to trace lies under the knots, and is kept over a reload", "desktop", async ({ room, open, h, shown }) => {
  plain(room);
  await open();
  await h.panel(".");
  await h.press("A picture to trace");
  await drawPicture(shown, "trace-file", "hills.png", "image/png", HILLS);
  const traced = () => shown.evaluate(() => { const t = document.querySelector("canvas.panel").view.traced; return t && { x: t.x, y: t.y, width: t.width, fade: t.fade }; });
  await until("it lies there", async () => (await traced())?.width === 8);
  await field(shown, "trace-width", "6");
  await shown.$eval("#trace-fade", (e) => { e.value = "0.7"; e.dispatchEvent(new Event("input")); });
  await h.click("#trace-move");
  await h.stroke([2, 2], [4, 3]);
  const moved = await traced();
  assert.ok(Math.abs(moved.x - 2) < 0.1 && Math.abs(moved.y - 1) < 0.1 && moved.width === 6 && moved.fade === 0.7, JSON.stringify(moved));
  assert.ok(!room.text("chart.txt").includes("c"), "moving it paints nothing");
  await h.click("#trace-move");
  await h.yarn("clay");
  await h.knot(0, 0);
  await until("painted over it", () => room.text("chart.txt").startsWith("cA"));
  await shown.reload();
  await h.ready();
  await h.panel(".");
  await until("it is there again", async () => JSON.stringify(await traced()) === JSON.stringify(moved));
  await h.press("A picture to trace");
  await h.press("Take the picture away");
  assert.equal(await traced(), null);
});

story("copies with the names of buyers are made of a finished file", "desktop", async ({ room, open, h, shown }) => {
  room.sample("two-pears");
  await open();
  await h.go("#/panel/two-pears/pages");
  await shown.waitForSelector("#pages-edition");
  await shown.select("#pages-edition", "materials");
  await h.press("Copies with a buyer");
  await h.says("There is no finished file yet");
  await h.press("Compose to a file");
  await until("made", () => shown.evaluate(() => document.body.innerText.includes("Done.")), 90_000);
  await until("it can be chosen", () => shown.$eval("#copies-file", (e) => e.options.length === 1 && !e.parentElement.hidden));
  await shown.$eval("#copies-buyers", (e) => { e.value = "name,order\nOlive Marsh,17\nRuth Fen,18\n"; });
  await h.press("Make the copies");
  await until("copies", () => shown.$$eval(".result a", (all) => all.length === 2), 60_000);
  const names = await shown.$$eval(".result a", (all) => all.map((a) => a.textContent));
  for (const name of names) assert.equal(room.bytes("two-pears", ...name.split("/")).subarray(0, 5).toString(), "%PDF-");
  const kind = await shown.evaluate((href) => fetch(href).then((answer) => answer.headers.get("content-type")), await shown.$eval(".result a", (e) => e.getAttribute("href")));
  assert.equal(kind, "application/pdf");
});

// A frame is to take 8 ms of script and the first paint 200 ms: .ci/full holds them to that (`HITCHPRESS_SPEED`), and every
// run prints what was measured. A machine that is slow, or does other things beside, takes longer; so many times longer, and
// it is not the machine.
const SLOWER = process.env.HITCHPRESS_SPEED ? 1 : 3;

story("a panel of 400 by 600 knots is moved and painted frame by frame", "desktop", async ({ room, open, h, shown }) => {
  const letters = ["A", "B", "c"];
  const line = (row) => Array.from({ length: 400 }, (_, column) => letters[(Math.floor(column / 3) * 7 + Math.floor(row / 2) * 5 + ((column * row) % 11 === 0 ? 1 : 0)) % 3]).join("");
  plain(room, rows(...Array.from({ length: 600 }, (_, row) => line(row))));
  await open();
  await h.panel(".");
  const middle = await shown.$eval("canvas.panel", (e) => { const b = e.getBoundingClientRect(); return { x: b.x + b.width / 2, y: b.y + b.height / 2 }; });
  await shown.mouse.move(middle.x, middle.y);
  await shown.evaluate(() => document.querySelector("canvas.panel").view.zoom(8));
  await pause(800);
  await shown.evaluate(() => { document.querySelector("canvas.panel").view.spent.length = 0; });
  // The processor's own time in scripts, event handlers included: a clock on the wall would measure what else is running.
  const session = await shown.createCDPSession();
  await session.send("Performance.enable", { timeDomain: "threadTicks" });
  const scripts = async () => (await session.send("Performance.getMetrics")).metrics.find((one) => one.name === "ScriptDuration").value * 1000;
  const before = await scripts();
  for (let turn = 0; turn < 60; turn += 1) await shown.mouse.wheel({ deltaX: turn % 20 < 10 ? 40 : -40, deltaY: 30 });
  await h.yarn("clay");
  await shown.mouse.move(middle.x - 200, middle.y - 100);
  await shown.mouse.down();
  await shown.mouse.move(middle.x + 200, middle.y + 100, { steps: 60 });
  await shown.mouse.up();
  await h.saved();
  const taken = (await scripts()) - before;
  const spent = (await shown.evaluate(() => document.querySelector("canvas.panel").view.spent)).sort((a, b) => a - b);
  assert.ok(spent.length > 30, `${spent.length} frames`);
  const at = (share) => spent[Math.floor((spent.length - 1) * share)].toFixed(1);
  console.log(`        ${spent.length} frames, ${(taken / spent.length).toFixed(1)} ms of script each; by the clock half within ${at(0.5)} ms, 95 of 100 within ${at(0.95)} ms`);
  assert.ok(taken > 0 && taken / spent.length <= 8 * SLOWER, `${taken / spent.length} ms of script for a frame`);
});

story("the first paint comes at once", "desktop", async ({ room, open, h, shown }) => {
  room.sample("two-pears");
  await open();
  let best = Infinity;
  for (let turn = 0; turn < 5; turn += 1) {
    await shown.reload();
    await h.ready();
    best = Math.min(best, await shown.evaluate(() => performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? Infinity));
  }
  console.log(`        first paint: ${best.toFixed(0)} ms`);
  assert.ok(best < 200 * SLOWER, `${best} ms`);
});

story("at 200 % everything is there, and nothing is wider than the screen", "desktop", async ({ room, open, h, shown }) => {
  for (const sample of ["two-pears", "low-water-heron"]) room.sample(sample);
  await open();
  // What a browser does when a page of 1440 by 900 is enlarged to twice its size.
  await shown.setViewport({ width: 720, height: 450, deviceScaleFactor: 2 });
  for (const [name, hash] of SCREENS) {
    await h.go(hash);
    await pause(700);
    const wide = await shown.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(wide <= 0, `${name} is ${wide} pixels too wide`);
    assert.ok(await shown.$("h1"), name);
  }
});

// ---- Every screen at every size: nothing that axe-core holds against it, and nothing wider than the screen ----

const SCREENS = [
  ["shelf", "#/"],
  ["picture", "#/picture"],
  ["panel", "#/panel/low-water-heron"],
  ...["yarns", "making", "tying", "pages", "earlier"].map((part) => [part, `#/panel/low-water-heron/${part}`]),
];
for (const size of Object.keys(SIZES)) {
  for (const scheme of ["light", "dark"]) {
    story(`every screen can be used by everybody: ${size}, ${scheme}`, size, async ({ room, open, h, shown }) => {
      for (const sample of ["two-pears", "low-water-heron"]) room.sample(sample);
      await shown.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }, { name: "prefers-reduced-motion", value: "reduce" }]);
      await open();
      for (const [name, hash] of SCREENS) {
        await h.go(hash);
        await pause(900);
        if (name === "picture") {
          await drawPicture(shown, "picture-file", "hills.png", "image/png", HILLS);
          await until("tried", () => shown.$eval("canvas.drawn", (e) => !e.hidden), 120_000);
        }
        if (name === "pages") await until("pages", () => shown.$$eval(".sheets img", (all) => all.length > 0), 60_000);
        await shown.evaluate(axe);
        const found = await shown.evaluate(() => window.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] }));
        const told = found.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target.join(" ")).slice(0, 4).join("; ")}`);
        assert.deepEqual(told, [], `${name} at ${size}`);
        const wide = await shown.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
        assert.ok(wide <= 0, `${name} at ${size} is ${wide} pixels too wide`);
        if (process.env.HITCHPRESS_PICTURES) await shown.screenshot({ path: `${process.env.HITCHPRESS_PICTURES}/${name}-${size}-${scheme}.png` });
      }
    });
  }
}

const words = process.argv.slice(2);
const wanted = stories.filter(([name]) => words.length === 0 || words.some((word) => name.includes(word)));
const { opened, end } = await browser();
let failed = 0;
for (const [name, size, tell] of wanted) {
  const ground = room();
  let running = null;
  const { shown, wrong, close } = await page(opened, size);
  const from = Date.now();
  try {
    const h = hands(shown);
    const enter = async () => {
      await shown.goto(running.address);
      await h.ready();
    };
    await tell({
      room: ground,
      shown,
      h,
      board: () => running,
      open: async (options) => {
        running = await start(ground.folder, options);
        await enter();
      },
      restart: async () => {
        const { port } = running;
        running = await start(ground.folder);
        assert.equal(running.port, port, "the port is kept");
      },
      reopen: async () => {
        await running.stop();
        running = await start(ground.folder);
        await enter();
      },
      other: async () => {
        // A second page of the same browser: it has the cookie.
        const second = await shown.browserContext().newPage();
        await second.setViewport(SIZES[size]);
        await fromDisk(second);
        await second.goto(`http://127.0.0.1:${running.port}/`);
        const its = hands(second);
        await its.ready();
        return { shown: second, h: its, close: () => second.close() };
      },
    });
    assert.deepEqual(wrong, [], "errors on the page");
    console.log(`told    ${name} (${Date.now() - from} ms)`);
  } catch (error) {
    failed += 1;
    console.log(`FAILED  ${name}: ${error.message}`);
    if (process.env.HITCHPRESS_PICTURES) await shown.screenshot({ path: `${process.env.HITCHPRESS_PICTURES}/failed-${failed}.png` }).catch(() => {});
  }
  await running?.stop("SIGKILL");
  await close();
  ground.end();
}
await end();
console.log(`${wanted.length - failed} of ${wanted.length} stories told`);
process.exitCode = failed || wanted.length === 0 ? 1 : 0;
