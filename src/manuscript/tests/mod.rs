//! Tests of the manuscript on small invented projects, one for each choice a maker can make.
//!
//! Long, and one subject: the projects that all tests of this room are about.

mod cautions;
mod changes;
mod listing;
mod rows;

use super::dump::dump;
use super::options::WriteOptions;
use super::write::write;
use super::{Block, Manuscript, PictureBlock, WrittenRow};
use crate::catalogue::{EditionName, SectionName};
use crate::chart::{Chart, Palette, Yarn, YarnId};
use crate::colour::Colour;
use crate::project::Method;
use crate::project::{
    About, Backing, Bottom, BottomEdge, BottomFinish, Class, Colourway, Construction, Cord, Crop, Date, EdgePoint,
    Finishing, Fixing, Glue, Hanging, Hardness, Ink, Level, Licence, Model, Mounting, Pace, Permission, Print, Project,
    Shop, Side, Swatch, Units, Wood, Working,
};
use crate::words::Words;
use crate::workings::work_out;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

fn yarn(key: char, name: &str, hex: &str) -> Yarn {
    Yarn {
        key,
        name: name.to_string(),
        colour: Colour::from_hex(hex).expect("a colour"),
        weight: Some(4),
        diameter_mm: 2.54,
        knot_mm: None,
        ball_m: Some(85.0),
        ball_g: Some(50.0),
        ball_price: Some(4.5),
        brand: Some("Brackwater Yarns".to_string()),
        brand_language: None,
        shade: Some("12".to_string()),
        fibre: Some("wool".to_string()),
        care: Some("hand wash".to_string()),
        link: None,
        dye_lot: None,
        symbol: None,
        melts: false,
    }
}

/// A chart from letters; `.` is bare.
fn chart(palette: &Palette, rows: &[&str]) -> Chart {
    let columns = rows.first().map_or(0, |row| row.len());
    let cells = rows
        .iter()
        .flat_map(|row| row.chars())
        .map(|letter| palette.iter().find(|(_, yarn)| yarn.key == letter).map(|(id, _)| id))
        .collect();
    Chart::new(columns, cells).expect("whole rows")
}

