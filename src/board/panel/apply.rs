//! A change on the files of a panel: files in, files out. Touches no disk.

use super::change::{Change, Refused, text};
use super::files::{PROJECT, chart, grid, letters, project_text};
use crate::board::journal::Files;
use crate::colour::Colour;
use crate::diag::Diagnostic;
use crate::edit::form::{self, Place, YarnLine};
use crate::edit::merge::{self, Knot};
use crate::edit::{BARE, Grid, chart_picture, chart_text};
use crate::picture;
use serde_json::Value as Json;

/// The files after the change, and the places where something else stood than the page saw.
pub(super) fn apply(files: &Files, change: &Change) -> Result<(Files, Vec<usize>), Refused> {
    let state = State::of(files);
    let none = |files: Files| Ok((files, Vec::new()));
    match change {
        Change::Knots { columns, rows, at, from, to } => {
            let grid = state.grid()?;
            if (grid.columns(), grid.rows()) != (*columns, *rows) {
                return Err(Refused::Moved);
            }
            let knots = knots(at, from, to).ok_or_else(unusable)?;
            state.known(knots.iter().map(|knot| knot.to))?;
            let merged = merge::knots(grid, &knots).ok_or(Refused::Moved)?;
            Ok((state.with_grid(files, &merged.grid)?, merged.kept))
        }
        Change::PutIn { line, at, count } => {
            let grown = state.grid()?.put_in((*line).into(), *at, *count).ok_or_else(unusable)?;
            none(state.with_grid(files, &grown)?)
        }
        Change::TakeOut { line, at, count } => {
            let shrunk = state.grid()?.take_out((*line).into(), *at, *count).ok_or_else(unusable)?;
            none(state.with_grid(files, &shrunk)?)
        }
        Change::Form { changes } => {
            let mut text = state.text.to_owned();
            for change in changes {
                text = form::apply(&text, change).map_err(Refused::Told)?;
            }
            none(state.with_text(files, &text, |letter| letter)?)
        }
        Change::AddYarn { letter, name, colour, like } => none(state.add_yarn(files, *letter, name, colour, *like)?),
        Change::ReplaceYarn { letter, by } => none(state.replace_yarn(files, *letter, *by)?),
        Change::LetterYarn { letter, to } => none(state.letter_yarn(files, *letter, *to)?),
        Change::Undo | Change::Redo | Change::Restore { .. } => none(files.clone()),
    }
}

fn unusable() -> Refused {
    Refused::Told(Diagnostic::fault("unusable-change", "the page asked for something that does not go"))
}

fn knots(at: &[usize], from: &str, to: &str) -> Option<Vec<Knot>> {
    let from: Vec<char> = from.chars().collect();
    let to: Vec<char> = to.chars().collect();
    let fits = from.len() == at.len() && (to.len() == at.len() || to.len() == 1);
    fits.then(|| {
        let to = |i: usize| *to.get(i).unwrap_or(&to[0]);
        at.iter().enumerate().map(|(i, &at)| Knot { at, from: from[i], to: to(i) }).collect()
    })
}

struct State<'f> {
    text: &'f str,
    yarns: Option<Vec<YarnLine>>,
    grid: Option<Grid>,
}

