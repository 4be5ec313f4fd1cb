// Knots as they are tied, or squares as they are printed, drawn in tiles that are kept until a knot of theirs changes.

import { BARE } from "./grid.js";

/**
 * @typedef {{grid: Grid, yarns: Yarn[], symbols: (Path2D | null)[], leftToRight: boolean, printed: boolean, bare: string,
 *   paper: string}} Scene
 */

// How a knot lies, in row pitches: as it is drawn on paper.
const WRAPS = [0.26, 0.76];
const THICK = 0.46;
const LEAN = 0.3;

/** Cells a side of a tile. */
export const TILE = 24;

/** @param {string} hex */
function channels(hex) {
  return [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16) / 255);
}

/** A colour in Oklab with its lightness moved. @param {string} hex @param {number} by */
function moved(hex, by) {
  const [r, g, b] = channels(hex).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
  const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
  const m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
  const s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
  const L = Math.min(1, Math.max(0, 0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s + by));
  const A = 1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s;
  const B = 0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s;
  const cubes = [
    (L + 0.3963377774 * A + 0.2158037573 * B) ** 3,
    (L - 0.1055613458 * A - 0.0638541728 * B) ** 3,
    (L - 0.0894841775 * A - 1.291485548 * B) ** 3,
  ];
  const linear = [
    4.0767416621 * cubes[0] - 3.3077115913 * cubes[1] + 0.2309699292 * cubes[2],
    -1.2684380046 * cubes[0] + 2.6097574011 * cubes[1] - 0.3413193965 * cubes[2],
    -0.0041960863 * cubes[0] - 0.7034186147 * cubes[1] + 1.707614701 * cubes[2],
  ];
  const byte = (/** @type {number} */ c) => {
    const v = c <= 0.0031308 ? 12.92 * c : 1.055 * c ** (1 / 2.4) - 0.055;
    return Math.round(255 * Math.min(1, Math.max(0, v)));
  };
  return `rgb(${linear.map(byte).join(" ")})`;
}

