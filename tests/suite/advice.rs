//! Each piece of advice is given where it should be, names the place, and stays quiet where it should.

use crate::panel::{chart, panel};
use crate::support::{Room, repository};
use hitchpress::advice::{IDS, advise, coarse_photograph, small_cells};
use hitchpress::chart::{Chart, Colour, YarnId};
use hitchpress::diag::{Diagnostic, Report, Severity, SourceId, Span};
use hitchpress::font::FontBook;
use hitchpress::page::Item;
use hitchpress::press::{Wishes, open_variant};
use hitchpress::project::*;
use hitchpress::source::Sources;
use hitchpress::workings::{Workings, work_out};

fn advice(project: &Project) -> Vec<Diagnostic> {
    advise(project, &work_out(project)).iter().cloned().collect()
}

fn the(id: &str, project: &Project) -> Diagnostic {
    assert!(IDS.contains(&id), "{id} is not listed");
    let all = advice(project);
    let found = all.iter().find(|d| d.id == id);
    found.unwrap_or_else(|| panic!("no `{id}` in {:?}", all.iter().map(|d| d.id).collect::<Vec<_>>())).clone()
}

fn ids(project: &Project) -> Vec<&'static str> {
    advice(project).iter().map(|d| d.id).collect()
}

/// Two yarns far apart, a swatch, even columns: nothing to say.
fn sound() -> Project {
    let mut project = panel(chart(&["AAAAAA", "AAAAAA", "AABBAA", "ABBBBA", "AAAAAA", "AAAAAA"]));
    project.palette.0[0].colour = Colour::new(245, 240, 225);
    project.palette.0[1].colour = Colour::new(25, 30, 60);
    project.swatch = Swatch { column_mm: Some(5.6), row_mm: Some(3.4), knot_mm: Some(36.0) };
    project
}

#[test]
fn a_sound_project_hears_nothing() {
    assert_eq!(ids(&sound()), [""; 0]);
}

/// A disc of so many columns and rows of `B` on `A`.
fn disc(wide: usize, high: usize) -> Vec<String> {
    let (columns, rows) = (wide + 4, high + 4);
    let inside = |column: usize, row: usize| {
        let u = (column as f64 - (columns as f64 - 1.0) / 2.0) / (wide as f64 / 2.0);
        let v = (row as f64 - (rows as f64 - 1.0) / 2.0) / (high as f64 / 2.0);
        u * u + v * v <= 1.0
    };
    (0..rows).map(|row| (0..columns).map(|column| if inside(column, row) { 'B' } else { 'A' }).collect()).collect()
}

#[test]
fn a_circle_drawn_on_squares_is_told_and_one_drawn_on_knots_is_not() {
    let of = |lines: &[String]| {
        let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
        let mut project = panel(chart(&lines));
        project.swatch = Swatch { column_mm: Some(5.6), row_mm: Some(3.4), knot_mm: Some(36.0) };
        project
    };
    let said = the("drawn-on-squares", &of(&disc(16, 16)));
    // Own computation: 16 columns of 5.6 mm and 16 rows of 3.4 mm.
    assert!(said.message.contains("`90` mm wide") && said.message.contains("`54` mm high"), "{}", said.message);
    // 16 x 5.6 / 3.4: 26 rows.
    assert!(!ids(&of(&disc(16, 26))).contains(&"drawn-on-squares"));
}

#[test]
fn a_pinned_symbol_that_turns_the_tones_over_is_named_and_another_is_not() {
    let mut project = sound();
    // The light yarn has a heavy symbol.
    project.palette.0[0].symbol = Some("cut-three-specks".into());
    let said = the("symbol-against-tone", &project);
    let [light, dark] = [0, 1].map(|at| project.palette.0[at].name.clone());
    assert!(said.message.contains(&format!("`{light}` and `{dark}`")), "{}", said.message);
    project.palette.0[0].symbol = Some("hoop".into());
    assert_eq!(ids(&project), [""; 0]);
}

#[test]
fn what_is_acknowledged_stays_quiet_and_only_that() {
    let mut project = sound();
    project.swatch = Swatch::default();
    project.hanging.length_mm = Some(60.0);
    assert_eq!(ids(&project), ["no-swatch", "short-wood"]);
    project.acknowledged = vec![Acknowledgement {
        id: "no-swatch".into(),
        reason: "a small sample".into(),
        place: Span::file(SourceId(0)),
    }];
    assert_eq!(ids(&project), ["short-wood"]);
}

