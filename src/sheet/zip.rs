//! The files packed in a ZIP archive, as far as office documents use it (APPNOTE.TXT 6.3: stored or deflated, one disk).

use crate::diag::Diagnostic;
use std::io::Read;

/// Most bytes that one file may unpack to: a sheet of 2,000 x 2,000 cells is smaller, and a file that claims to be more is a
/// bomb or no chart.
const MAX_UNPACKED: u64 = 96 << 20;

/// An archive.
pub(super) struct Archive<'b> {
    bytes: &'b [u8],
    files: Vec<(String, Entry)>,
}

#[derive(Clone, Copy)]
struct Entry {
    method: u16,
    packed: usize,
    at: usize,
}

pub(super) fn broken(why: &str) -> Diagnostic {
    Diagnostic::fault("broken-sheet", format!("the sheet cannot be read: {why}"))
        .hint("open it in the spreadsheet program and save it anew as .xlsx or .ods")
}

fn number(bytes: &[u8], at: usize, size: usize) -> Option<usize> {
    let part = bytes.get(at..at.checked_add(size)?)?;
    Some(part.iter().rev().fold(0_usize, |sum, b| (sum << 8) | usize::from(*b)))
}

impl<'b> Archive<'b> {
    pub(super) fn open(bytes: &'b [u8]) -> Result<Archive<'b>, Diagnostic> {
        // The list of files ends with a mark in the last bytes, before a comment of at most 65,535.
        let from = bytes.len().saturating_sub(66_000);
        let end = bytes[from..].windows(4).rposition(|four| four == b"PK\x05\x06").map(|at| at + from);
        let read = || -> Option<Vec<(String, Entry)>> {
            let end = end?;
            let (count, mut at) = (number(bytes, end + 10, 2)?, number(bytes, end + 16, 4)?);
            let mut files = Vec::new();
            for _ in 0..count {
                if bytes.get(at..at.checked_add(4)?)? != b"PK\x01\x02" {
                    return None;
                }
                let [name, extra, comment] = [28, 30, 32].map(|off| number(bytes, at + off, 2));
                let name_long = name?;
                let name = String::from_utf8_lossy(bytes.get(at + 46..at + 46 + name_long)?).into_owned();
                let entry = Entry {
                    method: number(bytes, at + 10, 2)? as u16,
                    packed: number(bytes, at + 20, 4)?,
                    at: number(bytes, at + 42, 4)?,
                };
                files.push((name, entry));
                at += 46 + name_long + extra? + comment?;
            }
            Some(files)
        };
        let files = read().ok_or_else(|| broken("its list of parts is broken"))?;
        Ok(Archive { bytes, files })
    }

    /// Whether there is a file of this name.
    pub(super) fn has(&self, name: &str) -> bool {
        self.files.iter().any(|(known, _)| known == name)
    }

    /// A file's text; `None`: there is no such file.
    pub(super) fn text(&self, name: &str) -> Result<Option<String>, Diagnostic> {
        let name = name.trim_start_matches('/');
        let Some((_, entry)) = self.files.iter().find(|(known, _)| known.eq_ignore_ascii_case(name)) else {
            return Ok(None);
        };
        let data = || -> Option<&[u8]> {
            let start = entry.at + 30 + number(self.bytes, entry.at + 26, 2)? + number(self.bytes, entry.at + 28, 2)?;
            self.bytes.get(start..start.checked_add(entry.packed)?)
        };
        let data = data().ok_or_else(|| broken("a part is cut off"))?;
        let mut out = Vec::new();
        let read = match entry.method {
            0 => data.take(MAX_UNPACKED + 1).read_to_end(&mut out),
            8 => flate2::read::DeflateDecoder::new(data).take(MAX_UNPACKED + 1).read_to_end(&mut out),
            other => return Err(broken(&format!("a part is packed in the way {other}"))),
        };
        read.map_err(|_| broken("a part is damaged"))?;
        if out.len() as u64 > MAX_UNPACKED {
            return Err(Diagnostic::fault("chart-too-large", "the sheet unpacks to more than any chart needs")
                .hint("copy the chart's own cells into a new sheet, and save that"));
        }
        String::from_utf8(out).map(Some).map_err(|_| broken("a part is no text"))
    }
}