/// A small invented project: a boat of twelve columns on a branch.
#[expect(clippy::too_many_lines, reason = "a whole project, field by field")]
fn small() -> Project {
    let palette =
        Palette(vec![yarn('N', "navy", "#1f2f56"), yarn('C', "cream", "#f1e7d0"), yarn('R', "rust", "#a4502c")]);
    let chart = chart(
        &palette,
        &[
            "NNNNNNNNNNNN",
            "NNNNNCNNNNNN",
            "NNNNNCCNNNNN",
            "NNNNNCCCNNNN",
            "NNNNNCCCCNNN",
            "NNNNNRNNNNNN",
            "NNRRRRRRRRNN",
            "NNNRRRRRRNNN",
            "CCCCCCCCCCCC",
            "NNCCNNCCNNCC",
            ".NNNNNNNNNN.",
            "..NNNNNNNN..",
        ],
    );
    Project {
        folder: PathBuf::new(),
        about: About {
            title: "Small Boat".to_string(),
            subtitle: Some("A first picture".to_string()),
            maker: "Brackwater Studio".to_string(),
            contact: Some("hello@brackwater.example.org".to_string()),
            video: None,
            errata: Some("brackwater.example.org/small-boat".to_string()),
            introduction: Some("A boat for a *small* wall.\n\nIt takes two evenings.".to_string()),
            notes: None,
            version: "1.0".to_string(),
            date: Date { year: 2026, month: 11, day: 5 },
            level: Level::Basic,
            language: "en-GB".to_string(),
            units: Units::Metric,
            keywords: Vec::new(),
            logo: None,
            photograph: None,
            photograph_words: None,
            picture_words: None,
            photograph_crop: Crop::Whole,
            currency: Some("GBP".to_string()),
        },
        palette,
        chart,
        cord: Cord {
            diameter_mm: 3.0,
            construction: Construction::SingleStrand,
            spool_m: Some(100.0),
            spool_g: Some(460.0),
            link: None,
            spool_price: Some(9.0),
            colour_name: Some("natural".to_string()),
            colour: Colour::new(0xe8, 0xdf, 0xcc),
            fibre: Some("cotton".to_string()),
            brand: None,
            brand_language: None,
        },
        swatch: Swatch { column_mm: Some(5.7), row_mm: Some(3.4), knot_mm: Some(34.8) },
        model: Model { cord_under_tension: 0.85, yarn_under_tension: 0.6, packing: 2.2, slack: 1.0 },
        working: Working {
            legs_per_column: 1,
            first_row_from: Side::Left,
            method: Method::Carry,
            length_mm: 1524.0,
            tail_mm: 76.2,
            longest_carry_mm: 60.0,
            most_rows_waiting: 2,
            carry_slack: 0.1,
            yarn_margin: 0.15,
            cord_margin: 0.05,
            cord_take_up: 0.03,
            header_yarn: YarnId(0),
            header_rows: None,
        },
        hanging: Hanging {
            wood: Wood::Branch,
            mounting: Mounting::OnAStrand,
            diameter_mm: 22.0,
            length_mm: Some(260.0),
            lower_edge: vec![EdgePoint { at_mm: 0.0, depth_mm: 6.0 }, EdgePoint { at_mm: 40.0, depth_mm: 9.0 }],
            link: None,
            hardness: Hardness::Soft,
            fixing: Fixing::Staples,
        },
        bottom: Bottom {
            finish: BottomFinish::Fringe,
            length_mm: 200.0,
            edge: BottomEdge::Straight,
            by_columns: false,
        },
        finishing: Finishing {
            backing: Backing::Fused,
            fleece_width_mm: None,
            fleece_height_mm: None,
            label: true,
            edge_ribbon: true,
            glue: Glue::Craft,
            sealing: true,
            beads: true,
        },
        pace: Some(Pace { knots_per_minute: 3.0, join_minutes: 1.0, mount_minutes: 1.0 }),
        licence: Licence {
            sell_panels: Permission::WithCredit,
            teach: Permission::Ask,
            credit: None,
            words: Some("Be kind with it.".to_string()),
        },
        print: Print { paper: crate::catalogue::PaperName::A4, ink: Ink::Saving, layout: None, facing: None },
        shop: Shop::usual(Ink::Saving),
        own_words: Vec::new(),
        acknowledged: Vec::new(),
        tools: Vec::new(),
        step_pictures: Vec::new(),
        placeholders: Vec::new(),
        class: Class { spares: 1, tools_shared: true, session_hours: vec![0.1, 1.0, 2.5] },
        translations: Vec::new(),
        translated: None,
        colourways: Vec::new(),
        colourway: None,
        sizes: Vec::new(),
        size: None,
        folder_stem: "small-boat".to_string(),
        file_stem: "small-boat".to_string(),
    }
}

fn written(project: &Project, sections: &[SectionName], students: Option<usize>) -> Manuscript {
    let words = Words::shipped("en-GB").expect("English words");
    let symbols: Vec<String> = (0..project.palette.len()).map(|at| format!("symbol-{at}")).collect();
    let options = WriteOptions {
        edition: EditionName::Booklet,
        sections,
        symbols: &symbols,
        rows_alongside: false,
        students,
        pictures: &[],
    };
    write(project, &work_out(project), &words, &options)
}

fn whole(project: &Project) -> Manuscript {
    written(project, SectionName::ALL, Some(6))
}