#[test]
fn all_advice_is_advice_with_something_to_do() {
    let mut project = panel(chart(&["ABCAB", "BA.CA", "A.BAC"]));
    project.working.longest_carry_mm = 12.0;
    let all = advice(&project);
    assert!(all.len() > 4);
    assert!(all.iter().all(|d| d.severity == Severity::Advice && !d.hints.is_empty()));
    // All of it can be said in other languages.
    assert!(all.iter().all(|d| d.phrases.len() == 1 + d.hints.len() && d.phrases[0].to_string() == d.message));
}

#[test]
fn a_gauge_outside_the_band_is_named() {
    let mut project = sound();
    project.swatch.row_mm = Some(2.0);
    assert!(the("gauge-implausible", &project).message.contains("`2.80`"));
    project.swatch = Swatch { column_mm: Some(5.6), row_mm: Some(3.4), knot_mm: Some(20.0) };
    assert!(the("gauge-implausible", &project).message.contains("`yarn 0`"));
}

#[test]
fn a_carry_near_the_limit_is_named_by_where_it_comes_to() {
    let mut project = sound();
    // Own computation: four columns of 5.6 mm passed, 22.4 mm bare, under 24 mm.
    project.chart = chart(&["AABBBBAA"]);
    project.working.longest_carry_mm = 24.0;
    assert!(the("carry-near-limit", &project).message.contains("`22.4` mm, comes to row 1, column 7"));
    project.working.longest_carry_mm = 40.0;
    assert!(!ids(&project).contains(&"carry-near-limit"));
}

#[test]
fn a_lone_knot_is_named_by_yarn_and_place() {
    let mut project = sound();
    project.chart = chart(&["AAAA", "AABA", "AAAA", "AAAA"]);
    assert!(the("lone-knot", &project).message.contains("yarn 1 at row 2, column 3"));
}

#[test]
fn the_longest_slit_is_named() {
    let mut project = sound();
    project.chart = chart(&["AAABBB", "AAABBB", "AAABBB", "AAABBB", "AAAAAA", "AAAABB", "AAAABB", "AAAABB", "AAAABB"]);
    assert!(the("slit", &project).message.contains("`2` slits"));
    assert!(the("slit", &project).message.contains("from row 1 to row 4 between columns 3 and 4"));
}

#[test]
fn what_the_other_way_of_working_takes_and_saves_is_told() {
    // Seven patches of two yarns in every row: left hanging each, or carried along.
    let mut project = sound();
    project.chart = chart(&["AABBAABBAABBAABB"; 40]);
    project.working.method = Method::Areas;
    project.working.longest_carry_mm = 25.0;
    let areas = work_out(&project);
    let message = the("other-method", &project).message;
    project.working.method = Method::Carry;
    project.working.longest_carry_mm = 60.0;
    let carry = work_out(&project);
    let most = |w: &Workings| w.rows.iter().map(|row| row.hanging).max().expect("rows");
    let used = |w: &Workings| w.amounts.iter().map(|of| of.used_mm).sum::<f64>() / 1000.0;
    let metres = (used(&carry) - used(&areas)).round();
    assert_eq!(
        message,
        format!("`carry`: `{metres}` m more yarn, `{}` lengths at once instead of `{}`", most(&carry), most(&areas))
    );
    let message = the("other-method", &project).message;
    assert!(message.starts_with(&format!("`areas`: `{metres}` m less yarn, `{}` lengths", most(&areas))), "{message}");
    // One yarn alone is worked the same either way.
    project.chart = chart(&["AAAA"; 6]);
    assert!(!ids(&project).contains(&"other-method"));
}

#[test]
fn nine_lengths_hanging_are_too_many_and_eight_are_not() {
    let stripes = |yarns: u8| {
        let row: Vec<_> = (0..yarns).map(|y| Some(YarnId(y))).collect();
        panel(Chart::new(usize::from(yarns), row.repeat(2)).expect("whole rows"))
    };
    assert!(the("many-waiting", &stripes(9)).message.contains("`9`"));
    assert!(!ids(&stripes(8)).contains(&"many-waiting"));
}

#[test]
fn knots_that_nothing_holds_below_bare_cord_are_named() {
    let mut project = sound();
    project.chart = chart(&["AAAA..", "AA....", "AA..AA", "AAAAAA"]);
    assert!(the("loose-knots", &project).message.contains("row 3, column 5"));
    project.chart = chart(&["AAAA..", "AAAAA.", "AA..AA", "AAAAAA"]);
    assert!(!ids(&project).contains(&"loose-knots"));
}

