//! Making up, hanging, licence and print: everything that happens off the knotting board.

use super::shop::INKS;
use crate::diag::{Diagnostic, Report};
use crate::form::{Bounds, Marked, Section};
use crate::project::{
    Acknowledged, Allowed, Backing, Bottom, BottomFinish, Class, EdgePoint, Finishing, Fixing, Glue, Hanging, Hardness,
    Ink, Licence, Mounting, Pace, Print, Units, Wood,
};
use crate::source;
use std::path::{Path, PathBuf};

/// Most points of a measured edge.
const MOST_POINTS: usize = 200;

pub(super) fn hanging(top: &Section<'_>, report: &mut Report) -> Hanging {
    // A half-inch dowel, as in the workroom's worked values.
    let mut hanging = Hanging {
        wood: Wood::Dowel,
        mounting: Mounting::OnTheWood,
        diameter_mm: 12.7,
        length_mm: None,
        lower_edge: Vec::new(),
        hardness: Hardness::Hard,
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
    if let Some(diameter) = section.measure("diameter", Bounds::mm(3.0, 500.0), report) {
        hanging.diameter_mm = diameter.value;
    }
    hanging.length_mm = section.measure("length", Bounds::mm(50.0, 20_000.0), report).map(|m| m.value);
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
    if hanging.wood == Wood::Branch && !section.has("lower-edge") && !section.has("deepest") {
        report.push(
            Diagnostic::advice("unmeasured-branch", "the lower edge of the branch is not measured")
                .at(section.place("on").unwrap_or(section.span()))
                .hint("hold a straight line where the cords will be fixed, measure how far the wood hangs below it, and add `deepest`"),
        );
    }
    section.close(report);
    hanging
}

fn lower_edge(section: &Section<'_>, report: &mut Report) -> Vec<EdgePoint> {
    let deep = Bounds::mm(0.0, 1_000.0);
    let deepest = section.measure("deepest", deep, report);
    if let (Some(span), true) = (section.place("deepest"), section.has("lower-edge")) {
        report.push(
            Diagnostic::fault("edge-given-twice", "`deepest` and `lower-edge` both say how far the wood hangs down")
                .at(span)
                .hint("keep `lower-edge`: its deepest point is found by itself"),
        );
    }
    let points = section.sections("lower-edge", report);
    if let Some(surplus) = points.get(MOST_POINTS) {
        report.push(
            Diagnostic::fault("too-long", format!("`lower-edge` has {} points", points.len()))
                .at(surplus.span())
                .hint(format!("keep at most {MOST_POINTS}: the deepest ones matter")),
        );
        return Vec::new();
    }
    let mut edge: Vec<EdgePoint> = Vec::new();
    for point in points {
        point.require("at", "\"10 cm\"", report);
        point.require("depth", "\"15 mm\"", report);
        let at = point.measure("at", Bounds::mm(0.0, 20_000.0), report);
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

pub(super) fn bottom(top: &Section<'_>, report: &mut Report) -> Bottom {
    // 200 mm below the last row is the workroom's figure; enough to tie the last rows without fighting the ends.
    let usual = Bottom { finish: BottomFinish::Fringe, length_mm: 200.0 };
    let Some(section) = top.section("bottom", report) else { return usual };
    let bottom = Bottom {
        finish: section
            .choice(
                "finish",
                &[
                    ("fringe", BottomFinish::Fringe),
                    ("trimmed", BottomFinish::Trimmed),
                    ("folded-back", BottomFinish::FoldedBack),
                ],
                report,
            )
            .map_or(usual.finish, |f| f.value),
        length_mm: section.measure("length", Bounds::mm(10.0, 5_000.0), report).map_or(usual.length_mm, |l| l.value),
    };
    section.close(report);
    bottom
}

pub(super) fn finishing(top: &Section<'_>, melts: bool, report: &mut Report) -> Finishing {
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
        fleece_width_mm: section.measure("fleece-width", Bounds::mm(10.0, 20_000.0), report).map(|m| m.value),
        fleece_height_mm: section.measure("fleece-height", Bounds::mm(10.0, 20_000.0), report).map(|m| m.value),
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

pub(super) fn pace(top: &Section<'_>, report: &mut Report) -> Option<Pace> {
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

pub(super) fn licence(top: &Section<'_>, report: &mut Report) -> Licence {
    // What the maker has not said yes to, the buyer asks about.
    let usual = Licence { sell_panels: Allowed::Ask, teach: Allowed::Ask, credit: None, words: None };
    let Some(section) = top.section("licence", report) else { return usual };
    let choices =
        [("yes", Allowed::Yes), ("with-credit", Allowed::WithCredit), ("ask", Allowed::Ask), ("no", Allowed::No)];
    let licence = Licence {
        sell_panels: section.choice("sell-panels", &choices, report).map_or(usual.sell_panels, |c| c.value),
        teach: section.choice("teach", &choices, report).map_or(usual.teach, |c| c.value),
        credit: section.text("credit", report).map(|t| t.value),
        words: section.words("words", report).map(|t| t.value),
    };
    section.close(report);
    licence
}

pub(super) fn print(top: &Section<'_>, folder: &Path, units: Option<Units>, report: &mut Report) -> Print {
    let paper = match units.unwrap_or(Units::Metric) {
        Units::Metric => "a4",
        Units::Imperial => "letter",
    };
    let mut print = Print { paper: paper.to_owned(), ink: Ink::Saving, layout: None, facing: None };
    let Some(section) = top.section("print", report) else { return print };
    if let Some(Marked { value, span }) = section.text("paper", report) {
        if !value.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-') {
            report.push(
                Diagnostic::fault("unknown-choice", format!("`{value}` is not the name of a paper"))
                    .at(span)
                    .hint("write it in small letters, for example `a4`, `letter` or `half-letter`"),
            );
        }
        print.paper = value;
    }
    if let Some(ink) = section.choice("ink", &INKS, report) {
        print.ink = ink.value;
    }
    if let Some(Marked { value, span }) = section.text("layout", report) {
        if let Err(fault) = source::inside(folder, &value) {
            report.push(fault.at(span));
        }
        print.layout = Some(PathBuf::from(value));
    }
    print.facing = section.choice("pages", &[("single", false), ("facing", true)], report).map(|pages| pages.value);
    section.close(report);
    print
}

pub(super) fn class(top: &Section<'_>, report: &mut Report) -> Class {
    // One spare kit: somebody always forgets one (our judgement).
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

pub(super) fn acknowledged(top: &Section<'_>, report: &mut Report) -> Vec<Acknowledged> {
    let mut answered = Vec::new();
    for section in top.sections("acknowledge", report) {
        section.require("advice", "\"odd-columns\"", report);
        section.require("reason", "\"...\"", report);
        let id = section.text("advice", report);
        let reason = section.words("reason", report);
        section.close(report);
        if let (Some(id), Some(reason)) = (id, reason) {
            answered.push(Acknowledged { id: id.value, reason: reason.value, place: id.span });
        }
    }
    answered
}
