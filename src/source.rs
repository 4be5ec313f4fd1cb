//! The only reader of files. Keeps what was read so that diagnostics can quote it. Text that is not on the disk yet can be laid
//! over a file: whoever reads that path then gets the text.
//!
//! A leaf: knows bytes and text, not what they mean.

use crate::diag::{Diagnostic, Phrase, Report, SourceId, Span};
use std::io::Read;
use std::path::{Component, Path, PathBuf};

/// One file that was read.
#[derive(Debug)]
pub struct Source {
    path: PathBuf,
    bytes: Vec<u8>,
    origin: Origin,
    /// Whether it was text in Windows-1252.
    old: bool,
}

/// Where bytes come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Origin {
    /// From the file at their path.
    Disk,
    /// Laid over that file.
    Overlay,
    /// From this program, or from nowhere any more: their path is only a name.
    Given,
}

impl Source {
    /// The path as it is shown in messages.
    pub fn path(&self) -> &Path {
        &self.path
    }
    /// What the file holds.
    pub(crate) fn bytes(&self) -> &[u8] {
        &self.bytes
    }
    /// The text, where the file is UTF-8; a byte-order mark is left in place so that spans stay true.
    pub fn text(&self) -> Option<&str> {
        std::str::from_utf8(&self.bytes).ok()
    }
}

/// Every file of one run, in the order of reading.
#[derive(Debug, Default)]
pub struct Sources {
    files: Vec<Source>,
    /// Whether only what is laid over is read.
    in_memory: bool,
}

