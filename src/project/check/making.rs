//! Making up, hanging, licence and print: everything that happens off the knotting board.

use super::shop::INKS;
use crate::catalogue::PaperName;
use crate::diag::{Diagnostic, Phrase, Report};
use crate::form::{FormSection, Limits, Spanned};
use crate::project::{
    Acknowledgement, Backing, Bottom, BottomEdge, BottomFinish, Class, EdgePoint, Finishing, Fixing, Glue, Hanging,
    Hardness, Ink, Licence, Mounting, Pace, Permission, Print, Units, Wood,
};
use crate::source::Sources;
use std::path::{Path, PathBuf};

/// Most points of a measured edge.
const MAX_POINTS: usize = 200;

pub(super) fn hanging(top: &FormSection<'_>, report: &mut Report) -> Hanging {
    // A half-inch dowel (common practice, no source).
    let mut hanging = Hanging {
        wood: Wood::Dowel,
        mounting: Mounting::OnTheWood,
        diameter_mm: 12.7,
        length_mm: None,
        lower_edge: Vec::new(),
        hardness: Hardness::Hard,
        link: None,
        fixing: Fixing::Tied,
    };
    let Some(section) = top.section("hanging", report) else { return hanging };
    if let Some(on) = section.choice("on", &[("dowel", Wood::Dowel), ("branch", Wood::Branch)], report) {
        hanging.wood = on.value;
    }
    if hanging.wood == Wood::Branch {
        // Found wood is seldom as hard as a turned dowel; soft wood asks for the longer staple (our judgement).
        hanging.hardness = Hardness::Soft;
        hanging.diameter_mm = 30.0;
    }
    if let Some(how) =
        section.choice("mounting", &[("wood", Mounting::OnTheWood), ("strand", Mounting::OnAStrand)], report)
    {
        hanging.mounting = how.value;
    }
    if hanging.mounting == Mounting::OnAStrand {
        hanging.fixing = Fixing::Staples;
    }
    if let Some(diameter) = section.measure("diameter", Limits::mm(3.0, 500.0), report) {
        hanging.diameter_mm = diameter.value;
    }
    hanging.length_mm = section.measure("length", Limits::mm(50.0, 20_000.0), report).map(|m| m.value);
    if let Some(wood) = section.choice("wood", &[("hard", Hardness::Hard), ("soft", Hardness::Soft)], report) {
        hanging.hardness = wood.value;
    }
    if let Some(fixing) = section.choice(
        "fixing",
        &[("staples", Fixing::Staples), ("nails", Fixing::Nails), ("tied", Fixing::Tied)],
        report,
    ) {
        hanging.fixing = fixing.value;
    }
    hanging.lower_edge = lower_edge(&section, report);
    hanging.link = super::address::read(&section, "link", false, report);
    if hanging.wood == Wood::Branch && !section.has("lower-edge") && !section.has("deepest") {
        report.push(
            Diagnostic::advice(Phrase::new("unmeasured-branch", "the lower edge of the branch is not measured"))
                .at(section.place("on").unwrap_or(section.span()))
                .advise(Phrase::new(
                    "unmeasured-branch-hint",
                    "hold a straight line where the cords will be fixed, measure how far the wood hangs below it, and add \
                     `deepest`",
                )),
        );
    }
    section.close(report);
    hanging
}

