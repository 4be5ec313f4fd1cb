//! The names that makers, layouts and stages call things by, as types. A leaf: it says which names there are and what each is
//! called in files and on the command line, and nothing of what stands behind them.

/// An enum of names: each with the word it has in files.
macro_rules! names {
    ($(#[$doc:meta])* $type:ident { $($(#[$of:meta])* $name:ident = $word:literal,)+ }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $type {
            $($(#[$of])* $name,)+
        }

        impl $type {
            /// All of them.
            pub const ALL: &'static [$type] = &[$($type::$name,)+];

            /// Their words, in the same order.
            pub const WORDS: &'static [&'static str] = &[$($word,)+];

            /// The word in files and on the command line.
            pub const fn name(self) -> &'static str {
                match self {
                    $($type::$name => $word,)+
                }
            }

            /// What this word names.
            pub fn named(word: &str) -> Option<$type> {
                $type::ALL.iter().copied().find(|it| it.name() == word)
            }

            /// Every word with what it names, for readers that choose between words.
            pub fn choices() -> Vec<(&'static str, $type)> {
                $type::ALL.iter().map(|it| (it.name(), *it)).collect()
            }
        }

        impl std::fmt::Display for $type {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.name())
            }
        }
    };
}

names! {
    /// An edition that travels inside the program: which sections there are.
    EditionName {
        /// Everything, for the buyer.
        Booklet = "booklet",
        /// The chart alone, for the knotting board.
        Chart = "chart",
        /// The booklet in large print.
        LargePrint = "large-print",
        /// What to buy and to bring.
        Materials = "materials",
    }
}

impl Default for EditionName {
    /// What is made where nothing else is asked for.
    fn default() -> EditionName {
        EditionName::Booklet
    }
}

names! {
    /// A look that travels inside the program: how sections are styled.
    LookName {
        /// A quiet craft book.
        Quiet = "quiet",
        /// A sheet for the workshop.
        Workshop = "workshop",
        /// Large print.
        LargePrint = "large-print",
    }
}

names! {
    /// A paper with its margins.
    PaperName {
        /// A4.
        A4 = "a4",
        /// US Letter.
        Letter = "letter",
        /// A5.
        A5 = "a5",
        /// Half of US Letter.
        HalfLetter = "half-letter",
        /// A3.
        A3 = "a3",
        /// US Tabloid.
        Tabloid = "tabloid",
        /// A page for the screen of a phone.
        SmallScreen = "small-screen",
    }
}

names! {
    /// A section of a booklet, in the booklet's order, then those of the materials edition.
    SectionName {
        /// Title, maker, picture.
        Cover = "cover",
        /// The list of contents.
        Contents = "contents",
        /// The panel in a few figures.
        AtAGlance = "at-a-glance",
        /// Every colourway as knotted, and its yarns.
        Colourways = "colourways",
        /// What to buy.
        Materials = "materials",
        /// What to cut.
        CuttingList = "cutting-list",
        /// Snips of the yarns.
        YourYarn = "your-yarn",
        /// The buyer's own swatch.
        OwnGauge = "own-gauge",
        /// How to read the pattern.
        BeforeYouStart = "before-you-start",
        /// The knots.
        Techniques = "techniques",
        /// Mounting and header.
        SettingUp = "setting-up",
        /// The chart's sheets.
        Chart = "chart",
        /// The rows as sentences.
        RowsInWords = "rows-in-words",
        /// Making up.
        Finishing = "finishing",
        /// Hanging the panel.
        Hanging = "hanging",
        /// Looking after it.
        Care = "care",
        /// Every warning in full.
        Cautions = "cautions",
        /// What the buyer may do.
        UsingThisPattern = "using-this-pattern",
        /// The materials edition's list.
        MaterialsList = "materials-list",
        /// Totals for a class.
        ClassList = "class-list",
        /// What a student brings.
        WhatToBring = "what-to-bring",
    }
}

names! {
    /// A kind of text that a look styles.
    StyleName {
        /// The cover's title.
        Title = "title",
        /// Below it.
        Subtitle = "subtitle",
        /// Who made the pattern.
        Maker = "maker",
        /// A section's first paragraph.
        Lead = "lead",
        /// Running text.
        Body = "body",
        /// Quiet remarks.
        Note = "note",
        /// Small print.
        Small = "small",
        /// A section's title.
        Heading1 = "heading-1",
        /// A heading in a section.
        Heading2 = "heading-2",
        /// A heading below that.
        Heading3 = "heading-3",
        /// A numbered step.
        Step = "step",
        /// A line with a box.
        Tick = "tick",
        /// A warning.
        Caution = "caution",
        /// A table's cells.
        Table = "table",
        /// Heads of its columns.
        TableHead = "table-head",
        /// Cells where there is little room.
        TableTight = "table-tight",
        /// Heads where there is little room.
        TableHeadTight = "table-head-tight",
        /// Below figures and above tables.
        Caption = "caption",
        /// Words in drawings and on lines to fill in.
        Label = "label",
        /// The rows in words.
        Rows = "rows",
        /// Their numbers.
        RowNumber = "row-number",
        /// The list of contents.
        Contents = "contents",
        /// Running heads and foot lines.
        Head = "head",
        /// Page numbers.
        Folio = "folio",
        /// Titles of chart sheets.
        SheetTitle = "sheet-title",
        /// Notes on chart sheets.
        SheetNote = "sheet-note",
        /// The chart's key.
        Key = "key",
        /// Numbers beside the cells.
        CellNumber = "cell-number",
    }
}

names! {
    /// A part of a page that belongs together.
    FrameName {
        /// The text area.
        Text = "text",
        /// A chart sheet.
        Chart = "chart",
        /// What looks alike on every later sheet of a chart and is only to be seen there.
        Again = "again",
        /// The running head.
        Head = "head",
        /// The foot line with the folio.
        Folio = "folio",
        /// A picture for a shop.
        Picture = "picture",
        /// The line of a licensed copy.
        LicenceLine = "licence-line",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_names_what_it_is_the_word_of() {
        for (word, edition) in EditionName::choices() {
            assert_eq!((EditionName::named(word), edition.to_string().as_str()), (Some(edition), word));
        }
        assert_eq!(PaperName::named("half-letter"), Some(PaperName::HalfLetter));
        assert_eq!(LookName::named("Quiet"), None);
    }
}
