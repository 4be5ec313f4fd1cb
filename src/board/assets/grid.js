// Pure functions on a grid of knots: which cells a stroke, a stretch, a block or an area has, and what a part becomes.

/** @typedef {{column: number, row: number}} Cell */

/** The cell of a grid that has no knot. */
export const BARE = 255;

/** @param {Grid} grid @param {Cell} cell */
export function inside(grid, cell) {
  return cell.column >= 0 && cell.row >= 0 && cell.column < grid.columns && cell.row < grid.rows;
}

/** @param {Grid} grid @param {Cell} cell */
export function place(grid, cell) {
  return cell.row * grid.columns + cell.column;
}

/** The cells of a straight stretch, both ends included. @param {Cell} from @param {Cell} to @returns {Cell[]} */
export function stretch(from, to) {
  const across = to.column - from.column;
  const down = to.row - from.row;
  const steps = Math.max(Math.abs(across), Math.abs(down));
  const cells = [];
  for (let step = 0; step <= steps; step += 1) {
    const part = steps === 0 ? 0 : step / steps;
    cells.push({ column: Math.round(from.column + across * part), row: Math.round(from.row + down * part) });
  }
  return cells;
}

/** @param {Cell} a @param {Cell} b @returns {Box} */
export function box(a, b) {
  return {
    left: Math.min(a.column, b.column),
    right: Math.max(a.column, b.column),
    top: Math.min(a.row, b.row),
    bottom: Math.max(a.row, b.row),
  };
}

/** @param {Box} box @returns {Cell[]} */
export function block({ left, top, right, bottom }) {
  const cells = [];
  for (let row = top; row <= bottom; row += 1) {
    for (let column = left; column <= right; column += 1) cells.push({ column, row });
  }
  return cells;
}

/** All cells of one yarn that hang together with this one, side by side. @param {Grid} grid @param {Cell} from @returns {Cell[]} */
export function area(grid, from) {
  if (!inside(grid, from)) return [];
  const yarn = grid.cells[place(grid, from)];
  const seen = new Uint8Array(grid.cells.length);
  const found = [];
  const open = [from];
  seen[place(grid, from)] = 1;
  while (open.length) {
    const cell = /** @type {Cell} */ (open.pop());
    found.push(cell);
    for (const [across, down] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
      const next = { column: cell.column + across, row: cell.row + down };
      if (!inside(grid, next)) continue;
      const at = place(grid, next);
      if (seen[at] || grid.cells[at] !== yarn) continue;
      seen[at] = 1;
      open.push(next);
    }
  }
  return found;
}

/** Every cell of a yarn, in a part or in all of the grid. @param {Grid} grid @param {number} yarn @param {Box | null} part */
export function all(grid, yarn, part) {
  const within = part ?? { left: 0, top: 0, right: grid.columns - 1, bottom: grid.rows - 1 };
  return block(within).filter((cell) => grid.cells[place(grid, cell)] === yarn);
}

/**
 * Cells with their images in the axes. An axis lies before a column or row; `null` is none.
 * @param {Cell[]} cells
 * @param {{upright: number | null, level: number | null}} axes
 */
export function mirrored(cells, axes) {
  let all = cells;
  const { upright, level } = axes;
  if (upright !== null) all = all.concat(all.map((c) => ({ column: 2 * upright - 1 - c.column, row: c.row })));
  if (level !== null) all = all.concat(all.map((c) => ({ column: c.column, row: 2 * level - 1 - c.row })));
  return all;
}

/** A part as a grid of its own. @param {Grid} grid @param {Box} part @returns {Grid} */
export function cut(grid, part) {
  const columns = part.right - part.left + 1;
  const rows = part.bottom - part.top + 1;
  const cells = new Uint8Array(columns * rows);
  for (let row = 0; row < rows; row += 1) {
    const from = (part.top + row) * grid.columns + part.left;
    cells.set(grid.cells.subarray(from, from + columns), row * columns);
  }
  return { columns, rows, cells };
}

/** Left for right, or top for bottom. @param {Grid} part @param {"sides" | "ends"} what @returns {Grid} */
export function turned(part, what) {
  const cells = new Uint8Array(part.cells.length);
  for (let row = 0; row < part.rows; row += 1) {
    for (let column = 0; column < part.columns; column += 1) {
      const from = what === "sides" ? { column: part.columns - 1 - column, row } : { column, row: part.rows - 1 - row };
      cells[row * part.columns + column] = part.cells[place(part, from)];
    }
  }
  return { ...part, cells };
}

/**
 * What changes when a part is set down with its left upper corner at a cell.
 * @param {Grid} grid
 * @param {Grid} part
 * @param {Cell} corner
 * @returns {[number, number][]} place and yarn
 */
export function setDown(grid, part, corner) {
  /** @type {[number, number][]} */
  const changes = [];
  for (let row = 0; row < part.rows; row += 1) {
    for (let column = 0; column < part.columns; column += 1) {
      const cell = { column: corner.column + column, row: corner.row + row };
      if (inside(grid, cell)) changes.push([place(grid, cell), part.cells[row * part.columns + column]]);
    }
  }
  return changes;
}

/**
 * A part repeated over another place, from its own corner on in all directions.
 * @param {Grid} grid
 * @param {Box} part
 * @param {Box} over
 * @returns {[number, number][]}
 */
export function repeated(grid, part, over) {
  const columns = part.right - part.left + 1;
  const rows = part.bottom - part.top + 1;
  const wrap = (/** @type {number} */ n, /** @type {number} */ by) => ((n % by) + by) % by;
  return block(over).map((cell) => {
    const from = { column: part.left + wrap(cell.column - part.left, columns), row: part.top + wrap(cell.row - part.top, rows) };
    return [place(grid, cell), grid.cells[place(grid, from)]];
  });
}

/** How many knots of the chart each yarn ties, by its number. @param {Grid | null} grid */
export function counted(grid) {
  const counts = new Uint32Array(BARE + 1);
  for (const yarn of grid?.cells ?? []) counts[yarn] += 1;
  return counts;
}

/** Letters of a chart as numbers of yarns. @param {string} letters @param {Yarn[]} yarns */
export function numbered(letters, yarns) {
  const of = new Map(yarns.map((yarn, at) => [yarn.letter, at]));
  const all = Array.from(letters);
  const cells = new Uint8Array(all.length);
  all.forEach((letter, at) => {
    cells[at] = of.get(letter) ?? BARE;
  });
  return cells;
}

/** The letter of a cell. @param {number} yarn @param {Yarn[]} yarns */
export function letterOf(yarn, yarns) {
  return yarns[yarn]?.letter ?? ".";
}