#[test]
fn yarns_hard_to_tell_apart_are_named_with_how_they_are_seen() {
    let mut project = sound();
    // Pairs chosen by us: brown and olive meet without red or green cones; two sands meet for everyone.
    let pair = |project: &mut Project, one: &str, two: &str| {
        project.palette.0[0].colour = Colour::from_hex(one).expect("six digits");
        project.palette.0[1].colour = Colour::from_hex(two).expect("six digits");
    };
    pair(&mut project, "#8b5a2b", "#556b2f");
    let found = the("yarns-alike", &project).message;
    assert!(found.contains("2.6 without red cones, 3.6 without green cones") && !found.contains("in plain sight"));
    pair(&mut project, "#d8b26e", "#e0b873");
    assert!(the("yarns-alike", &project).message.contains("1.8 in plain sight"));
    assert!(the("yarns-alike-in-grey", &project).message.contains("`yarn 0` and `yarn 1`"));
    pair(&mut project, "#777777", "#8c8c8c");
    assert!(the("yarns-near", &project).message.contains("`yarn 0` and `yarn 1`"));
}

#[test]
fn an_odd_count_of_cords_is_named() {
    let mut project = sound();
    project.chart = chart(&["AABBA", "AABBA"]);
    assert!(the("odd-columns", &project).message.contains("`5`"));
}

#[test]
fn wood_that_does_not_fit_is_named() {
    let mut project = sound();
    project.hanging.length_mm = Some(84.0);
    // Own computation: 6 x 5.6 and two inches: 84.4 mm.
    assert!(the("short-wood", &project).message.contains("`84` mm"));
    project.hanging.fixing = Fixing::Staples;
    project.hanging.diameter_mm = 8.0;
    assert!(the("thin-wood", &project).message.contains("`9` mm"));
    let edge = |points: &[(f64, f64)]| points.iter().map(|&(at_mm, depth_mm)| EdgePoint { at_mm, depth_mm }).collect();
    project.hanging.lower_edge = edge(&[(0.0, 5.0), (20.0, 6.0)]);
    the("edge-not-measured", &project);
    the("straight-edge-measured", &project);
    project.hanging.lower_edge = edge(&[(0.0, 5.0), (80.0, 6.0)]);
    the("edge-past-panel", &project);
}

#[test]
fn a_header_too_shallow_for_the_wood_is_named() {
    let mut project = sound();
    project.hanging.mounting = Mounting::OnAStrand;
    project.hanging.lower_edge = vec![EdgePoint { at_mm: 10.0, depth_mm: 20.0 }];
    project.working.header_rows = Some(4);
    // Own computation: 30 / 3.4 = 8.8, up to 9, even: 10.
    assert!(the("shallow-header", &project).message.contains("`10`"));
    project.working.header_rows = Some(10);
    assert!(!ids(&project).contains(&"shallow-header"));
}

#[test]
fn yarn_that_melts_is_not_ironed() {
    let mut project = sound();
    project.palette.0[1].melts = true;
    assert!(the("melting-yarn", &project).message.contains("`yarn 1`"));
    project.finishing.backing = Backing::Sewn;
    assert!(!ids(&project).contains(&"melting-yarn"));
}

#[test]
fn fleece_too_small_for_the_panel_is_named() {
    let mut project = sound();
    // Tall enough for a backing. Own computation: 6 x 5.6 by (8 + 6) x 3.4, each less 12.7 mm; sizes from the workings
    // themselves.
    project.working.header_rows = Some(8);
    let backed = work_out(&project).hanging.backing.expect("ironed on unless it says otherwise");
    let (wide, high) = (backed.width_mm.max(backed.height_mm), backed.width_mm.min(backed.height_mm));
    let mut told = |width: Option<f64>, height: Option<f64>| {
        project.finishing.fleece_width_mm = width;
        project.finishing.fleece_height_mm = height;
        advice(&project).into_iter().find(|d| d.id == "small-fleece")
    };
    // Turned it fits, and a roll need only hold the shorter side.
    assert_eq!(told(Some(wide), Some(high)), None);
    assert_eq!(told(Some(high), Some(wide)), None);
    assert_eq!(told(Some(high), None), None);
    assert!(told(Some(high - 1.0), None).is_some_and(|d| d.message.contains("mm wide")));
    assert!(told(Some(wide), Some(high - 1.0)).is_some_and(|d| d.message.contains("the backing of this panel is")));
    project.finishing.backing = Backing::None;
    assert!(!ids(&project).contains(&"small-fleece"));
}

#[test]
fn a_ball_bought_for_the_margin_alone_is_named() {
    let mut project = sound();
    let lengths = work_out(&project).amounts[0].buy.lengths as f64;
    project.palette.0[0].ball_m = Some(lengths * 1.524 * 1.05);
    assert!(the("last-ball", &project).message.contains("`yarn 0`"));
}

