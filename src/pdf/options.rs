//! What a file is to be able to do.

/// What the file is to be able to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Whether boxes and lines to be filled in become fields on a screen.
    pub ticks: bool,
    /// Whether the file carries its logical structure and claims PDF/UA-1 and PDF/A-2a. Without it, it claims
    /// PDF/A-2b-like care but nothing in its metadata: for sheets that are imposed, and for measuring.
    pub tagged: bool,
}

impl Default for Options {
    fn default() -> Options {
        Options { ticks: true, tagged: true }
    }
}
