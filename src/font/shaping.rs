//! Shaping one word in one face, in font units, and remembering it: booklets say the same words over and over.

use super::Features;
use harfrust::{Buffer, BufferFlags, Direction, Feature, Font, Language, Script, ShapeOptions, ShapePlan, ShaperFont};
use std::collections::HashMap;
use std::ops::Range;
use std::str::FromStr;
use std::sync::Arc;

/// A glyph of a shaped word, in font units.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct RawGlyph {
    /// Glyph id; 0 where the face has none for this cluster.
    pub(crate) id: u16,
    /// How far the pen moves.
    pub(crate) advance: i32,
    /// Shift right of the pen.
    pub(crate) dx: i32,
    /// Shift up from the baseline.
    pub(crate) dy: i32,
    /// Bytes of the word it stands for; several glyphs of one cluster share a range.
    pub(crate) cluster: Range<usize>,
}

/// Words kept for one setting before the store is emptied: more than a long booklet says.
const KEPT_WORDS: usize = 50_000;

/// Shaped words by setting. Looked up only, never walked through, so the order of the maps does not matter.
#[derive(Default)]
pub(super) struct WordCache {
    settings: Vec<Setting>,
    buffer: Option<Buffer>,
}

struct Setting {
    features: Features,
    language: String,
    shaper_language: Option<Language>,
    plans: Vec<CachedPlan>,
    words: HashMap<Box<str>, Arc<[RawGlyph]>>,
}

/// A plan holds for texts of one script that ask for the same features, be it in other places.
struct CachedPlan {
    script: Option<Script>,
    features: Vec<Feature>,
    plan: ShapePlan,
}

impl CachedPlan {
    fn serves(&self, script: Option<Script>, features: &[Feature]) -> bool {
        let everywhere = |f: &Feature| (f.start, f.end) == (Feature::GLOBAL_START, Feature::GLOBAL_END);
        let kind = |f: &Feature| (f.tag, f.value, everywhere(f));
        self.script == script && self.features.iter().map(kind).eq(features.iter().map(kind))
    }
}

impl WordCache {
    /// Shapes a stretch of text in a font; see [`super::Face::shape`].
    pub(super) fn shape(&mut self, font: &Font, text: &str, features: Features, language: &str) -> Arc<[RawGlyph]> {
        let WordCache { settings, buffer } = self;
        let at = match settings.iter().position(|s| s.features == features && s.language == language) {
            Some(at) => at,
            None => {
                settings.push(Setting {
                    features,
                    language: language.to_owned(),
                    shaper_language: Language::from_str(language).ok(),
                    plans: Vec::new(),
                    words: HashMap::new(),
                });
                settings.len() - 1
            }
        };
        let setting = &mut settings[at];
        if let Some(glyphs) = setting.words.get(text) {
            return glyphs.clone();
        }
        let mut now = buffer.take().unwrap_or_default();
        let glyphs: Arc<[RawGlyph]> = setting.shape(font, text, &mut now).into();
        *buffer = Some(now);
        if setting.words.len() >= KEPT_WORDS {
            setting.words.clear();
        }
        setting.words.insert(text.into(), glyphs.clone());
        glyphs
    }
}

impl Setting {
    fn shape(&mut self, font: &Font, text: &str, buffer: &mut Buffer) -> Vec<RawGlyph> {
        buffer.clear();
        buffer.push_str(text);
        buffer.set_direction(Direction::LeftToRight);
        buffer.set_script(None);
        buffer.guess_segment_properties();
        buffer.set_language(self.shaper_language.clone());
        // Joiners and soft hyphens are for the shaper and the line breaker, not for the page.
        buffer.set_flags(BufferFlags::REMOVE_DEFAULT_IGNORABLES | BufferFlags::DO_NOT_INSERT_DOTTED_CIRCLE);
        let features = self.features.settings(text);
        let at = self.plan_for(font, buffer.script(), &features);
        let options = ShapeOptions::default().plan(Some(&self.plans[at].plan)).features(&features);
        if harfrust::shape(&ShaperFont::new(font), buffer, options).is_err() {
            return Vec::new();
        }
        let infos = buffer.glyph_infos();
        let mut glyphs: Vec<RawGlyph> = infos
            .iter()
            .zip(buffer.glyph_positions())
            .map(|(info, position)| RawGlyph {
                id: u16::try_from(info.glyph_id).unwrap_or(0),
                advance: position.x_advance,
                dx: position.x_offset,
                dy: position.y_offset,
                cluster: info.cluster as usize..text.len(),
            })
            .collect();
        // A cluster reaches to the start of the next one; the first also takes what was removed before it.
        let (mut end, mut last_start) = (text.len(), text.len());
        for glyph in glyphs.iter_mut().rev() {
            if glyph.cluster.start != last_start {
                end = last_start;
                last_start = glyph.cluster.start;
            }
            glyph.cluster.end = end.max(glyph.cluster.start);
        }
        let first = glyphs.first().map_or(0, |glyph| glyph.cluster.start);
        for glyph in glyphs.iter_mut().take_while(|glyph| glyph.cluster.start == first) {
            glyph.cluster.start = 0;
        }
        glyphs
    }

    /// The index of the plan for such a text, made if there is none yet.
    fn plan_for(&mut self, font: &Font, script: Option<Script>, features: &[Feature]) -> usize {
        if let Some(at) = self.plans.iter().position(|planned| planned.serves(script, features)) {
            return at;
        }
        let language = self.shaper_language.as_ref();
        let plan = ShapePlan::new(font, Direction::LeftToRight, script, language, features);
        self.plans.push(CachedPlan { script, features: features.to_vec(), plan });
        self.plans.len() - 1
    }
}