#[test]
fn small_cells_are_named_with_the_paper() {
    assert!(small_cells(3.1, "a5").is_some_and(|d| d.id == "small-cells" && d.message.contains("`3.1` mm")));
    assert_eq!(small_cells(3.7, "a5"), None);
    assert!(IDS.contains(&"small-cells"));
}

#[test]
fn what_only_pages_can_tell_is_told_by_check_and_counted_by_compose() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    let told = |room: &Room| {
        let ran = room.run(&["check", "boat"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        ran.err.contains("advice[small-cells]")
    };
    assert!(!told(&room));
    // A layout of the maker's own may go below what the shipped ones allow.
    let layout = std::fs::read_to_string(repository("layouts/booklet.toml")).expect("the booklet's layout");
    let layout = layout.replace("least-cell = \"4 mm\"", "least-cell = \"2.7 mm\"");
    room.write("boat/small.toml", layout.replace("most-cell = \"5.6 mm\"", "most-cell = \"3 mm\""));
    let project = std::fs::read_to_string(room.path().join("boat/project.toml")).expect("a project");
    let small = project.replace("[print]", "[print]\nlayout = \"small.toml\"");
    assert_ne!(project, small);
    room.write("boat/project.toml", &small);
    assert!(told(&room));
    let composed = room.run(&["compose", "boat", "-o", "boat.pdf"]);
    assert!(composed.code == 0 && composed.err.contains("of advice"), "{}", composed.err);
    room.write(
        "boat/project.toml",
        format!("{small}\n[[acknowledge]]\nadvice = \"small-cells\"\nreason = \"a miniature\"\n"),
    );
    assert!(!told(&room));
}

#[test]
fn a_photograph_of_few_pixels_is_named_with_its_pixels_an_inch() {
    assert!(coarse_photograph(120.4, "a4").is_some_and(|d| d.message.contains("`120` pixels an inch")));
    assert_eq!(coarse_photograph(200.0, "a4"), None);
    assert!(IDS.contains(&"coarse-photograph"));
}

#[test]
fn a_high_photograph_is_shown_whole_or_cut_as_the_project_says() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat", "--title", "Little Boat"]).code, 0);
    let mut picture = std::io::Cursor::new(Vec::new());
    image::RgbImage::new(300, 1200).write_to(&mut picture, image::ImageFormat::Png).expect("a picture");
    room.write("boat/panel.png", picture.into_inner());
    let project = std::fs::read_to_string(room.path().join("boat/project.toml")).expect("a project");
    let placed = |crop: &str| {
        let given =
            format!("photograph = \"panel.png\"\nphotograph-words = \"black\"\nphotograph-crop = \"{crop}\"\ntitle =");
        room.write("boat/project.toml", project.replacen("title =", &given, 1));
        let ran = room.run(&["check", "boat"]);
        assert!(ran.code == 0 && ran.err.contains("advice[coarse-photograph]"), "{}", ran.err);
        let (mut sources, mut report) = (Sources::new(), Report::new());
        let opened = open_variant(&room.path().join("boat"), &Wishes::default(), &mut sources, &mut report);
        let (prepared, variant) = opened.expect("it opens");
        let booklet = prepared.write(&variant).lay_out(&FontBook::shipped()).expect("it is laid out");
        let mut items = booklet.pages[0].frames.iter().flat_map(|frame| &frame.items);
        let found = items.find_map(|placed| match &placed.item {
            Item::Picture(picture) => Some(picture.clone()),
            _ => None,
        });
        found.expect("a picture on the cover")
    };
    let whole = placed("whole");
    assert_eq!(whole.area, whole.clip);
    let [upper, middle, lower] = ["upper", "middle", "lower"].map(placed);
    for cut in [&upper, &middle, &lower] {
        // As wide as its frame and four times as high, of which as much shows as there is room.
        assert!((cut.area.size.height.to_mm() - 4.0 * cut.area.size.width.to_mm()).abs() < 0.01);
        assert!(cut.clip.size.width == cut.area.size.width && cut.clip.size.height < cut.area.size.height);
        assert!(cut.area.size.width > whole.area.size.width * 1.5);
    }
    assert!((upper.area.top() - upper.clip.top()).to_mm().abs() < 0.01);
    assert!((lower.area.bottom() - lower.clip.bottom()).to_mm().abs() < 0.01);
    assert!((middle.area.centre().y - middle.clip.centre().y).to_mm().abs() < 0.01);
}
