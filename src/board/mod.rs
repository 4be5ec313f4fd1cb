//! The board: a panel in the browser on the maker's own machine. One folder, one small server on the loopback address, one
//! page; her files stay the files they are, and every change is written at once.
//!
//! In: a folder and what the command line says. Out: changed files. [`serve`] is the recipe; `door` finds the port and lets
//! the browser in, `guard` turns strangers away, `shelf` knows the panels, `panel` applies changes and keeps what follows
//! from them, `journal` remembers every step, `watch` hears of other programs, `server` speaks with the page.
//!
//! # How the page asks
//!
//! Everything is JSON. `panel=` is a name from the shelf; `n` is the number of a panel's state, which only grows.
//!
//! | request | answer |
//! | --- | --- |
//! | `GET /api/shelf` | `{folder, panels: [{name, title, n, columns, rows, faults}]}` |
//! | `GET /api/panel?panel=` | `{n, title, columns, rows, cells, yarns: [{letter, name, colour}], isPicture, undo, redo}`; `cells` is one letter a cell, `null` where the chart cannot be read |
//! | `POST /api/change` | body `{panel, base, change}`; `{n, kept}`, or 409 `{refused: "moved"}` or `{refused: "told", told}` |
//! | `GET /api/figures?panel=&language=` | `{n, faults, advice, panel, yarns, marks, look}`; the last four are missing where there are faults |
//! | `GET /api/likeness?panel=` | `{n, yarns: [{letter, grey, protan, deutan, tritan}], pairs: [{a, b, difference, least, lightness}]}` |
//! | `GET /api/steps?panel=` | `{n, done, steps: [{kind, time}]}` |
//! | `GET /api/earlier?panel=&steps=` | `{columns, rows, cells, yarns}` as it was after so many steps |
//! | `GET /api/rows?panel=&language=` | `{n, rows: [{number, leftToRight, sentence}]}` in working order |
//! | `GET /api/form?panel=` | `{n, values, schema, faults}`; a fault has the `field` of the form it is about, where it has one |
//! | `GET /api/pages?panel=&edition=&paper=&ink=&language=` | `{n, pages: [[width, height]]}` in points, or `{n, told: [..]}` |
//! | `GET /api/page?..&number=&width=` | a PNG of one of them |
//! | `POST /api/make` | body `{panel, job, what, ..}`; `{done, stopped, said, files}` once it is made, or stopped |
//! | `POST /api/stop` | body `{job}`; `{stopped}`: whether it was still being made |
//! | `GET /api/finished?panel=` | `{files}`: finished PDFs of the panel's folder |
//! | `GET /api/made?panel=&file=` | one of them |
//! | `GET /api/sized?like=&across=&down=` | `{columns, rows, size}`: knots for a finished measure, and the size of so many knots |
//! | `POST /api/picture?name=` | body: a picture; `{picture}`, its number |
//! | `POST /api/trial` | body `{picture, like, ..}`: `{trial, columns, rows, cells, yarns, cell, size, doubts: [{at, letters}], said}`, or `{said}` where it came to nothing |
//! | `GET /api/as-read?trial=` | a PNG: the picture of an old chart beside what was read |
//! | `POST /api/new` | body `{title, size, like, copied, trial}`; `{name}` |
//! | `GET /api/events` | a stream: `{panel, n}` after each change, `{job, line}` while something is made |
//!
//! A change is one of `panel::Change`: `{kind: "knots", columns, rows, at, from, to}`, `{kind: "put-in", line, at, count}`,
//! `{kind: "take-out", ..}`, `{kind: "form", changes}`, `{kind: "add-yarn", ..}`, `{kind: "replace-yarn", letter, by}`,
//! `{kind: "letter-yarn", letter, to}`, `{kind: "undo"}`, `{kind: "redo"}`, `{kind: "restore", steps}`.

mod advice;
mod assets;
mod door;
mod figures;
mod guard;
mod jobs;
mod journal;
mod make;
mod means;
mod pages;
mod panel;
mod server;
mod shelf;
mod trial;
mod watch;

use crate::diag::Diagnostic;

pub(crate) use jobs::Job;
pub(crate) use means::{Means, Options};

/// Serves the folder until it is stopped.
///
/// # Errors
/// A fault where the folder or the port cannot be had.
pub(crate) fn serve(options: &Options, means: &Means) -> Result<(), Diagnostic> {
    let folder = crate::source::real(&options.folder)?;
    if !folder.is_dir() {
        let message = format!("`{}` is not a folder", options.folder.display());
        return Err(Diagnostic::fault("not-a-folder", message).hint("name the folder your panels lie in"));
    }
    let door = match door::open(&folder, options.port, means)? {
        door::Found::Free(door) => door,
        door::Found::Taken(address) => {
            (means.say)(&format!("a board is open on this folder already: {address}"));
            show(options, &address, means);
            return Ok(());
        }
    };
    let address = door.address();
    (means.say)(&format!("the board is open: {address}\nit stops with Ctrl-C; everything is saved as you work"));
    server::run(*door, folder, options, means, || show(options, &address, means))
}

/// The only use of `open`.
fn show(options: &Options, address: &str, means: &Means) {
    if options.browser && open::that_detached(address).is_err() {
        (means.say)("no browser could be opened: copy the address into one");
    }
}