fn in_two_colourways(p: &mut Project) {
    let colourway = |name: &str, palette: Palette| Colourway {
        name: name.to_owned(),
        palette,
        place: crate::diag::Span::file(crate::diag::SourceId(0)),
    };
    let other =
        Palette(vec![yarn('N', "pine", "#1f4a36"), yarn('C', "shell", "#f1d7d0"), yarn('R', "plum", "#64203c")]);
    p.colourways = vec![colourway("Harbour", p.palette.clone()), colourway("Orchard", other)];
}

/// Every choice a maker can make, each value in at least one project.
fn choices() -> Vec<Project> {
    let mut all = Vec::new();
    let mut add = |change: &dyn Fn(&mut Project)| {
        let mut project = small();
        change(&mut project);
        all.push(project);
    };
    // A plain rectangle of knots.
    add(&|p| p.chart = chart(&p.palette, &["NNNNNNNNNNNN"; 12]));
    for fixing in [Fixing::Staples, Fixing::Nails, Fixing::Tied] {
        for mounting in [Mounting::OnAStrand, Mounting::OnTheWood] {
            for wood in [Wood::Branch, Wood::Dowel] {
                add(&|p| {
                    p.hanging.fixing = fixing;
                    p.hanging.mounting = mounting;
                    p.hanging.wood = wood;
                });
            }
        }
    }
    for glue in [Glue::None, Glue::Craft, Glue::Hot] {
        for finish in [BottomFinish::Fringe, BottomFinish::Trimmed, BottomFinish::FoldedBack] {
            for backing in [Backing::None, Backing::Fused, Backing::Sewn] {
                add(&|p| {
                    p.finishing.glue = glue;
                    p.finishing.backing = backing;
                    p.bottom.finish = finish;
                });
            }
        }
    }
    add(&|p| {
        p.finishing = Finishing {
            backing: Backing::None,
            fleece_width_mm: None,
            fleece_height_mm: None,
            label: false,
            edge_ribbon: false,
            glue: Glue::None,
            sealing: false,
            beads: false,
        };
        p.pace = None;
        p.swatch = Swatch::default();
        p.class = Class { spares: 0, tools_shared: false, session_hours: Vec::new() };
        p.licence = Licence { sell_panels: Permission::No, teach: Permission::No, credit: None, words: None };
        p.about.contact = None;
        p.about.errata = None;
        p.about.introduction = None;
        p.about.subtitle = None;
        p.about.currency = None;
        p.working.header_rows = Some(0);
    });
    add(&|p| {
        p.working.first_row_from = Side::Right;
        p.about.units = Units::Imperial;
        p.about.level = Level::Complex;
        p.licence.sell_panels = Permission::Yes;
        p.licence.teach = Permission::Yes;
        p.cord.construction = Construction::Braided;
        p.working.header_rows = Some(6);
    });
    add(&|p| {
        p.working.legs_per_column = 2;
        p.about.level = Level::Intermediate;
        p.about.notes = Some("Thank you.".to_string());
        p.licence.sell_panels = Permission::Ask;
        p.licence.teach = Permission::WithCredit;
        p.licence.credit = Some("Small Boat by Brackwater".to_string());
        p.cord.construction = Construction::ThreePly;
        p.palette.0[0].melts = true;
        p.finishing.backing = Backing::Sewn;
        p.hanging.diameter_mm = 8.0;
        p.palette.0[0].ball_m = None;
        p.palette.0[1].dye_lot = Some("4711".to_string());
        p.about.level = Level::Easy;
    });
    add(&in_two_colourways);
    // Odd columns, one yarn, every row bare somewhere, one column only, two yarns that are linked along an upright line.
    let odd: [&[&str]; 4] = [&["NNNNN", "NNCNN", ".....", "NNNNN"], &["N"], &["NNNN", "NNNN"], &["NNNNNNCCCCCC"; 12]];
    odd.iter().for_each(|rows| add(&|p| p.chart = chart(&p.palette, rows)));
    all
}

fn blocks(manuscript: &Manuscript) -> impl Iterator<Item = &Block> {
    manuscript.sections.iter().flat_map(|section| &section.blocks)
}

