//! What faces are for.

/// What a face is for. Layouts name roles, never files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum FontRole {
    /// Running text.
    Text,
    /// A true italic of the running text.
    TextItalic,
    /// The running text's stronger weight.
    TextStrong,
    /// Figures, tables, what stands beside the chart: a sans.
    Figures,
    /// The stronger weight of `Figures`.
    FiguresStrong,
    /// Looked up for every character that the chosen face lacks.
    Fallback,
}

impl FontRole {
    /// Every role, in the order in which faces get their ids in the shipped book.
    pub(crate) const ALL: [FontRole; 6] = [
        FontRole::Text,
        FontRole::TextItalic,
        FontRole::TextStrong,
        FontRole::Figures,
        FontRole::FiguresStrong,
        FontRole::Fallback,
    ];

    /// The role's name in layout files and in fonts/fonts.toml.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            FontRole::Text => "text",
            FontRole::TextItalic => "text-italic",
            FontRole::TextStrong => "text-strong",
            FontRole::Figures => "figures",
            FontRole::FiguresStrong => "figures-strong",
            FontRole::Fallback => "fallback",
        }
    }
}