impl Sources {
    /// None read yet.
    pub fn new() -> Sources {
        Sources::default()
    }
    /// None read yet, and none ever from the disk: only what is laid over is there.
    pub fn in_memory() -> Sources {
        Sources { in_memory: true, ..Sources::default() }
    }
    /// Lays text over a file, or over a place where none is yet: whoever reads this path gets these bytes. The last ones
    /// laid over a path count, if they come before it is read.
    pub fn lay_over(&mut self, path: PathBuf, bytes: Vec<u8>) -> SourceId {
        // What was read stays, because diagnostics point at it; it only no longer stands for the file.
        self.files.iter_mut().filter(|file| file.path == path).for_each(|file| file.origin = Origin::Given);
        self.files.push(Source { path, bytes, origin: Origin::Overlay, old: false });
        SourceId(self.files.len() - 1)
    }
    fn overlays(&self) -> impl Iterator<Item = &Source> {
        self.files.iter().filter(|file| file.origin == Origin::Overlay)
    }
    /// What stands for the file at this path.
    fn at(&self, path: &Path) -> Option<SourceId> {
        self.files.iter().position(|file| file.origin != Origin::Given && file.path == path).map(SourceId)
    }
    /// Reads a whole file of at most `most` bytes, once: whoever asks for it again gets the same. The diagnostic says what
    /// went wrong in plain words; it has no span, because the one who asked for the file knows where it is named.
    pub(crate) fn read(&mut self, path: &Path, most: u64) -> Result<SourceId, Diagnostic> {
        let shown = path.display();
        let too_large = || {
            Diagnostic::fault("file-too-large", format!("`{shown}` is larger than {most} bytes"))
                .hint("is it the right file?")
        };
        if let Some(id) = self.at(path) {
            return if self.get(id).bytes.len() as u64 > most { Err(too_large()) } else { Ok(id) };
        }
        if self.in_memory {
            return Err(unreadable(path, &std::io::ErrorKind::NotFound.into()));
        }
        let about = std::fs::metadata(path).map_err(|e| unreadable(path, &e))?;
        // A pipe or a device would keep this program waiting, or never end.
        if !about.is_file() {
            let what = if about.is_dir() { "a folder" } else { "a device" };
            return Err(Diagnostic::fault("not-a-file", format!("`{shown}` is {what}, not a file"))
                .hint("name a file in its place"));
        }
        let mut bytes = Vec::new();
        let file = std::fs::File::open(path).map_err(|e| unreadable(path, &e))?;
        // Counted while reading: the size in the folder's list may have changed by now.
        file.take(most.saturating_add(1)).read_to_end(&mut bytes).map_err(|e| unreadable(path, &e))?;
        if bytes.len() as u64 > most {
            return Err(too_large());
        }
        let bytes = in_utf_8(bytes);
        let text = of_windows_1252(&bytes);
        let old = text.is_some();
        let bytes = text.map_or(bytes, String::into_bytes);
        self.files.push(Source { path: path.to_path_buf(), bytes, origin: Origin::Disk, old });
        Ok(SourceId(self.files.len() - 1))
    }
    /// The text of a file; a word about it goes into `report` where it was in Windows-1252. If it is no text, a fault with the line of the first wrong byte goes into
    /// `report`.
    pub(crate) fn text_of(&self, id: SourceId, report: &mut Report) -> Option<&str> {
        let source = self.get(id);
        match std::str::from_utf8(&source.bytes) {
            Ok(text) => {
                if source.old {
                    let message =
                        Phrase::new("old-encoding", "`{file}` is in an older encoding and was read as Windows-1252");
                    report.push(
                        Diagnostic::advice(message.with("file", &source.path.display().to_string()))
                            .at(Span::file(id))
                            .advise(Phrase::new(
                                "old-encoding-hint",
                                "if a letter looks wrong, save it anew in a text editor with the encoding UTF-8",
                            )),
                    );
                }
                Some(text)
            }
            Err(error) => {
                let line = source.bytes[..error.valid_up_to()].iter().filter(|b| **b == b'\n').count() + 1;
                let shown = source.path.display();
                report.push(
                    Diagnostic::fault(
                        "not-utf-8",
                        format!("`{shown}` is not plain text in UTF-8, from line {line} on"),
                    )
                    .at(Span::file(id))
                    .hint("open it in a text editor and save it as plain text with the encoding UTF-8"),
                );
                None
            }
        }
    }
    /// Takes in bytes that did not come from the disk: shipped layouts, tests.
    pub fn add(&mut self, path: PathBuf, bytes: Vec<u8>) -> SourceId {
        self.files.push(Source { path, bytes, origin: Origin::Given, old: false });
        SourceId(self.files.len() - 1)
    }
    /// The paths of all of them, in the order of reading.
    pub(crate) fn paths(&self) -> impl Iterator<Item = &Path> {
        self.files.iter().map(Source::path)
    }
    /// A file that was read.
    pub fn get(&self, id: SourceId) -> &Source {
        &self.files[id.0]
    }
    /// Line and column of a span's start, both from 1; columns count characters. `None` for files that are not text.
    pub fn line_column(&self, span: Span) -> Option<(usize, usize)> {
        let text = self.get(span.source).text()?;
        let before = text.get(..span.start.min(text.len()))?;
        let line = before.matches('\n').count() + 1;
        let start = before.rfind('\n').map_or(0, |at| at + 1);
        let column = before[start..].trim_start_matches('\u{feff}').chars().count() + 1;
        Some((line, column))
    }
    /// Where a character stands first in what was read, remarks apart.
    pub(crate) fn first_of(&self, character: char) -> Option<Span> {
        self.files.iter().enumerate().filter(|(_, file)| file.origin != Origin::Given).find_map(|(at, file)| {
            let text = file.text()?;
            let mut start = 0;
            text.split_inclusive('\n').find_map(|line| {
                let here = start;
                start += line.len();
                let found = line.find(character).filter(|_| !line.trim_start().starts_with('#'))?;
                Some(Span::new(SourceId(at), here + found, here + found + character.len_utf8()))
            })
        })
    }
    /// Whether a path names a folder.
    pub(crate) fn is_folder(&self, path: &Path) -> bool {
        let lies_below = |file: &Source| file.path != path && file.path.starts_with(path);
        self.overlays().any(lies_below) || (!self.in_memory && path.is_dir())
    }
    /// The path of a file that is named in a project or layout, if it lies inside `folder`: not elsewhere by its name, and
    /// not through a link. The diagnostic has no span.
    pub(crate) fn inside(&self, folder: &Path, named: &str) -> Result<PathBuf, Diagnostic> {
        let outside = || {
            Diagnostic::fault("path-leaves-folder", format!("`{named}` lies outside the project's folder"))
                .hint("copy the file into the project's folder and name it from there")
        };
        if named.contains('\\') {
            return Err(Diagnostic::fault("backslash-in-path", format!("`{named}` is written with backslashes"))
                .hint(format!("write `{}`, which works on every system", named.replace('\\', "/"))));
        }
        let name = Path::new(named);
        // A colon is a drive or a stream on some systems, and must not mean another file there than here.
        let plain = name.components().all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
        if !plain || named.contains(':') {
            return Err(outside());
        }
        let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        let path = folder.join(name);
        // What is laid over lies where its path says.
        if self.in_memory || self.overlays().any(|file| file.path == path) {
            return Ok(path);
        }
        let real_folder = folder.canonicalize().map_err(|e| unreadable(folder, &e))?;
        let real = path.canonicalize().map_err(|e| unreadable(&path, &e))?;
        if real.starts_with(&real_folder) { Ok(path) } else { Err(outside()) }
    }
}

