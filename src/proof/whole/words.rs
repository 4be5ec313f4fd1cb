//! What the parts of a file are called to a maker.

/// A part of a file that a difference is told for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Area {
    /// Size and boxes of a page, how it is turned and scaled.
    Boxes,
    /// What is drawn on a page.
    Drawn,
    /// A font, or what its codes mean.
    Font,
    /// A picture, a symbol or another drawing that pages share.
    Picture,
    /// Other things that drawings name.
    Resources,
    /// A box to tick, a link, or something else that lies over a page.
    Over,
    /// Another entry of a page.
    Page,
    /// Bookmarks.
    Bookmarks,
    /// Structure for those who listen.
    Tags,
    /// Metadata packet.
    Metadata,
    /// Numbers of pages as a viewer shows them.
    Labels,
    /// The form that boxes belong to.
    Form,
    /// Colour profile.
    Profile,
    /// Language.
    Language,
    /// How it wants to be shown.
    Showing,
    /// Named things: attachments, scripts, places.
    Named,
    /// What happens when the file is opened.
    Opening,
    /// Title, maker, dates.
    Information,
    /// What the file says of how it was made.
    Making,
    /// Another entry of the catalogue.
    Catalogue,
}

impl Area {
    /// Its name in kebab case, for the finding.
    pub(super) fn id(self) -> &'static str {
        match self {
            Area::Boxes => "other-page-boxes",
            Area::Drawn => "other-drawing",
            Area::Font => "other-font",
            Area::Picture => "other-picture",
            Area::Resources => "other-resources",
            Area::Over => "other-annotation",
            Area::Page => "other-page-entry",
            Area::Bookmarks => "other-bookmarks",
            Area::Tags => "other-tags",
            Area::Metadata => "other-metadata",
            Area::Labels => "other-page-labels",
            Area::Form => "other-form",
            Area::Profile => "other-colour-profile",
            Area::Language => "other-language",
            Area::Showing => "other-view",
            Area::Named => "other-named-things",
            Area::Opening => "other-opening",
            Area::Information => "other-information",
            Area::Making => "other-making",
            Area::Catalogue => "other-catalogue",
        }
    }

    /// What it is, as the beginning of a sentence.
    pub(super) fn words(self) -> &'static str {
        match self {
            Area::Boxes => "size, cut or turn of the page are others",
            Area::Drawn => "something is drawn otherwise",
            Area::Font => "a font is another, so letters and figures may show otherwise",
            Area::Picture => "a picture, symbol or drawing is another",
            Area::Resources => "what the drawing is made with is another",
            Area::Over => "a box, a link or something that lies over the page is another",
            Area::Page => "the page has an entry that is another",
            Area::Bookmarks => "bookmarks are others",
            Area::Tags => "the tags for those who listen are others",
            Area::Metadata => "the metadata are others",
            Area::Labels => "the numbers of pages that a viewer shows are others",
            Area::Form => "the form that the boxes belong to is another",
            Area::Profile => "the colour profile is another",
            Area::Language => "the language of the file is another",
            Area::Showing => "how the file wants to be shown is another",
            Area::Named => "attachments, scripts or named places are others",
            Area::Opening => "something happens by itself when the file is opened or used",
            Area::Information => "title, maker or dates are others",
            Area::Making => "what the file says of how it was made is another",
            Area::Catalogue => "the file has an entry that is another",
        }
    }

    /// The part that an entry of the catalogue belongs to.
    pub(super) fn of_catalogue(key: &[u8]) -> Area {
        match key {
            b"Outlines" => Area::Bookmarks,
            b"StructTreeRoot" | b"MarkInfo" => Area::Tags,
            b"Metadata" => Area::Metadata,
            b"PageLabels" => Area::Labels,
            b"AcroForm" => Area::Form,
            b"OutputIntents" => Area::Profile,
            b"Lang" => Area::Language,
            b"ViewerPreferences" | b"PageMode" | b"PageLayout" => Area::Showing,
            b"Names" | b"Dests" | b"AF" => Area::Named,
            b"OpenAction" | b"AA" | b"URI" => Area::Opening,
            b"PieceInfo" => Area::Making,
            _ => Area::Catalogue,
        }
    }

    /// The part that an entry of a page belongs to.
    pub(super) fn of_page(key: &[u8]) -> Area {
        match key {
            b"MediaBox" | b"CropBox" | b"BleedBox" | b"TrimBox" | b"ArtBox" | b"Rotate" | b"UserUnit" => Area::Boxes,
            b"AA" => Area::Opening,
            b"StructParents" => Area::Tags,
            _ => Area::Page,
        }
    }

    /// The part that an entry of a page's resources belongs to.
    pub(super) fn of_resources(key: &[u8]) -> Area {
        match key {
            b"Font" => Area::Font,
            b"XObject" => Area::Picture,
            _ => Area::Resources,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entries_are_told_as_the_part_they_belong_to() {
        for key in ["MediaBox", "CropBox", "BleedBox", "TrimBox", "ArtBox", "Rotate", "UserUnit"] {
            assert_eq!(Area::of_page(key.as_bytes()), Area::Boxes, "{key}");
        }
        assert_eq!(Area::of_page(b"AA"), Area::Opening);
        assert_eq!(Area::of_page(b"StructParents"), Area::Tags);
        assert_eq!(Area::of_page(b"Annots"), Area::Page);
        assert_eq!(Area::of_resources(b"Font"), Area::Font);
        assert_eq!(Area::of_resources(b"XObject"), Area::Picture);
        assert_eq!(Area::of_resources(b"ExtGState"), Area::Resources);
        for (keys, area) in [
            (&["Outlines"][..], Area::Bookmarks),
            (&["StructTreeRoot", "MarkInfo"], Area::Tags),
            (&["Metadata"], Area::Metadata),
            (&["PageLabels"], Area::Labels),
            (&["AcroForm"], Area::Form),
            (&["OutputIntents"], Area::Profile),
            (&["Lang"], Area::Language),
            (&["ViewerPreferences", "PageMode", "PageLayout"], Area::Showing),
            (&["Names", "Dests", "AF"], Area::Named),
            (&["OpenAction", "AA", "URI"], Area::Opening),
            (&["PieceInfo"], Area::Making),
            (&["Collection"], Area::Catalogue),
        ] {
            keys.iter().for_each(|key| assert_eq!(Area::of_catalogue(key.as_bytes()), area, "{key}"));
        }
    }
}