impl<'f> State<'f> {
    fn of(files: &'f Files) -> State<'f> {
        let text = project_text(files);
        let yarns = form::yarns(text);
        let grid = yarns.as_ref().and_then(|yarns| grid(files, yarns));
        State { text, yarns, grid }
    }

    fn grid(&self) -> Result<&Grid, Refused> {
        self.grid.as_ref().ok_or_else(|| {
            Refused::Told(
                Diagnostic::fault("unreadable-chart", "the chart cannot be read, so nothing is painted on it")
                    .hint("mend first what the faults say"),
            )
        })
    }

    fn yarns(&self) -> Result<&[YarnLine], Refused> {
        self.yarns.as_deref().ok_or_else(|| {
            Refused::Told(
                Diagnostic::fault("unreadable-yarns", "the yarns of the project file cannot be read")
                    .hint("mend first what the faults say"),
            )
        })
    }

    fn known(&self, letters: impl Iterator<Item = char>) -> Result<(), Refused> {
        let yarns = self.yarns()?;
        for letter in letters.filter(|letter| *letter != BARE) {
            if yarns.iter().all(|yarn| yarn.letter != letter) {
                let message = format!("`{letter}` is no yarn's letter any more");
                return Err(Refused::Told(Diagnostic::fault("unknown-letter", message)));
            }
        }
        Ok(())
    }

    fn with_grid(&self, files: &Files, grid: &Grid) -> Result<Files, Refused> {
        let mut after = files.clone();
        let (name, bytes) = chart(files).ok_or_else(unusable)?;
        after.insert(name.clone(), packed(bytes, grid, self.yarns()?)?);
        Ok(after)
    }

    /// Another project file; a chart that is a picture follows its yarns' colours. `letter` says what became of a letter.
    fn with_text(&self, files: &Files, text: &str, letter: impl Fn(char) -> char) -> Result<Files, Refused> {
        let mut after = files.clone();
        after.insert(PROJECT.to_owned(), text.as_bytes().to_vec());
        let (Some(grid), Some((name, bytes))) = (&self.grid, chart(files)) else { return Ok(after) };
        let cells = grid.cells().iter().map(|&cell| letter(cell)).collect();
        let changed = Grid::new(grid.columns(), cells).ok_or_else(unusable)?;
        let Some(yarns) = form::yarns(text) else { return Ok(after) };
        let old = letters(self.yarns()?);
        // Another order, or another name, changes no pixel.
        let mut colours = [old, letters(&yarns)];
        colours.iter_mut().for_each(|list| list.sort_by_key(|(letter, _)| *letter));
        if changed != *grid || picture::is_picture(bytes) && colours[0] != colours[1] {
            after.insert(name.clone(), packed(bytes, &changed, &yarns)?);
        }
        Ok(after)
    }

    fn item(&self, letter: char) -> Result<usize, Refused> {
        let yarns = self.yarns()?;
        yarns.iter().position(|yarn| yarn.letter == letter).ok_or_else(|| {
            Refused::Told(Diagnostic::fault("unknown-letter", format!("`{letter}` is no yarn's letter any more")))
        })
    }

    fn free(&self, letter: char) -> Result<(), Refused> {
        let told = |message: String| Err(Refused::Told(Diagnostic::fault("unusable-letter", message)));
        if letter == BARE || !chart_text::is_letter(letter) {
            return told(format!("`{letter}` cannot stand for a yarn"));
        }
        match self.yarns()?.iter().find(|yarn| yarn.letter == letter) {
            Some(yarn) => told(format!("`{letter}` stands for `{}` already", yarn.name)),
            None => Ok(()),
        }
    }

    fn add_yarn(
        &self,
        files: &Files,
        letter: char,
        name: &str,
        colour: &str,
        like: Option<char>,
    ) -> Result<Files, Refused> {
        self.free(letter)?;
        if Colour::from_hex(colour).is_none() {
            return Err(unusable());
        }
        let mut values = vec![text("key", &letter.to_string()), text("name", name), text("colour", colour)];
        if let Some(like) = like {
            let whole = form::values(self.text).map_err(Refused::Told)?;
            let other = &whole["yarn"][self.item(like)?];
            let shared = [
                "weight",
                "wraps-per-inch",
                "diameter",
                "fibre",
                "metres-per-ball",
                "grams-per-ball",
                "price",
                "brand",
                "brand-language",
                "care",
                "melts",
            ];
            values.extend(shared.iter().filter_map(|key| Some(((*key).to_owned(), other.get(*key)?.clone()))));
        }
        let added = form::Change::Add { section: "yarn".to_owned(), values };
        let text = form::apply(self.text, &added).map_err(Refused::Told)?;
        self.with_text(files, &text, |letter| letter)
    }

    fn replace_yarn(&self, files: &Files, letter: char, by: char) -> Result<Files, Refused> {
        let item = self.item(letter)?;
        self.known(std::iter::once(by))?;
        if by == letter {
            return Err(unusable());
        }
        let removed = form::Change::Remove { section: "yarn".to_owned(), item };
        let mut text = form::apply(self.text, &removed).map_err(Refused::Told)?;
        let heir = if by == BARE { Json::Null } else { Json::from(by.to_string()) };
        text = header_yarn(&text, letter, heir)?;
        self.with_text(files, &text, |cell| if cell == letter { by } else { cell })
    }

    fn letter_yarn(&self, files: &Files, letter: char, to: char) -> Result<Files, Refused> {
        let item = self.item(letter)?;
        self.free(to)?;
        let place = Place { section: "yarn".to_owned(), item: Some(item), key: "key".to_owned() };
        let (from, new) = (Json::from(letter.to_string()), Json::from(to.to_string()));
        let set = form::Change::Set { place, from, to: new.clone() };
        let text = form::apply(self.text, &set).map_err(Refused::Told)?;
        let text = header_yarn(&text, letter, new)?;
        self.with_text(files, &text, |cell| if cell == letter { to } else { cell })
    }
}

/// Where the header's yarn was this one, it becomes another.
fn header_yarn(text: &str, letter: char, heir: Json) -> Result<String, Refused> {
    let whole = form::values(text).map_err(Refused::Told)?;
    let now = &whole["working"]["header-yarn"];
    if now.as_str() != Some(letter.to_string().as_str()) {
        return Ok(text.to_owned());
    }
    let place = Place { section: "working".to_owned(), item: None, key: "header-yarn".to_owned() };
    form::apply(text, &form::Change::Set { place, from: now.clone(), to: heir }).map_err(Refused::Told)
}

fn packed(like: &[u8], grid: &Grid, yarns: &[YarnLine]) -> Result<Vec<u8>, Refused> {
    if picture::is_picture(like) {
        return chart_picture::write(Some(like), grid, &letters(yarns)).map_err(Refused::Told);
    }
    let text = std::str::from_utf8(like).map_err(|_| unusable())?;
    Ok(chart_text::write(text, grid).into_bytes())
}