/// The folders in a folder, sorted by name; links are passed over. Empty where it cannot be listed.
pub(crate) fn folders(path: &Path) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(path) else { return Vec::new() };
    let is_folder = |entry: &std::fs::DirEntry| entry.file_type().is_ok_and(|kind| kind.is_dir());
    let mut folders: Vec<PathBuf> = entries.flatten().filter(is_folder).map(|entry| entry.path()).collect();
    folders.sort();
    folders
}

/// The plain files in a folder, sorted by name; links are passed over. Empty where it cannot be listed.
pub(crate) fn files(path: &Path) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(path) else { return Vec::new() };
    let is_file = |entry: &std::fs::DirEntry| entry.file_type().is_ok_and(|kind| kind.is_file());
    let mut files: Vec<PathBuf> = entries.flatten().filter(is_file).map(|entry| entry.path()).collect();
    files.sort();
    files
}

/// A folder's real path, links followed.
pub(crate) fn real(path: &Path) -> Result<PathBuf, Diagnostic> {
    path.canonicalize().map_err(|error| unreadable(path, &error))
}

/// A file in the same folder whose name is this one but for capitals, or goes on with another ending: `chart.txt.txt`.
fn namesake(path: &Path) -> Option<String> {
    let wanted = path.file_name()?.to_str()?.to_lowercase();
    let folder = path.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let is_near = |name: &String| {
        let name = name.to_lowercase();
        name == wanted || name.strip_prefix(&wanted).is_some_and(|rest| rest.starts_with('.'))
    };
    files(folder).iter().filter_map(|file| file.file_name()?.to_str().map(str::to_owned)).find(is_near)
}

fn unreadable(path: &Path, error: &std::io::Error) -> Diagnostic {
    let shown = path.display();
    match error.kind() {
        std::io::ErrorKind::NotFound | std::io::ErrorKind::NotADirectory => {
            let fault = Diagnostic::fault("no-such-file", format!("there is no file `{shown}`"));
            match namesake(path) {
                Some(near) => fault.hint(format!("there is a file `{near}`: give it this name, or write its name here; some systems hide what stands behind the last full stop")),
                None => fault.hint("check the spelling and the folder"),
            }
        }
        std::io::ErrorKind::InvalidInput | std::io::ErrorKind::InvalidFilename => Diagnostic::fault(
            "no-such-file",
            format!("`{}` cannot be the name of a file", shown.to_string().escape_debug()),
        ),
        std::io::ErrorKind::PermissionDenied => {
            Diagnostic::failure("unreadable-file", format!("`{shown}` may not be read"))
                .hint("ask the owner of the file for leave to read it")
        }
        _ => Diagnostic::failure("unreadable-file", format!("`{shown}` cannot be read: {error}")),
    }
}

/// Text that an editor has saved as UTF-16 by itself is UTF-8 from here on; everything else stays as it is. A byte-order mark
/// says what it is, and where there is none, that every other byte of the first ones is 0.
fn in_utf_8(bytes: Vec<u8>) -> Vec<u8> {
    let start = &bytes[..bytes.len().min(64) & !1];
    let zeros = |from: usize| start.len() >= 4 && start.iter().skip(from).step_by(2).all(|byte| *byte == 0);
    let clear = |from: usize| start.iter().skip(from).step_by(2).all(|byte| *byte != 0);
    let (skip, low_first) = match bytes.get(..2) {
        Some([0xff, 0xfe]) if bytes.get(2..4) != Some(&[0, 0]) => (2, true),
        Some([0xfe, 0xff]) => (2, false),
        _ if zeros(1) && clear(0) => (0, true),
        _ if zeros(0) && clear(1) => (0, false),
        _ => return bytes,
    };
    let unit = |pair: &[u8; 2]| if low_first { u16::from_le_bytes(*pair) } else { u16::from_be_bytes(*pair) };
    let (pairs, rest) = bytes[skip..].as_chunks::<2>();
    let text: Option<String> = char::decode_utf16(pairs.iter().map(unit)).collect::<Result<_, _>>().ok();
    match text {
        Some(text) if rest.is_empty() => text.into_bytes(),
        _ => bytes,
    }
}

