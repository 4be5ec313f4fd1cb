// Types stand in types.d.ts.

/** The cell of a grid that has no knot. */
export const BARE = 255;