/** Luminance by WCAG 2.2. @param {string} hex */
export function luminance(hex) {
  const [r, g, b] = channels(hex).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

/** @type {Map<string, {shade: string, light: string, ink: string}>} */
const tones = new Map();

/** @param {string} hex */
function toned(hex) {
  let found = tones.get(hex);
  if (!found) {
    const dark = luminance(hex) < 0.18;
    found = { shade: moved(hex, -0.16), light: moved(hex, 0.085), ink: dark ? "#fff" : "#000" };
    tones.set(hex, found);
  }
  return found;
}

/**
 * Draws a rectangle of cells; the canvas is moved so that the panel's corner is at (0, 0).
 * @param {CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D} on
 * @param {Scene} scene
 * @param {Box} part
 * @param {number} across width of a cell in pixels
 * @param {number} down height of a cell
 */
export function cells(on, scene, part, across, down) {
  if (scene.printed) squares(on, scene, part, across, down);
  else knots(on, scene, part, across, down);
}

/** @type {typeof cells} */
function knots(on, scene, part, across, down) {
  const { grid, yarns } = scene;
  const wrapped = across >= 5 && down >= 3.5;
  const lit = across >= 9 && down >= 6;
  bareCords(on, scene, part, across, down);
  /** @type {(Path2D | undefined)[]} */
  const wraps = [];
  /** @type {(Path2D | undefined)[]} */
  const lights = [];
  const thick = THICK * down;
  for (let row = part.top; row <= part.bottom; row += 1) {
    const lean = (row % 2 === 0) === scene.leftToRight ? 1 : -1;
    let column = part.left;
    while (column <= part.right) {
      const yarn = grid.cells[row * grid.columns + column];
      let end = column;
      while (end < part.right && grid.cells[row * grid.columns + end + 1] === yarn) end += 1;
      if (yarn !== BARE) {
        const colour = yarns[yarn].colour;
        on.fillStyle = wrapped ? toned(colour).shade : colour;
        const [x, y] = [Math.round(column * across), Math.round(row * down)];
        on.fillRect(x, y, Math.round((end + 1) * across) - x, Math.round((row + 1) * down) - y);
        if (wrapped) {
          const path = (wraps[yarn] ??= new Path2D());
          const light = lit ? (lights[yarn] ??= new Path2D()) : null;
          const half = Math.max(0.5, (across - thick * 0.86) / 2);
          const drop = (LEAN / 2) * down * lean;
          for (let c = column; c <= end; c += 1) {
            const middle = (c + 0.5) * across;
            for (const wrap of WRAPS) {
              const height = (row + wrap) * down;
              path.moveTo(middle - half, height - drop);
              path.lineTo(middle + half, height + drop);
            }
            if (light) {
              const height = (row + WRAPS[0] - 0.2 * THICK) * down;
              const part = Math.max(0.5, (across - thick) / 2) * 0.72;
              light.moveTo(middle - part, height - drop * 0.72);
              light.lineTo(middle + part, height + drop * 0.72);
            }
          }
        }
      }
      column = end + 1;
    }
  }
  on.lineCap = "round";
  wraps.forEach((path, yarn) => {
    if (!path) return;
    on.strokeStyle = yarns[yarn].colour;
    on.lineWidth = thick;
    on.stroke(path);
  });
  lights.forEach((path, yarn) => {
    if (!path) return;
    on.strokeStyle = toned(yarns[yarn].colour).light;
    on.lineWidth = 0.34 * thick;
    on.stroke(path);
  });
}

/** @type {typeof cells} */
function bareCords(on, scene, part, across, down) {
  const { grid } = scene;
  on.fillStyle = scene.bare;
  const thick = Math.max(1, across * 0.34);
  for (let row = part.top; row <= part.bottom; row += 1) {
    for (let column = part.left; column <= part.right; column += 1) {
      if (grid.cells[row * grid.columns + column] !== BARE) continue;
      const y = Math.round(row * down);
      on.fillRect((column + 0.5) * across - thick / 2, y, thick, Math.round((row + 1) * down) - y);
    }
  }
}

/** @type {typeof cells} */
function squares(on, scene, part, across, down) {
  const { grid, yarns, symbols } = scene;
  const side = Math.min(across, down);
  const drawn = side >= 6;
  /** @type {(Path2D | undefined)[]} */
  const signs = [];
  for (let row = part.top; row <= part.bottom; row += 1) {
    const [y, bottom] = [Math.round(row * down), Math.round((row + 1) * down)];
    for (let column = part.left; column <= part.right; column += 1) {
      const yarn = grid.cells[row * grid.columns + column];
      const [x, right] = [Math.round(column * across), Math.round((column + 1) * across)];
      on.fillStyle = yarn === BARE ? scene.paper : yarns[yarn].colour;
      on.fillRect(x, y, right - x, bottom - y);
      const symbol = yarn === BARE ? null : symbols[yarn];
      if (drawn && symbol) {
        const path = (signs[yarn] ??= new Path2D());
        path.addPath(symbol, new DOMMatrix([side * 0.78, 0, 0, side * 0.78, (column + 0.5) * across, (row + 0.5) * down]));
      }
    }
  }
  signs.forEach((path, yarn) => {
    if (!path) return;
    on.fillStyle = toned(yarns[yarn].colour).ink;
    on.fill(path, "nonzero");
  });
  if (side >= 4) lines(on, part, across, down);
}

/** @param {CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D} on @param {Box} part @param {number} across @param {number} down */
function lines(on, part, across, down) {
  for (const heavy of [false, true]) {
    on.fillStyle = heavy ? "rgb(60 60 60 / 75%)" : "rgb(90 90 90 / 35%)";
    const thick = heavy ? 2 : 1;
    for (let column = part.left; column <= part.right + 1; column += 1) {
      if ((column % 10 === 0) !== heavy) continue;
      on.fillRect(Math.round(column * across) - (heavy ? 1 : 0), Math.round(part.top * down), thick, Math.round((part.bottom + 1) * down) - Math.round(part.top * down));
    }
    for (let row = part.top; row <= part.bottom + 1; row += 1) {
      if ((row % 10 === 0) !== heavy) continue;
      on.fillRect(Math.round(part.left * across), Math.round(row * down) - (heavy ? 1 : 0), Math.round((part.right + 1) * across) - Math.round(part.left * across), thick);
    }
  }
}

/**
 * A small drawing of a whole panel.
 * @param {HTMLCanvasElement} canvas
 * @param {Grid} grid
 * @param {Yarn[]} yarns
 * @param {number} most most pixels a side, in CSS
 * @param {[number, number] | null} [cell] its proportions
 */
export function small(canvas, grid, yarns, most, cell) {
  const ratio = window.devicePixelRatio || 1;
  const { columns, rows } = grid;
  const [wide, high] = cell ?? [1.67, 1];
  const scale = (most * ratio) / Math.max(columns * wide, rows * high);
  const [across, down] = [wide * scale, high * scale];
  canvas.width = Math.max(1, Math.round(columns * across));
  canvas.height = Math.max(1, Math.round(rows * down));
  canvas.style.width = `${canvas.width / ratio}px`;
  canvas.style.height = `${canvas.height / ratio}px`;
  const on = canvas.getContext("2d");
  const scene = { grid, yarns, symbols: [], leftToRight: true, printed: false, bare: "#d8ccb4", paper: "#fff" };
  if (on) cells(on, scene, { left: 0, top: 0, right: columns - 1, bottom: rows - 1 }, across, down);
}
