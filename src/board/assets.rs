//! The page's own files, as they lie in `assets`: they travel inside the program, and nothing else is ever served.

/// One file.
pub(super) struct Asset {
    /// Where the page finds it.
    path: &'static str,
    /// Its media type.
    pub(crate) kind: &'static str,
    /// What it holds.
    pub(crate) bytes: &'static [u8],
}

const HTML: &str = "text/html; charset=utf-8";
const CSS: &str = "text/css; charset=utf-8";
const SCRIPT: &str = "text/javascript; charset=utf-8";
const PICTURE: &str = "image/svg+xml";
const WORDS: &str = "application/json; charset=utf-8";
/// Words of the form's fields, for languages that are not the file's own.
const FORM: &str = "application/json";

macro_rules! asset {
    ($path:literal, $kind:expr, $file:literal) => {
        Asset { path: $path, kind: $kind, bytes: include_bytes!($file) }
    };
}

const ALL: &[Asset] = &[
    asset!("/", HTML, "assets/index.html"),
    asset!("/board.css", CSS, "assets/board.css"),
    asset!("/icon.svg", PICTURE, "assets/icon.svg"),
    asset!("/main.js", SCRIPT, "assets/main.js"),
    asset!("/ask.js", SCRIPT, "assets/ask.js"),
    asset!("/words.js", SCRIPT, "assets/words.js"),
    asset!("/parts.js", SCRIPT, "assets/parts.js"),
    asset!("/grid.js", SCRIPT, "assets/grid.js"),
    asset!("/draw.js", SCRIPT, "assets/draw.js"),
    asset!("/view.js", SCRIPT, "assets/view.js"),
    asset!("/state.js", SCRIPT, "assets/state.js"),
    asset!("/hand.js", SCRIPT, "assets/hand.js"),
    asset!("/trace.js", SCRIPT, "assets/trace.js"),
    asset!("/shelf.js", SCRIPT, "assets/shelf.js"),
    asset!("/begin.js", SCRIPT, "assets/begin.js"),
    asset!("/picture.js", SCRIPT, "assets/picture.js"),
    asset!("/panel.js", SCRIPT, "assets/panel.js"),
    asset!("/overlay.js", SCRIPT, "assets/overlay.js"),
    asset!("/tools.js", SCRIPT, "assets/tools.js"),
    asset!("/keys.js", SCRIPT, "assets/keys.js"),
    asset!("/yarns.js", SCRIPT, "assets/yarns.js"),
    asset!("/making.js", SCRIPT, "assets/making.js"),
    asset!("/tying.js", SCRIPT, "assets/tying.js"),
    asset!("/pages.js", SCRIPT, "assets/pages.js"),
    asset!("/earlier.js", SCRIPT, "assets/earlier.js"),
    asset!("/figures.js", SCRIPT, "assets/figures.js"),
    asset!("/words/en-GB.json", WORDS, "../../layouts/board/en-GB.json"),
    asset!("/words/en-US.json", WORDS, "../../layouts/board/en-US.json"),
    asset!("/words/de-DE.json", WORDS, "../../layouts/board/de-DE.json"),
    asset!("/words/fr-FR.json", WORDS, "../../layouts/board/fr-FR.json"),
    asset!("/words/es-ES.json", WORDS, "../../layouts/board/es-ES.json"),
    asset!("/words/form/de-DE.json", FORM, "../../layouts/board/form/de-DE.json"),
    asset!("/words/form/fr-FR.json", FORM, "../../layouts/board/form/fr-FR.json"),
    asset!("/words/form/es-ES.json", FORM, "../../layouts/board/form/es-ES.json"),
];

/// What whoever is not let in sees, in every language.
pub(super) const CLOSED: &[u8] = include_bytes!("assets/closed.html");

/// A file by the path of a request.
pub(super) fn find(path: &str) -> Option<&'static Asset> {
    ALL.iter().find(|asset| asset.path == path)
}

#[cfg(test)]
mod tests;
