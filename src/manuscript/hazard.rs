//! What can hurt, and when it is said: a caution appears only where the project's choices call for it.
//!
//! Signal words after ANSI Z535.6 / ISO 3864-2: warning where death or serious injury could follow, caution where a lesser
//! one could, notice where only the work suffers. Distances and counsel after OSHA 3080, USFA / NFPA, CPSC and HSE INDG171.

use super::Signal;
use crate::project::{Backing, Fixing, Glue, Project, Wood};

/// One thing to be careful of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Hazard {
    Children,
    Fire,
    SmallParts,
    SmallPartsClass,
    Scissors,
    ScissorsAgain,
    Pets,
    FoundWood,
    Sealing,
    StapleGun,
    Hammer,
    CraftGlue,
    CraftGlueAgain,
    HotGlue,
    HotGlueAgain,
    Iron,
    Drilling,
    Hanging,
    Carry,
    Scorch,
    GlueFlood,
}

impl Hazard {
    /// All that a booklet can say, gravest first.
    pub const ALL: [Hazard; 17] = [
        Hazard::Children,
        Hazard::Fire,
        Hazard::SmallParts,
        Hazard::StapleGun,
        Hazard::Hammer,
        Hazard::CraftGlue,
        Hazard::Drilling,
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

    /// Its signal word and its phrase.
    pub fn words(self) -> (Signal, &'static str) {
        match self {
            Hazard::Children => (Signal::Warning, "caution.children"),
            Hazard::Fire => (Signal::Warning, "caution.fire"),
            Hazard::SmallParts => (Signal::Warning, "caution.small-parts"),
            Hazard::SmallPartsClass => (Signal::Warning, "caution.small-parts-class"),
            Hazard::StapleGun => (Signal::Warning, "caution.staple-gun"),
            Hazard::Hammer => (Signal::Warning, "caution.hammer"),
            Hazard::CraftGlue => (Signal::Warning, "caution.craft-glue"),
            Hazard::Drilling => (Signal::Warning, "caution.drilling"),
            Hazard::Scissors => (Signal::Caution, "caution.scissors"),
            Hazard::ScissorsAgain => (Signal::Caution, "caution.scissors-again"),
            Hazard::Pets => (Signal::Caution, "caution.pets"),
            Hazard::FoundWood => (Signal::Caution, "caution.found-wood"),
            Hazard::Sealing => (Signal::Caution, "caution.sealing"),
            Hazard::CraftGlueAgain => (Signal::Warning, "caution.craft-glue-again"),
            Hazard::HotGlueAgain => (Signal::Caution, "caution.hot-glue-again"),
            Hazard::HotGlue => (Signal::Caution, "caution.hot-glue"),
            Hazard::Iron => (Signal::Caution, "caution.iron"),
            Hazard::Hanging => (Signal::Caution, "caution.hanging"),
            Hazard::Carry => (Signal::Notice, "caution.carry"),
            Hazard::Scorch => (Signal::Notice, "caution.scorch"),
            Hazard::GlueFlood => (Signal::Notice, "caution.glue-flood"),
        }
    }

    /// Whether this project meets it.
    pub fn met_by(self, project: &Project) -> bool {
        match self {
            Hazard::Children
            | Hazard::Fire
            | Hazard::Scissors
            | Hazard::Pets
            | Hazard::Drilling
            | Hazard::Hanging
            | Hazard::Carry => true,
            Hazard::SmallParts => project.finishing.beads || project.hanging.fixing != Fixing::Tied,
            // Said in the class edition, and before a step that repeats a hazard; never in the gathered list.
            Hazard::SmallPartsClass | Hazard::ScissorsAgain | Hazard::CraftGlueAgain | Hazard::HotGlueAgain => false,
            Hazard::StapleGun => project.hanging.fixing == Fixing::Staples,
            Hazard::Hammer => project.hanging.fixing == Fixing::Nails,
            Hazard::CraftGlue => project.finishing.glue == Glue::Craft,
            Hazard::HotGlue => project.finishing.glue == Glue::Hot,
            Hazard::GlueFlood => project.finishing.glue != Glue::None,
            Hazard::FoundWood => project.hanging.wood == Wood::Branch,
            Hazard::Sealing => project.finishing.sealing,
            Hazard::Iron | Hazard::Scorch => project.finishing.backing == Backing::Fused,
        }
    }
}
