// Types that several files share; there is nothing to run here.

/** @typedef {{letter: string, name: string, colour: string}} Yarn */
/** @typedef {{row: number, column: number | null}} Place */
/**
 * @typedef {{id: string, message: string, hints: string[], file: string | null, line: number | null,
 *   column: number | null, places: Place[]}} Told
 */
/**
 * @typedef {{letter: string, knots: string, used: boolean, buy: string | null, balls: number | null,
 *   price: string | null, ends: number | null, symbol: string | null}} YarnFigures
 */
/**
 * @typedef {{size: string, fringe: string | null, columns: number, rows: number, headerRows: number, knots: string,
 *   headerKnots: string, hours: [string, string] | null, ends: string,
 *   mostWaiting: {lengths: number, row: number | null} | null, cord: string, cords: number, cordLength: string,
 *   spools: number | null, yarnPrice: string | null, cordPrice: string | null, currency: string | null,
 *   mass: string}} PanelFigures
 */
/** @typedef {{starts: number[][], cuts: number[][], led: number[][]}} Marks */
/**
 * @typedef {{across: number, down: number, leftToRight: boolean, headerRows: number, headerLetter: string,
 *   fringe: number, cord: string}} Look
 */
/**
 * @typedef {{n: number, faults: Told[], advice: Told[], panel?: PanelFigures, yarns?: YarnFigures[], marks?: Marks,
 *   look?: Look}} Figures
 */
/**
 * @typedef {{n: number, title: string, columns: number | null, rows: number | null, cells: string | null,
 *   yarns: Yarn[], isPicture: boolean, undo: string | null, redo: string | null}} Sketch
 */
/** @typedef {{columns: number, rows: number, cells: Uint8Array}} Grid */
/** @typedef {{left: number, top: number, right: number, bottom: number}} Box both ends belong to it */

/** The cell of a grid that has no knot. */
export const BARE = 255;