/// Letters and signs of the bytes from 0x80 to 0x9f in Windows-1252 (WHATWG Encoding Standard, index windows-1252); no text has
/// the five that stand for none.
const WINDOWS_1252: [Option<char>; 32] = [
    Some('€'),
    None,
    Some('‚'),
    Some('ƒ'),
    Some('„'),
    Some('…'),
    Some('†'),
    Some('‡'),
    Some('ˆ'),
    Some('‰'),
    Some('Š'),
    Some('‹'),
    Some('Œ'),
    None,
    Some('Ž'),
    None,
    None,
    Some('‘'),
    Some('’'),
    Some('“'),
    Some('”'),
    Some('•'),
    Some('–'),
    Some('—'),
    Some('˜'),
    Some('™'),
    Some('š'),
    Some('›'),
    Some('œ'),
    None,
    Some('ž'),
    Some('Ÿ'),
];

/// Text that an editor has saved in the old encoding of its system. `None`: it is UTF-8, or no text at all.
fn of_windows_1252(bytes: &[u8]) -> Option<String> {
    // Few letters of a text are not plain, and a text holds no control characters.
    let plain = bytes.iter().filter(|byte| byte.is_ascii()).count();
    if std::str::from_utf8(bytes).is_ok() || plain * 4 < bytes.len() * 3 {
        return None;
    }
    let letter = |byte: &u8| match byte {
        b'\t' | b'\n' | b'\r' | 0x20..=0x7e | 0xa0.. => Some(char::from(*byte)),
        0x80..=0x9f => WINDOWS_1252[usize::from(*byte - 0x80)],
        _ => None,
    };
    bytes.iter().map(letter).collect()
}

/// Whether a character steers what shows a text instead of standing in it: control characters (C0 and C1), and those that turn
/// the direction of what follows (Unicode Standard Annex 9, 2). A line end and a tab do not.
pub(crate) fn steers(c: char) -> bool {
    let turns = matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    turns || matches!(c, '\u{2028}' | '\u{2029}') || (c.is_control() && c != '\n' && c != '\t')
}