fn lower_edge(section: &FormSection<'_>, report: &mut Report) -> Vec<EdgePoint> {
    let deep = Limits::mm(0.0, 1_000.0);
    let deepest = section.measure("deepest", deep, report);
    if let (Some(span), true) = (section.place("deepest"), section.has("lower-edge")) {
        report.push(
            Diagnostic::fault("edge-given-twice", "`deepest` and `lower-edge` both say how far the wood hangs down")
                .at(span)
                .hint("keep `lower-edge`: its deepest point is found by itself"),
        );
    }
    let points = section.sections("lower-edge", report);
    if let Some(surplus) = points.get(MAX_POINTS) {
        report.push(
            Diagnostic::fault("too-long", format!("`lower-edge` has {} points", points.len()))
                .at(surplus.span())
                .hint(format!("keep at most {MAX_POINTS}: the deepest ones matter")),
        );
        return Vec::new();
    }
    let mut edge: Vec<EdgePoint> = Vec::new();
    for point in points {
        point.require("at", "\"10 cm\"", report);
        point.require("depth", "\"15 mm\"", report);
        let at = point.measure("at", Limits::mm(0.0, 20_000.0), report);
        let depth = point.measure("depth", deep, report);
        point.close(report);
        let (Some(at), Some(depth)) = (at, depth) else { continue };
        if edge.last().is_some_and(|before| before.at_mm >= at.value) {
            report.push(
                Diagnostic::fault("edge-out-of-order", "this point does not lie to the right of the one before")
                    .at(at.span)
                    .hint("list the points from the panel's left edge to its right one"),
            );
        }
        edge.push(EdgePoint { at_mm: at.value, depth_mm: depth.value });
    }
    if edge.is_empty()
        && let Some(depth) = deepest
    {
        edge.push(EdgePoint { at_mm: 0.0, depth_mm: depth.value });
    }
    edge
}

pub(super) fn bottom(top: &FormSection<'_>, report: &mut Report) -> Bottom {
    // Enough to tie the last rows comfortably (our judgement).
    let usual =
        Bottom { finish: BottomFinish::Fringe, length_mm: 200.0, edge: BottomEdge::Straight, by_columns: false };
    let Some(section) = top.section("bottom", report) else { return usual };
    let finish = section
        .choice(
            "finish",
            &[
                ("fringe", BottomFinish::Fringe),
                ("trimmed", BottomFinish::Trimmed),
                ("folded-back", BottomFinish::FoldedBack),
            ],
            report,
        )
        .map_or(usual.finish, |f| f.value);
    let edges = [("straight", BottomEdge::Straight), ("following", BottomEdge::Following)];
    let edge = section.choice("edge", &edges, report);
    if let Some(asked) = edge.as_ref().filter(|edge| edge.value == BottomEdge::Straight)
        && finish == BottomFinish::FoldedBack
    {
        report.push(
            Diagnostic::fault("folded-ends-straight", "ends that are folded back do not end in one line")
                .at(asked.span)
                .hint("each is folded at its own last knot: leave `edge` out, or write another `finish`"),
        );
    }
    let bottom = Bottom {
        finish,
        length_mm: section.measure("length", Limits::mm(10.0, 5_000.0), report).map_or(usual.length_mm, |l| l.value),
        by_columns: edge.as_ref().is_some_and(|edge| edge.value == BottomEdge::Following),
        edge: edge.map_or(
            match finish {
                BottomFinish::Fringe => BottomEdge::Straight,
                BottomFinish::Trimmed | BottomFinish::FoldedBack => BottomEdge::Following,
            },
            |edge| edge.value,
        ),
    };
    section.close(report);
    bottom
}

pub(super) fn finishing(top: &FormSection<'_>, melts: bool, report: &mut Report) -> Finishing {
    // Fleece is ironed on, unless a yarn would melt under the iron.
    let backing = if melts { Backing::Sewn } else { Backing::Fused };
    let usual = Finishing {
        backing,
        fleece_width_mm: None,
        fleece_height_mm: None,
        label: true,
        edge_ribbon: false,
        glue: Glue::None,
        sealing: false,
        beads: false,
    };
    let Some(section) = top.section("finishing", report) else { return usual };
    let yes = |key: &str, usual: bool, report: &mut Report| section.yes_no(key, report).map_or(usual, |y| y.value);
    let finishing = Finishing {
        backing: section
            .choice("backing", &[("none", Backing::None), ("fused", Backing::Fused), ("sewn", Backing::Sewn)], report)
            .map_or(usual.backing, |b| b.value),
        fleece_width_mm: section.measure("fleece-width", Limits::mm(10.0, 20_000.0), report).map(|m| m.value),
        fleece_height_mm: section.measure("fleece-height", Limits::mm(10.0, 20_000.0), report).map(|m| m.value),
        label: yes("label", usual.label, report),
        edge_ribbon: yes("edge-ribbon", usual.edge_ribbon, report),
        glue: section
            .choice("glue", &[("none", Glue::None), ("craft", Glue::Craft), ("hot", Glue::Hot)], report)
            .map_or(usual.glue, |g| g.value),
        sealing: yes("sealing", usual.sealing, report),
        beads: yes("beads", usual.beads, report),
    };
    section.close(report);
    finishing
}

