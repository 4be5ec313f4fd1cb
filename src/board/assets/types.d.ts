// Types that several files share. Editors and the checks read them; a page never asks for them.

export type Yarn = { letter: string; name: string; colour: string };
export type Place = { row: number; column: number | null };
export type Told = {
  id: string;
  message: string;
  hints: string[];
  file: string | null;
  line: number | null;
  column: number | null;
  places: Place[];
};
export type YarnFigures = {
  letter: string;
  knots: string;
  used: boolean;
  buy: string | null;
  balls: number | null;
  price: string | null;
  ends: number | null;
  symbol: string | null;
};
export type PanelFigures = {
  size: string;
  fringe: string | null;
  columns: number;
  rows: number;
  headerRows: number;
  knots: string;
  headerKnots: string;
  hours: [string, string] | null;
  ends: string;
  mostWaiting: { lengths: number; row: number | null } | null;
  cord: string;
  cords: number;
  cordLength: string;
  spools: number | null;
  yarnPrice: string | null;
  cordPrice: string | null;
  currency: string | null;
  mass: string;
};
export type Marks = { starts: number[][]; cuts: number[][]; led: number[][] };
export type Look = {
  across: number;
  down: number;
  leftToRight: boolean;
  headerRows: number;
  headerLetter: string;
  fringe: number;
  cord: string;
};
export type Figures = {
  n: number;
  faults: Told[];
  advice: Told[];
  panel?: PanelFigures;
  yarns?: YarnFigures[];
  marks?: Marks;
  look?: Look;
};
export type Sketch = {
  n: number;
  title: string;
  columns: number | null;
  rows: number | null;
  cells: string | null;
  yarns: Yarn[];
  isPicture: boolean;
  undo: string | null;
  redo: string | null;
};
export type Grid = { columns: number; rows: number; cells: Uint8Array };
/** Both ends belong to it. */
export type Box = { left: number; top: number; right: number; bottom: number };

/** The cell of a grid that has no knot. */
export const BARE: 255;