fn rows(manuscript: &Manuscript) -> Vec<&WrittenRow> {
    blocks(manuscript)
        .flat_map(|block| if let Block::Rows(rows) = block { rows.iter().collect() } else { Vec::new() })
        .collect()
}

#[test]
fn every_section_is_written_whole_whatever_the_maker_chose() {
    for (at, project) in choices().iter().enumerate() {
        let manuscript = whole(project);
        let ids: Vec<SectionName> = manuscript.sections.iter().map(|section| section.id).collect();
        let is_wanted = |id: &&SectionName| **id != SectionName::Colourways || project.is_for_all_colourways();
        assert_eq!(ids, SectionName::ALL.iter().filter(is_wanted).copied().collect::<Vec<_>>(), "project {at}");
        let text = dump(&manuscript);
        for line in text.lines() {
            assert!(!line.contains('«') && !line.contains("NaN") && !line.contains("inf "), "project {at}: {line}");
            // Fields stand in braces in the dump, and nothing else does.
            let fields = line.matches('{').count();
            let known =
                ["{row-", "{materials-", "{colourway-"].iter().map(|field| line.matches(field).count()).sum::<usize>();
            assert_eq!(fields, known, "project {at}: {line}");
        }
        assert!(manuscript.sections.iter().all(|section| !section.blocks.is_empty()), "project {at}");
    }
}

#[test]
fn a_class_list_is_written_only_for_a_class() {
    let sections = [SectionName::MaterialsList, SectionName::ClassList, SectionName::WhatToBring];
    let manuscript = written(&small(), &sections, None);
    let ids: Vec<SectionName> = manuscript.sections.iter().map(|section| section.id).collect();
    assert_eq!(ids, [SectionName::MaterialsList, SectionName::WhatToBring]);
}

#[test]
fn a_box_is_named_once_and_shared_only_between_chart_and_rows() {
    for project in choices() {
        // The booklet and the materials edition each have their own list.
        let own_list = SectionName::ALL.iter().position(|id| *id == SectionName::MaterialsList).expect("a section");
        for sections in [&SectionName::ALL[..own_list], &SectionName::ALL[own_list..]] {
            let manuscript = written(&project, sections, Some(3));
            let mut seen: BTreeMap<String, usize> = BTreeMap::new();
            for block in blocks(&manuscript) {
                let fields: Vec<String> = match block {
                    Block::Ticks(lines) => lines.iter().map(|line| line.field.clone()).collect(),
                    Block::Table(table) => table
                        .rows
                        .iter()
                        .flatten()
                        .filter_map(|entry| entry.tick.as_ref().map(|(field, _)| field.clone()))
                        .collect(),
                    Block::Rows(rows) => rows.iter().map(|row| row.field.clone()).collect(),
                    Block::Chart(chart) => chart.rows.iter().map(|row| row.field.clone()).collect(),
                    _ => Vec::new(),
                };
                for field in fields {
                    *seen.entry(field).or_default() += 1;
                }
            }
            for (field, times) in seen {
                let shared = field.starts_with("row-") && !field.starts_with("row-H");
                assert_eq!(times, if shared { 2 } else { 1 }, "{field}");
            }
        }
    }
}

#[test]
fn the_chart_edition_speaks_its_rows() {
    let manuscript = written(&small(), &[SectionName::Chart], None);
    let chart = blocks(&manuscript).find_map(|block| if let Block::Chart(chart) = block { Some(chart) } else { None });
    let chart = chart.expect("a chart");
    assert_eq!(chart.rows.len(), 12);
    assert!(chart.rows.iter().all(|row| row.spoken.starts_with("Row ") && row.spoken.contains("knots")));
    // Header rows have boxes of their own.
    let ticks = blocks(&manuscript).find_map(|block| if let Block::Ticks(lines) = block { Some(lines) } else { None });
    assert!(ticks.is_some_and(|lines| lines.iter().all(|line| line.field.starts_with("row-H"))));
}

