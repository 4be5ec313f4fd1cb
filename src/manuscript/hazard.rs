//! What can hurt, and when it is said: a caution appears only where the project's choices and its weight call for it.
//! It stands whole on the page of cautions; before the step it protects stands one line that names that page.
//!
//! Signal words after ANSI Z535.6 / ISO 3864-2: warning where death or serious injury could follow, caution where a lesser
//! one could, notice where only the work suffers. Distances and counsel after OSHA 3080, USFA / NFPA, CPSC and HSE INDG171.

use super::context::WriteContext;
use super::{Caution, Inline, Signal, Step};
use crate::catalogue::SectionName;
use crate::project::{Backing, Fixing, Glue, Wood};
use crate::words::Names;
use crate::words::measures::MeasureKind;
use std::fmt::Display;

/// One thing to be careful of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Hazard {
    Children,
    Fire,
    SmallParts,
    SmallPartsClass,
    Scissors,
    Pets,
    FoundWood,
    Sealing,
    StapleGun,
    Hammer,
    CraftGlue,
    HotGlue,
    Iron,
    Drilling,
    WallPin,
    Hanging,
    Carry,
    Scorch,
    GlueFlood,
}

impl Hazard {
    /// All that a booklet can say, gravest first.
    pub(crate) const ALL: [Hazard; 18] = [
        Hazard::Children,
        Hazard::Fire,
        Hazard::SmallParts,
        Hazard::StapleGun,
        Hazard::Hammer,
        Hazard::CraftGlue,
        Hazard::Drilling,
        Hazard::WallPin,
        Hazard::Scissors,
        Hazard::Pets,
        Hazard::FoundWood,
        Hazard::Sealing,
        Hazard::HotGlue,
        Hazard::Iron,
        Hazard::Hanging,
        Hazard::Carry,
        Hazard::Scorch,
        Hazard::GlueFlood,
    ];

    /// Its signal word, the phrase that says it whole, and the line that stands for it before a step. Notices are about the
    /// work: they stand whole before their step and are not gathered. What is for a teacher is never a step.
    pub(crate) fn words(self) -> (Signal, &'static str, Option<&'static str>) {
        match self {
            Hazard::Children => (Signal::Warning, "caution.children", Some("caution.children-brief")),
            Hazard::Fire => (Signal::Warning, "caution.fire", Some("caution.fire-brief")),
            Hazard::SmallParts => (Signal::Warning, "caution.small-parts", Some("caution.small-parts-brief")),
            Hazard::SmallPartsClass => (Signal::Warning, "caution.small-parts-class", None),
            Hazard::StapleGun => (Signal::Warning, "caution.staple-gun", Some("caution.staple-gun-brief")),
            Hazard::Hammer => (Signal::Warning, "caution.hammer", Some("caution.hammer-brief")),
            Hazard::CraftGlue => (Signal::Warning, "caution.craft-glue", Some("caution.craft-glue-brief")),
            Hazard::Drilling => (Signal::Warning, "caution.drilling", Some("caution.drilling-brief")),
            Hazard::WallPin => (Signal::Warning, "caution.wall-pin", Some("caution.wall-pin-brief")),
            Hazard::Scissors => (Signal::Caution, "caution.scissors", Some("caution.scissors-brief")),
            Hazard::Pets => (Signal::Caution, "caution.pets", Some("caution.pets-brief")),
            Hazard::FoundWood => (Signal::Caution, "caution.found-wood", Some("caution.found-wood-brief")),
            Hazard::Sealing => (Signal::Caution, "caution.sealing", Some("caution.sealing-brief")),
            Hazard::HotGlue => (Signal::Caution, "caution.hot-glue", Some("caution.hot-glue-brief")),
            Hazard::Iron => (Signal::Caution, "caution.iron", Some("caution.iron-brief")),
            Hazard::Hanging => (Signal::Caution, "caution.hanging", Some("caution.hanging-brief")),
            Hazard::Carry => (Signal::Notice, "caution.carry", None),
            Hazard::Scorch => (Signal::Notice, "caution.scorch", None),
            Hazard::GlueFlood => (Signal::Notice, "caution.glue-flood", None),
        }
    }

