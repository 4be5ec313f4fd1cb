//! Projects for tests, made in memory: a chart of letters and a maker's plain choices.
//!
//! Cord 3 mm single-strand and yarn of 10 wraps per inch unless a test says otherwise; tails 76.2 mm (3 in), lengths
//! 1371.6 mm (a strand of 60 in less two tails of 3 in is what 38 knots take by the model).

use hitchpress::chart::{Chart, Colour, Palette, Yarn, YarnId};
use hitchpress::project::*;

/// A chart from rows of letters `A`, `B` ...; a full stop is bare.
pub fn chart(rows: &[&str]) -> Chart {
    let cells = rows.iter().flat_map(|row| row.bytes()).map(|b| match b {
        b'.' => None,
        letter => Some(YarnId(letter - b'A')),
    });
    Chart::new(rows[0].len(), cells.collect()).expect("whole rows")
}

/// A yarn of 10 wraps per inch.
pub fn yarn(at: usize) -> Yarn {
    Yarn {
        key: char::from(b'A' + at as u8),
        name: format!("yarn {at}"),
        colour: Colour::new((40 * at % 256) as u8, 255 - (30 * at % 256) as u8, 90),
        weight: Some(4),
        diameter_mm: 25.4 / 10.0,
        knot_mm: None,
        ball_m: Some(100.0),
        ball_g: Some(50.0),
        ball_price: Some(4.5),
        brand: None,
        brand_language: None,
        shade: None,
        fibre: None,
        care: None,
        link: None,
        dye_lot: None,
        symbol: None,
        melts: false,
    }
}

/// A project round a chart, without a header.
#[expect(clippy::too_many_lines, reason = "a project has many fields, and each is said once")]
pub fn panel(chart: Chart) -> Project {
    let yarns = chart.cells().iter().flatten().map(|y| usize::from(y.0) + 1).max().unwrap_or(1);
    Project {
        folder: "panel".into(),
        about: About {
            title: "Reed bed".into(),
            subtitle: None,
            maker: "Plain Studio".into(),
            contact: None,
            errata: None,
            video: None,
            introduction: None,
            notes: None,
            version: "1.0".into(),
            date: Date { year: 2025, month: 3, day: 9 },
            level: Level::Easy,
            language: "en-GB".into(),
            units: Units::Metric,
            keywords: Vec::new(),
            logo: None,
            photograph: None,
            photograph_words: None,
            picture_words: Some("A picture for a test.".to_owned()),
            photograph_crop: Crop::Whole,
            currency: Some("GBP".into()),
        },
        palette: Palette((0..yarns).map(yarn).collect()),
        chart,
        cord: Cord {
            diameter_mm: 3.0,
            construction: Construction::SingleStrand,
            spool_m: Some(100.0),
            spool_g: Some(460.0),
            link: None,
            spool_price: Some(12.0),
            colour_name: None,
            colour: Colour::new(230, 220, 200),
            fibre: None,
            brand: None,
            brand_language: None,
        },
        swatch: Swatch::default(),
        model: Model { cord_under_tension: 0.85, yarn_under_tension: 0.60, packing: 2.2, slack: 1.0 },
        working: Working {
            legs_per_column: 1,
            first_row_from: Side::Left,
            method: Method::Areas,
            length_mm: 1371.6 + 2.0 * 76.2,
            tail_mm: 76.2,
            longest_carry_mm: 25.0,
            most_rows_waiting: 2,
            carry_slack: 0.10,
            yarn_margin: 0.15,
            cord_margin: 0.05,
            cord_take_up: 0.03,
            header_yarn: YarnId(0),
            header_rows: Some(0),
        },
        hanging: Hanging {
            wood: Wood::Dowel,
            mounting: Mounting::OnTheWood,
            diameter_mm: 12.7,
            length_mm: None,
            lower_edge: Vec::new(),
            link: None,
            hardness: Hardness::Hard,
            fixing: Fixing::Tied,
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
            glue: Glue::None,
            sealing: false,
            beads: false,
        },
        pace: None,
        licence: Licence { sell_panels: Permission::Yes, teach: Permission::Ask, credit: None, words: None },
        print: Print { paper: hitchpress::catalogue::PaperName::A4, ink: Ink::Saving, layout: None, facing: None },
        shop: Shop::usual(Ink::Saving),
        own_words: Vec::new(),
        acknowledged: Vec::new(),
        tools: Vec::new(),
        step_pictures: Vec::new(),
        placeholders: Vec::new(),
        class: Class { spares: 1, tools_shared: true, session_hours: Vec::new() },
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

/// A random chart of at most `most` columns and rows: patches rather than noise in half of them, some with bare cells.
pub fn random_chart(rng: &mut fastrand::Rng, most: usize, yarns: u8) -> Chart {
    let (columns, rows) = (rng.usize(1..=most), rng.usize(1..=most));
    let yarns = rng.u8(1..=yarns);
    let bare = if rng.bool() { 0.0 } else { 0.12 };
    let keep = if rng.bool() { 0.0 } else { 0.6 };
    let mut cells: Vec<Option<YarnId>> = Vec::new();
    for at in 0..columns * rows {
        let beside = if at.is_multiple_of(columns) { None } else { cells.last().copied() };
        let above = at.checked_sub(columns).map(|a| cells[a]);
        let copied = if rng.bool() { beside } else { above };
        cells.push(match copied {
            Some(cell) if rng.f64() < keep => cell,
            _ if rng.f64() < bare => None,
            _ => Some(YarnId(rng.u8(0..yarns))),
        });
    }
    if cells.iter().all(Option::is_none) {
        cells[0] = Some(YarnId(0));
    }
    Chart::new(columns, cells).expect("whole rows")
}
