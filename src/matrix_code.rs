//! Codes for a phone's camera: QR codes (ISO/IEC 18004) of error correction level M, as a grid of dark and light modules. A
//! leaf, and the only door to `qrcodegen`.

/// The margin that must stay light on every side, in modules (ISO/IEC 18004, 9.1).
pub(crate) const QUIET_ZONE: usize = 4;

/// Longest text that a code is made of, in bytes: what version 10 holds at level M (ISO/IEC 18004, table 7). A code of a
/// longer one would have more modules than an old telephone tells apart at the size of a stamp.
pub(crate) const MAX_BYTES: usize = 213;

/// A square of modules, without its quiet zone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct MatrixCode {
    size: usize,
    dark: Vec<bool>,
}

impl MatrixCode {
    /// The code of a text; `None` where it is longer than [`MAX_BYTES`].
    pub(crate) fn of(text: &str) -> Option<MatrixCode> {
        if text.len() > MAX_BYTES {
            return None;
        }
        let code = qrcodegen::QrCode::encode_text(text, qrcodegen::QrCodeEcc::Medium).ok()?;
        let modules = code.size();
        let dark = (0..modules).flat_map(|y| (0..modules).map(move |x| (x, y)));
        let dark = dark.map(|(x, y)| code.get_module(x, y)).collect();
        Some(MatrixCode { size: usize::try_from(modules).ok()?, dark })
    }

    /// Modules on one side.
    pub(crate) fn size(&self) -> usize {
        self.size
    }

    /// The dark modules as stretches along a row: column and row of the first, and how many.
    pub(crate) fn stretches(&self) -> Vec<(usize, usize, usize)> {
        let mut out = Vec::new();
        for (y, row) in self.dark.chunks(self.size.max(1)).enumerate() {
            let mut x = 0;
            while x < row.len() {
                let long = row[x..].iter().take_while(|dark| **dark).count();
                if long > 0 {
                    out.push((x, y, long));
                }
                x += long.max(1);
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_has_the_modules_of_its_version_and_its_three_finders() {
        // ISO/IEC 18004: version v has 17 + 4 v modules on a side; level M of version 2 holds 26 bytes.
        let code = MatrixCode::of("https://example.org/a").expect("a code");
        assert_eq!(code.size(), 25);
        // The upper edge of the finder at the upper left: seven dark modules, then a light one.
        assert_eq!(code.stretches()[0], (0, 0, 7));
        assert_eq!(
            code.stretches().iter().map(|(_, _, long)| long).sum::<usize>(),
            code.dark.iter().filter(|d| **d).count()
        );
    }

    #[test]
    fn a_text_that_makes_too_large_a_code_has_none() {
        assert!(MatrixCode::of(&"a".repeat(MAX_BYTES)).is_some_and(|code| code.size() <= 57));
        assert_eq!(MatrixCode::of(&"a".repeat(MAX_BYTES + 1)), None);
    }
}
