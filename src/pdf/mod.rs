//! Pages to bytes: printpdf draws, lopdf finishes.