/// A text in which nothing steers what shows it: in the place of each such character stands another, as long in bytes.
pub(crate) fn unsteered(text: &str) -> String {
    let shown = |c: char| match (steers(c), c.len_utf8()) {
        (false, _) => c,
        (true, 1) => '?',
        (true, 2) => '\u{b7}',
        (true, _) => char::REPLACEMENT_CHARACTER,
    };
    text.chars().map(shown).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_named_file_must_lie_inside_the_folder() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let folder = room.path().join("project");
        std::fs::create_dir_all(folder.join("sub")).expect("folders");
        for file in ["project/chart.txt", "project/sub/chart.txt", "secret.txt"] {
            std::fs::write(room.path().join(file), "A").expect("a file");
        }
        let id = |named: &str| Sources::new().inside(&folder, named).map_err(|d| d.id);
        assert_eq!(id("chart.txt"), Ok(folder.join("chart.txt")));
        assert_eq!(id("./sub/chart.txt"), Ok(folder.join("sub/chart.txt")));
        assert_eq!(id("../secret.txt"), Err("path-leaves-folder"));
        assert_eq!(id("sub/../../secret.txt"), Err("path-leaves-folder"));
        assert_eq!(id("/etc/hostname"), Err("path-leaves-folder"));
        assert_eq!(id("c:chart.txt"), Err("path-leaves-folder"));
        assert_eq!(id("sub\\chart.txt"), Err("backslash-in-path"));
        assert_eq!(id("none.txt"), Err("no-such-file"));
        assert_eq!(id("chart.txt\0"), Err("no-such-file"));
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink(room.path().join("secret.txt"), folder.join("link.txt")).expect("a link");
            std::os::unix::fs::symlink("chart.txt", folder.join("near.txt")).expect("a link");
            assert_eq!(id("link.txt"), Err("path-leaves-folder"));
            assert_eq!(id("near.txt"), Ok(folder.join("near.txt")));
        }
    }

    #[test]
    fn a_file_larger_than_allowed_is_not_read() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let path = room.path().join("large");
        std::fs::write(&path, [b'x'; 11]).expect("a file");
        let mut sources = Sources::new();
        assert_eq!(sources.read(&path, 10).map_err(|d| d.id), Err("file-too-large"));
        assert!(sources.read(&path, 11).is_ok());
        assert_eq!(sources.read(room.path(), 10).map_err(|d| d.id), Err("not-a-file"));
    }

    #[test]
    fn a_file_is_read_once_and_text_laid_over_it_is_read_in_its_place() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let path = room.path().join("chart.txt");
        std::fs::write(&path, "A").expect("a file");
        let mut sources = Sources::new();
        let first = sources.read(&path, 10).expect("it is read");
        std::fs::write(&path, "AB").expect("a file");
        assert_eq!(sources.read(&path, 10), Ok(first));
        let over = sources.lay_over(path.clone(), b"ABC".to_vec());
        assert_eq!(sources.read(&path, 10), Ok(over));
        assert_eq!((sources.get(first).bytes(), sources.get(over).bytes()), (&b"A"[..], &b"ABC"[..]));
        assert_eq!(sources.read(&path, 2).map_err(|d| d.id), Err("file-too-large"));
    }

    #[test]
    fn sources_in_memory_read_nothing_from_the_disk() {
        let room = tempfile::tempdir().expect("a temporary folder");
        std::fs::write(room.path().join("chart.txt"), "A").expect("a file");
        let mut sources = Sources::in_memory();
        assert_eq!(sources.read(&room.path().join("chart.txt"), 10).map_err(|d| d.id), Err("no-such-file"));
        assert!(!sources.is_folder(room.path()));
        let nowhere = Path::new("nowhere");
        sources.lay_over(nowhere.join("project.toml"), Vec::new());
        assert!(sources.is_folder(nowhere));
        assert_eq!(sources.inside(nowhere, "project.toml"), Ok(nowhere.join("project.toml")));
        assert_eq!(sources.inside(nowhere, "../secret.txt").map_err(|d| d.id), Err("path-leaves-folder"));
    }

    #[test]
    fn text_in_utf_16_is_read() {
        let text = "title = \"Größe\"\nAB\n";
        let units: Vec<u16> = text.encode_utf16().collect();
        let low: Vec<u8> = units.iter().flat_map(|unit| unit.to_le_bytes()).collect();
        let high: Vec<u8> = units.iter().flat_map(|unit| unit.to_be_bytes()).collect();
        let marked = |mark: [u8; 2], bytes: &[u8]| [&mark[..], bytes].concat();
        for bytes in [marked([0xff, 0xfe], &low), marked([0xfe, 0xff], &high), low, high] {
            assert_eq!(in_utf_8(bytes), text.as_bytes());
        }
        // Bytes that are neither stay as they are, to be called what they are.
        for bytes in
            [vec![0xff, 0xfe, 0x00, 0xd8], vec![0xff, 0xd8, 0xff, 0xe0], b"AB\n".to_vec(), vec![0xff, 0xfe, 0x41]]
        {
            assert_eq!(in_utf_8(bytes.clone()), bytes);
        }
    }

    #[test]
    fn text_in_an_old_encoding_is_read_with_a_word_about_it() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let path = room.path().join("project.toml");
        std::fs::write(&path, b"title = \"Gr\xfc\xdfe \x96 \x80 5\"\n").expect("a file");
        let (mut sources, mut report) = (Sources::new(), Report::new());
        let id = sources.read(&path, 100).expect("it is read");
        assert_eq!(sources.text_of(id, &mut report), Some("title = \"Grüße – € 5\"\n"));
        assert!(!report.has_faults() && report.iter().any(|said| said.id == "old-encoding"), "{report:?}");
        // What no text has is no text: a place without a letter, a control character, mostly strange signs.
        for bytes in [&b"A\x81\xff and more plain letters"[..], b"A\x00\xffBBBBBBBBBBBB", b"\xff\xfe\xfd\xfcAB"] {
            assert_eq!(of_windows_1252(bytes), None);
        }
    }

    #[test]
    fn lines_and_columns_count_characters_from_one() {
        let mut sources = Sources::new();
        let id = sources.add(PathBuf::from("x"), "\u{feff}ä\nbc\n".as_bytes().to_vec());
        let place = |at| sources.line_column(Span::new(id, at, at));
        assert_eq!(place(3), Some((1, 1)));
        assert_eq!(place(5), Some((1, 2)));
        assert_eq!(place(7), Some((2, 2)));
    }
}
