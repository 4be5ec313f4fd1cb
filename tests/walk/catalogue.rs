//! The catalogue: marks, language, preferences, output intent, and what must not be there.

use super::{Walk, name, paint, plain, string};
use hayro_syntax::object::{Array, Dict, Stream};

impl<'a> Walk<'a> {
    pub(super) fn catalogue(&mut self) {
        let catalogue = self.catalogue.clone();
        let marks = catalogue.get::<Dict<'a>>("MarkInfo").unwrap_or_default();
        self.out.check(marks.get::<bool>("Marked") == Some(true), "mark-info", "");
        self.out.check(marks.get::<bool>("Suspects") != Some(true), "suspects", "");
        let language = string(&catalogue, "Lang").unwrap_or_default();
        self.out.check(!language.is_empty(), "language", "catalogue");
        self.language_tag(&language);
        let shown = catalogue.get::<Dict<'a>>("ViewerPreferences").and_then(|view| view.get::<bool>("DisplayDocTitle"));
        self.out.check(shown == Some(true), "display-title", "");
        self.output_intents();
        self.out.check(!catalogue.contains_key("OpenAction"), "action", "OpenAction");
        let names = catalogue.get::<Dict<'a>>("Names").unwrap_or_default();
        self.out.check(!names.contains_key("JavaScript"), "action", "Names");
        self.out.check(!names.contains_key("EmbeddedFiles") && !catalogue.contains_key("AF"), "embedded-file", "Names");
        self.out.check(!catalogue.contains_key("OCProperties"), "optional-content", "");
        self.out.check(!names.contains_key("AlternatePresentations"), "presentation", "Names");
        for key in ["Requirements", "NeedsRendering"] {
            self.out.check(!catalogue.contains_key(key), "presentation", key);
        }
        for (_, page) in self.pages.clone() {
            self.out.check(!page.contains_key("PresSteps"), "presentation", "page");
            self.boxes(&page);
        }
    }

    /// A language tag by its form (RFC 3066, 2.1, that BCP 47 has kept).
    pub(super) fn language_tag(&mut self, tag: &str) {
        let mut parts = tag.split('-');
        let first = parts.next().is_some_and(|part| part.len() <= 8 && part.bytes().all(|b| b.is_ascii_alphabetic()));
        let rest = parts
            .all(|part| !part.is_empty() && part.len() <= 8 && part.bytes().all(|byte| byte.is_ascii_alphanumeric()));
        self.out.check(tag.is_empty() || first && rest, "language-tag", tag);
    }

    fn output_intents(&mut self) {
        let Some(list) = self.catalogue.get::<Array<'a>>("OutputIntents") else { return };
        let mut profiles = Vec::new();
        for intent in list.iter::<Dict<'a>>() {
            self.out.check(!intent.contains_key("DestOutputProfileRef"), "output-intent", "a profile elsewhere");
            let named = string(&intent, "OutputConditionIdentifier").is_some_and(|words| !words.is_empty());
            self.out.check(named, "output-intent", "no condition");
            profiles.push(super::reference(&intent, "DestOutputProfile"));
            let Some(stream) = intent.get::<Stream<'a>>("DestOutputProfile") else { continue };
            let profile = plain(&stream).unwrap_or_default();
            let sort = paint::profile(&profile);
            let good = sort.as_ref().is_some_and(|sort| {
                matches!(sort.class.as_str(), "prtr" | "mntr")
                    && matches!(sort.space.as_str(), "RGB " | "GRAY" | "CMYK")
                    && sort.components() == stream.dict().get::<i32>("N")
            });
            self.out.check(good, "output-intent", "its profile");
            if name(&intent, "S") == "GTS_PDFA1" {
                self.intent = sort.map(|sort| sort.space);
            }
        }
        profiles.dedup();
        self.out.check(profiles.len() <= 1, "output-intent", "several profiles");
    }

    /// Boxes of a page, between 3 and 14,400 units (A 6.1.13), and each inside the media.
    fn boxes(&mut self, page: &Dict<'a>) {
        let media = rectangle(page, "MediaBox");
        self.out.check(media.is_some(), "page-box", "no media");
        let Some(media) = media else { return };
        for key in ["MediaBox", "CropBox", "BleedBox", "TrimBox", "ArtBox"] {
            let Some([left, bottom, right, top]) = rectangle(page, key) else { continue };
            let range = 3.0..=14_400.0;
            let sized = range.contains(&(right - left)) && range.contains(&(top - bottom));
            let inside = left >= media[0] && bottom >= media[1] && right <= media[2] && top <= media[3];
            self.out.check(sized && inside, "page-box", key);
        }
    }
}

/// A rectangle: left, bottom, right, top.
pub(super) fn rectangle(dict: &Dict<'_>, key: &str) -> Option<[f64; 4]> {
    let values: Vec<f64> =
        dict.get::<Array<'_>>(key)?.iter::<hayro_syntax::object::Number>().map(|number| number.as_f64()).collect();
    let [a, b, c, d] = values.as_slice() else { return None };
    Some([a.min(*c), b.min(*d), a.max(*c), b.max(*d)])
}
