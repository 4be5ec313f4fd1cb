//! `hitchpress board`: the panels of a folder in the browser.

use super::args::Board;
use super::outcome::Outcome;
use super::write::{self, NewFileError};
use super::{report, today};
use crate::board::{self, Job, Means, Options};
use crate::diag::{Diagnostic, Report};
use crate::source::{self, Sources};
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::Stdio;

/// Serves the page until it is stopped, or writes the file to double-click.
pub(crate) fn run(typed: &Board) -> Outcome {
    let done = if typed.shortcut { shortcut(&typed.folder) } else { serve(typed) };
    match done {
        Ok(()) => Outcome::Done,
        Err(diagnostic) => {
            let mut told = Report::new();
            told.push(diagnostic);
            report::show(&told, &Sources::new());
            Outcome::of(&told)
        }
    }
}

fn serve(typed: &Board) -> Result<(), Diagnostic> {
    let options = Options {
        folder: typed.folder.clone(),
        port: typed.port,
        browser: !typed.no_browser,
        stop_when_closed: typed.stop_when_closed,
    };
    let means = Means {
        write: write::edited,
        failed: write::failed,
        clock: today::now,
        say: report::say,
        today: today::today,
        tidy: write::tidy,
        run: run_again,
    };
    board::serve(&options, &means)
}

/// This program beside itself; what it says is kept for the page.
fn run_again(words: &[std::ffi::OsString], job: &Job, hear: &mut dyn FnMut(&str)) -> std::io::Result<(bool, String)> {
    let mut command = std::process::Command::new(std::env::current_exe()?);
    let command = command.args(words).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped());
    let mut child = command.spawn()?;
    let mut said = String::new();
    let pipe = child.stderr.take();
    job.begun(child);
    if let Some(pipe) = pipe {
        for line in BufReader::new(pipe).split(b'\n').map_while(Result::ok) {
            let line = String::from_utf8_lossy(&line);
            hear(line.trim_end());
            said.push_str(line.trim_end());
            said.push('\n');
        }
    }
    Ok((job.ended()?, said))
}

/// How a file that is opened by a double click is written on this system.
struct MeasureKind {
    ending: &'static str,
    text: fn(program: &str, folder: &str) -> String,
}

const KIND: MeasureKind = if cfg!(windows) {
    MeasureKind {
        ending: "cmd",
        text: |program, folder| format!("@\"{program}\" board \"{folder}\" --stop-when-closed\r\n"),
    }
} else if cfg!(target_os = "macos") {
    MeasureKind {
        ending: "command",
        text: |program, folder| {
            format!("#!/bin/sh\nexec {} board {} --stop-when-closed\n", quoted(program), quoted(folder))
        },
    }
} else {
    MeasureKind {
        ending: "desktop",
        // Desktop Entry Specification 1.5: the text of Exec is quoted twice over.
        text: |program, folder| {
            format!(
                "[Desktop Entry]\nType=Application\nName=Hitchpress board\nExec={} board {} --stop-when-closed\n",
                entry(program),
                entry(folder)
            )
        },
    }
};

/// A word of a shell.
fn quoted(word: &str) -> String {
    format!("'{}'", word.replace('\'', "'\\''"))
}

/// A word of the line `Exec`: quoted for its own rules, then for those of the file.
fn entry(word: &str) -> String {
    let mut out = String::from("\"");
    for letter in word.chars() {
        match letter {
            '"' | '`' | '$' => out.extend(["\\\\", &letter.to_string()]),
            '\\' => out.push_str("\\\\\\\\"),
            '%' => out.push_str("%%"),
            other => out.push(other),
        }
    }
    out.push('"');
    out
}

fn shortcut(folder: &Path) -> Result<(), Diagnostic> {
    let unnamed = |what: &str| {
        let message = format!("the path of {what} has characters that no shortcut can hold");
        Diagnostic::fault("unusable-path", message).hint("give it a plainer name")
    };
    let folder = source::real(folder)?;
    if !folder.is_dir() {
        return Err(Diagnostic::fault("not-a-folder", format!("`{}` is not a folder", folder.display())));
    }
    let program = std::env::current_exe()
        .map_err(|error| Diagnostic::failure("no-program", format!("where this program lies is not known: {error}")))?;
    let plain = |path: &Path| path.to_str().filter(|text| !text.contains(char::is_control)).map(str::to_owned);
    let program = plain(&program).ok_or_else(|| unnamed("this program"))?;
    let shown = plain(&folder).ok_or_else(|| unnamed("the folder"))?;
    let path: PathBuf = folder.join(format!("hitchpress-board.{}", KIND.ending));
    match write::fresh(&path, (KIND.text)(&program, &shown).as_bytes()) {
        Ok(()) => {}
        Err(NewFileError::Taken(path)) => {
            let message = format!("`{}` is there already, and nothing is overwritten", path.display());
            return Err(Diagnostic::fault("name-taken", message).hint("use it, or delete it first"));
        }
        Err(NewFileError::Failed(diagnostic)) => return Err(diagnostic),
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o755))
            .map_err(|error| write::failed(&path, &error))?;
    }
    report::say(&format!("written: {}\nopen it with a double click", path.display()));
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_with_anything_in_it_stays_one_word() {
        assert_eq!(quoted("it's $HOME"), "'it'\\''s $HOME'");
        assert_eq!(entry("a \"b\" 100% $x"), "\"a \\\\\"b\\\\\" 100%% \\\\$x\"");
    }
}