pub(super) fn pace(top: &FormSection<'_>, report: &mut Report) -> Option<Pace> {
    let section = top.section("pace", report)?;
    section.require("knots-per-minute", "6", report);
    let knots = section.number("knots-per-minute", 0.1, 200.0, report);
    // Two minutes for a join and one for a folded cord: our judgement.
    let join = section.number("join-minutes", 0.0, 120.0, report);
    let mount = section.number("mount-minutes", 0.0, 120.0, report);
    section.close(report);
    Some(Pace {
        knots_per_minute: knots?.value,
        join_minutes: join.map_or(2.0, |j| j.value),
        mount_minutes: mount.map_or(1.0, |m| m.value),
    })
}

pub(super) fn licence(top: &FormSection<'_>, report: &mut Report) -> Licence {
    // What the maker has not said yes to, the buyer asks about.
    let usual = Licence { sell_panels: Permission::Ask, teach: Permission::Ask, credit: None, words: None };
    let Some(section) = top.section("licence", report) else { return usual };
    let choices = [
        ("yes", Permission::Yes),
        ("with-credit", Permission::WithCredit),
        ("ask", Permission::Ask),
        ("no", Permission::No),
    ];
    let licence = Licence {
        sell_panels: section.choice("sell-panels", &choices, report).map_or(usual.sell_panels, |c| c.value),
        teach: section.choice("teach", &choices, report).map_or(usual.teach, |c| c.value),
        credit: section.text("credit", report).map(|t| t.value),
        words: super::own_words::words(&section, "words", report),
    };
    section.close(report);
    licence
}

pub(super) fn print(
    top: &FormSection<'_>,
    folder: &Path,
    units: Option<Units>,
    sources: &Sources,
    report: &mut Report,
) -> Print {
    let paper = match units.unwrap_or(Units::Metric) {
        Units::Metric => PaperName::A4,
        Units::Imperial => PaperName::Letter,
    };
    let mut print = Print { paper, ink: Ink::Saving, layout: None, facing: None };
    let Some(section) = top.section("print", report) else { return print };
    if let Some(paper) = section.choice("paper", &PaperName::choices(), report) {
        print.paper = paper.value;
    }
    if let Some(ink) = section.choice("ink", &INKS, report) {
        print.ink = ink.value;
    }
    if let Some(Spanned { value, span }) = section.text("layout", report) {
        if let Err(fault) = sources.inside(folder, &value) {
            report.push(fault.at(span));
        }
        print.layout = Some(PathBuf::from(value));
    }
    print.facing = section.choice("pages", &[("single", false), ("facing", true)], report).map(|pages| pages.value);
    section.close(report);
    print
}

pub(super) fn class(top: &FormSection<'_>, report: &mut Report) -> Class {
    // One spare kit (our judgement).
    let usual = Class { spares: 1, tools_shared: false, session_hours: Vec::new() };
    let Some(section) = top.section("class", report) else { return usual };
    let class = Class {
        spares: section.count("spares", 0, 1_000, report).map_or(usual.spares, |c| c.value as usize),
        tools_shared: section
            .choice("tools", &[("shared", true), ("own", false)], report)
            .map_or(usual.tools_shared, |t| t.value),
        session_hours: section.numbers("session-hours", 0.25, 24.0, report).map_or_else(Vec::new, |n| n.value),
    };
    section.close(report);
    class
}

pub(super) fn acknowledged(top: &FormSection<'_>, report: &mut Report) -> Vec<Acknowledgement> {
    let mut answered = Vec::new();
    for section in top.sections("acknowledge", report) {
        section.require("advice", "\"odd-columns\"", report);
        section.require("reason", "\"...\"", report);
        let id = section.text("advice", report);
        let reason = section.words("reason", report);
        section.close(report);
        if let (Some(id), Some(reason)) = (id, reason) {
            answered.push(Acknowledgement { id: id.value, reason: reason.value, place: id.span });
        }
    }
    answered
}