#[test]
fn a_left_handed_edition_turns_the_working_and_never_the_picture() {
    let mut project = small();
    let right_handed = whole(&project);
    project.working.first_row_from = Side::Right;
    let left_handed = whole(&project);
    let cells = |manuscript: &Manuscript| {
        blocks(manuscript)
            .find_map(|block| if let Block::Chart(chart) = block { Some(chart.cells.clone()) } else { None })
            .expect("a chart")
    };
    assert_eq!(cells(&right_handed), cells(&left_handed));
    for (a, b) in rows(&right_handed).iter().zip(rows(&left_handed)) {
        assert_ne!(a.left_to_right, b.left_to_right);
    }
    let figures: Vec<(String, bool)> = blocks(&left_handed)
        .filter_map(|block| if let Block::Figure(f) = block { Some((f.name.clone(), f.mirrored)) } else { None })
        .collect();
    assert!(figures.contains(&("turn".to_string(), true)));
    // The two knots are drawn as they are named; the one that row 1 needs comes first.
    let first = figures.iter().find(|(name, _)| name.starts_with("hitch-"));
    assert_eq!(first, Some(&("hitch-right-to-left".to_string(), false)));
}

#[test]
fn every_figure_that_is_asked_for_is_shipped_and_every_shipped_one_is_asked_for() {
    let mut asked = BTreeSet::new();
    for project in choices() {
        for block in blocks(&whole(&project)) {
            match block {
                Block::Figure(figure) => asked.extend([figure.name.clone()]),
                Block::Steps(steps) => asked.extend(steps.iter().filter_map(|s| Some(s.figure.as_ref()?.name.clone()))),
                _ => {}
            }
        }
    }
    let figures = crate::figure::Figures::shipped();
    assert_eq!(asked, figures.names().map(str::to_string).collect());
}

#[test]
fn a_booklet_without_techniques_does_not_promise_to_show_them() {
    let promised = |sections: &[SectionName]| dump(&written(&small(), sections, None)).contains("step by step");
    assert!(promised(&[SectionName::AtAGlance, SectionName::Techniques]));
    assert!(!promised(&[SectionName::AtAGlance]));
}

#[test]
fn a_photograph_takes_the_place_of_the_drawing() {
    let mut project = small();
    project.about.photograph = Some(PathBuf::from("panel.png"));
    let words = Words::shipped("en-GB").expect("English words");
    let photograph = crate::page::PictureFile { bytes: std::sync::Arc::new(vec![1]), pixels: (3, 2) };
    let sections = [SectionName::Cover];
    let pictures = [(PathBuf::from("panel.png"), photograph)];
    let options = WriteOptions { sections: &sections, pictures: &pictures, ..WriteOptions::default() };
    let manuscript = write(&project, &work_out(&project), &words, &options);
    assert_eq!(manuscript.pictures.len(), 1);
    assert!(blocks(&manuscript).any(|block| matches!(block, Block::Picture(PictureBlock { picture: 0, .. }))));
    assert!(!blocks(&manuscript).any(|block| matches!(block, Block::AsKnotted(_))));
}

/// `RENEW_GOLDEN=1 cargo test --lib manuscript` writes the file anew; that run fails, so that somebody reads it.
#[test]
fn the_manuscript_of_a_small_project_reads_as_it_did() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/manuscript/small-boat.txt");
    let now = dump(&whole(&small()));
    if std::env::var_os("RENEW_GOLDEN").is_some() {
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("the folder can be made");
        std::fs::write(&path, &now).expect("the file can be written");
        panic!("written anew: read {}", path.display());
    }
    let then = std::fs::read_to_string(&path).expect("the golden file is there");
    for (line, (now, then)) in now.lines().zip(then.lines()).enumerate() {
        assert_eq!(now, then, "line {}", line + 1);
    }
    assert_eq!(now.lines().count(), then.lines().count());
}
