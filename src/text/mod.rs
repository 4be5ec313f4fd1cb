//! Text to lines: collect, shape, breakpoints, total fit, line.