    /// Whether this project meets it.
    pub(crate) fn met_by(self, context: &WriteContext) -> bool {
        let project = context.project;
        match self {
            Hazard::Children | Hazard::Fire | Hazard::Scissors | Hazard::Pets | Hazard::Hanging => true,
            Hazard::Carry => context.workings.amounts.iter().any(|amount| amount.carries > 0),
            Hazard::Drilling => !hangs_from_a_pin(context),
            Hazard::WallPin => hangs_from_a_pin(context),
            Hazard::SmallParts => project.finishing.beads || project.hanging.fixing != Fixing::Tied,
            // Said in the class edition alone.
            Hazard::SmallPartsClass => false,
            Hazard::StapleGun => project.hanging.fixing == Fixing::Staples,
            Hazard::Hammer => project.hanging.fixing == Fixing::Nails,
            Hazard::CraftGlue => project.finishing.glue == Glue::Craft,
            Hazard::HotGlue => project.finishing.glue == Glue::Hot,
            Hazard::GlueFlood => project.finishing.glue != Glue::None,
            Hazard::FoundWood => project.hanging.wood == Wood::Branch,
            Hazard::Sealing => project.finishing.sealing,
            Hazard::Iron | Hazard::Scorch => context.backing() == Backing::Fused,
        }
    }
}

/// Panel and wood up to this hang from a pin or a small nail, grams: our judgement.
const PIN_G: f64 = 200.0;

/// Whether panel and wood are so light that a pin holds them, and nothing need be drilled.
pub(super) fn hangs_from_a_pin(context: &WriteContext) -> bool {
    context.workings.hanging.total_g <= PIN_G
}

/// The small parts of this project by name.
pub(super) fn small_parts(context: &WriteContext) -> String {
    let fixing = match context.project.hanging.fixing {
        Fixing::Staples => Some(context.say("caution.part-staples", &[])),
        Fixing::Nails => Some(context.say("caution.part-nails", &[])),
        Fixing::Tied => None,
    };
    let beads = context.project.finishing.beads.then(|| context.say("caution.part-beads", &[]));
    context.words.list(&fixing.into_iter().chain(beads).collect::<Vec<_>>())
}

impl WriteContext<'_> {
    /// A step with the cautions that stand before it.
    pub(crate) fn step_after(&self, hazards: &[Hazard], key: &str, names: Names) -> Step {
        Step { cautions: self.cautions(hazards), ..self.step(key, names) }
    }

    /// Cautions before a step, in the order given, of those that this project meets: a line each where the edition has
    /// them gathered on a page, whole elsewhere.
    pub(crate) fn cautions(&self, hazards: &[Hazard]) -> Vec<Caution> {
        let met = hazards.iter().filter(|hazard| hazard.met_by(self));
        met.map(|hazard| match hazard.words().2 {
            Some(brief) if self.has(SectionName::Cautions) => {
                let whole = self.caution(*hazard);
                let what = self.say(brief, &self.distances().names());
                let page = vec![Inline::PageOf(SectionName::Cautions)];
                Caution { text: self.text_with("caution.brief", &[("what", &what)], "page", page), ..whole }
            }
            Some(_) | None => self.caution(*hazard),
        })
        .collect()
    }

    /// Distances that cautions name.
    fn distances(&self) -> Distances {
        Distances {
            heater: self.measures.both(MeasureKind::Room, 1000.0),
            candle: self.measures.both(MeasureKind::Reach, 300.0),
            mass: self.measures.both(MeasureKind::Mass, self.panel_g()),
            parts: small_parts(self),
        }
    }

    /// A caution with its distances and weights filled in.
    pub(crate) fn caution(&self, hazard: Hazard) -> Caution {
        let (signal, key, _) = hazard.words();
        let word = match signal {
            Signal::Warning => self.say("caution.warning", &[]),
            Signal::Caution => self.say("caution.caution", &[]),
            Signal::Notice => self.say("caution.notice", &[]),
        };
        let text = self.text(key, &self.distances().names());
        Caution { signal, word, text }
    }
}

/// What the phrases of cautions name.
struct Distances {
    heater: String,
    candle: String,
    mass: String,
    parts: String,
}

impl Distances {
    fn names(&self) -> [(&'static str, &dyn Display); 4] {
        [("heater", &self.heater), ("candle", &self.candle), ("mass", &self.mass), ("parts", &self.parts)]
    }
}
