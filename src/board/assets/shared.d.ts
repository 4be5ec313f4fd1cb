// Types that several files share, known everywhere. Editors and the checks read them; a page never asks for them.

type Yarn = { letter: string; name: string; colour: string };
type Place = { row: number; column: number | null };
type Told = {
  id: string;
  message: string;
  hints: string[];
  lang: string;
  file: string | null;
  line: number | null;
  column: number | null;
  places: Place[];
};
type YarnFigures = {
  letter: string;
  used: boolean;
  buy: string | null;
  balls: number | null;
  price: string | null;
  ends: number | null;
  symbol: string | null;
};
type PanelFigures = {
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
type Marks = { starts: number[][]; cuts: number[][]; led: number[][] };
type Look = {
  across: number;
  down: number;
  leftToRight: boolean;
  headerRows: number;
  headerLetter: string;
  fringe: number;
  cord: string;
};
type Figures = {
  n: number;
  faults: Told[];
  advice: Told[];
  panel?: PanelFigures;
  yarns?: YarnFigures[];
  marks?: Marks;
  look?: Look;
};
type Sketch = {
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
type Grid = { columns: number; rows: number; cells: Uint8Array };
/** Both ends belong to it. */
type Box = { left: number; top: number; right: number; bottom: number };

/** The project's file as a form. */
type Form = {
  schema: any;
  values: any;
  faults: (Told & { field?: { section: string; item?: number; key: string } })[];
};
/** How alike yarns look. */
type Likeness = {
  yarns: Record<"letter" | "grey" | "protan" | "deutan" | "tritan", string>[];
  pairs: { a: string; b: string; difference: number; least: number; lightness: number }[];
};
/** What a picture would become; `trial` takes it. */
type Trial = {
  trial: number | null;
  columns: number;
  rows: number;
  cells: string | null;
  yarns: Yarn[];
  cell: [number, number] | null;
  size: string | null;
  said: string[];
  doubts: { at: number; letters: string[] }[];
};
