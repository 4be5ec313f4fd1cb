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
