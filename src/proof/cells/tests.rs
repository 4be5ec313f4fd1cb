//! Cells read once for all, against each cell read by itself.

use super::*;
use crate::colour::Colour;
use crate::reader::marks::Paint;
use crate::reader::matrix::Matrix;
use crate::reader::outline::Outline;

fn mark(kind: PaintKind, random: &mut fastrand::Rng, draw: impl FnOnce(&mut Outline)) -> PaintedMark {
    let mut outline = Outline::new();
    draw(&mut outline);
    let shape = outline.take();
    let mut bounds = Bounds::EMPTY;
    shape.iter().flat_map(|part| &part.spots).for_each(|spot| bounds.take_in(*spot));
    let colours = ["#102030", "#efe6d2", "#a8482a", "#6d7a3a"];
    let paint = Paint::Flat(Colour::from_hex(colours[random.usize(0..4)]).unwrap_or_default());
    let opacity = if random.u8(0..5) == 0 { 0.5 } else { 1.0 };
    let clip = (random.u8(0..6) == 0).then_some(Bounds { left: 3.0, top: 31.0, right: 70.0, bottom: 66.5 });
    PaintedMark { kind, paint, opacity, shape: Arc::new(shape), moved: PagePoint::default(), bounds, clip }
}

/// Grounds in runs, crossed by lines, with symbols and now and then something that lies over it.
fn page(random: &mut fastrand::Rng, lattice: &Lattice, large: bool) -> PageMarks {
    let m = Matrix::IDENTITY;
    let (across, down) = (lattice.across(), lattice.down());
    let mut page = PageMarks::default();
    for row in 0..lattice.rows {
        let mut column = 0;
        while column < lattice.columns {
            let run = random.usize(1..4).min(lattice.columns - column);
            let (x, y) = (lattice.area.left + column as f64 * across, lattice.area.top + row as f64 * down);
            let kind = if random.bool() { PaintKind::Fill } else { PaintKind::FillEvenOdd };
            page.painted.push(mark(kind, random, |o| o.rectangle(&m, x, y, run as f64 * across, down)));
            column += run;
        }
    }
    for row in 0..=lattice.rows {
        let y = lattice.area.top + row as f64 * down;
        page.painted.push(mark(PaintKind::Stroke(0.5), random, |o| {
            o.start(&m, lattice.area.left, y);
            o.line(&m, lattice.area.right, y);
        }));
    }
    for _ in 0..60 {
        let (x, y) = (random.usize(0..lattice.columns), random.usize(0..lattice.rows));
        let (x, y) = (lattice.area.left + x as f64 * across, lattice.area.top + y as f64 * down);
        let (w, h) = (across * random.f64(), down * random.f64());
        let kind = [PaintKind::Fill, PaintKind::FillEvenOdd, PaintKind::Stroke(0.8)][random.usize(0..3)];
        let drawn = mark(kind, random, |o| {
            o.start(&m, x + 1.0, y + 1.0);
            o.curve(&m, [x + w, y, x + w, y + h, x + 2.0, y + h]);
            o.close();
        });
        page.painted.extend([drawn.moved_by(PagePoint { x: across, y: 0.0 }), drawn]);
    }
    // Marks of many cells in one path, some of them rings.
    page.painted.push(mark(PaintKind::FillEvenOdd, random, |o| {
        for (column, row) in [(0, 1), (2, 7), (5, 5), (8, 3)] {
            let (x, y) = (lattice.area.left + f64::from(column) * across, lattice.area.top + f64::from(row) * down);
            o.rectangle(&m, x + 1.0, y + 1.0, 3.0, 4.0);
            o.rectangle(&m, x + 1.5, y + 1.5, 2.0, 3.0);
            o.start(&m, x + 5.0, y + 1.0);
            o.line(&m, x + 6.0, y + 1.0);
            o.line(&m, x + 6.0, y + 2.0);
        }
    }));
    if large {
        page.painted.push(mark(PaintKind::Fill, random, |o| {
            o.start(&m, 0.0, 0.0);
            o.line(&m, 80.0, 10.0);
            o.line(&m, 20.0, 70.0);
        }));
    }
    page
}

#[test]
fn cells_that_are_read_once_for_all_look_as_each_does_by_itself() {
    let mut random = fastrand::Rng::with_seed(20_261_129);
    for round in 0..30 {
        let area = Bounds { left: 3.0, top: 5.0, right: 3.0 + 72.0, bottom: 5.0 + 63.0 };
        let lattice = Lattice { area, columns: 9, rows: 9 };
        let page = page(&mut random, &lattice, round % 6 == 5);
        let (quick, slow) = (Cells::read(&page, &lattice), one_by_one(&page, &lattice));
        assert_eq!(Listing::of(&page, &lattice).is_none(), round % 6 == 5);
        for (at, (quick, slow)) in quick.iter().zip(slow.iter()).enumerate() {
            assert_eq!(quick.ground, slow.ground, "cell {at} of round {round}");
            assert!(quick.difference(slow) < 0.004, "cell {at} of round {round}");
        }
        assert!(quick.looks.len() <= slow.looks.len());
    }
}

#[test]
fn cells_that_are_drawn_alike_are_read_once() {
    let mut random = fastrand::Rng::with_seed(1);
    let area = Bounds { left: 0.0, top: 0.0, right: 90.0, bottom: 90.0 };
    let lattice = Lattice { area, columns: 10, rows: 10 };
    let mut page = PageMarks::default();
    let symbol = PaintedMark {
        opacity: 1.0,
        clip: None,
        ..mark(PaintKind::Fill, &mut random, |o| {
            o.start(&Matrix::IDENTITY, 2.0, 2.0);
            o.line(&Matrix::IDENTITY, 7.0, 2.0);
            o.line(&Matrix::IDENTITY, 4.0, 7.0);
        })
    };
    for at in 0..100 {
        let by = PagePoint { x: 9.0 * f64::from(at % 10), y: 9.0 * f64::from(at / 10) };
        page.painted.push(symbol.moved_by(by));
    }
    assert_eq!(Cells::read(&page, &lattice).looks.len(), 1);
    page.painted.push(symbol.moved_by(PagePoint { x: 10.0, y: 9.0 }));
    assert_eq!(Cells::read(&page, &lattice).looks.len(), 2);
}

/// How many looks a grid of cells of 9 by 12 points has in whose first two cells these marks lie.
fn looks(marks: Vec<PaintedMark>) -> usize {
    let area = Bounds { left: 0.0, top: 0.0, right: 54.0, bottom: 72.0 };
    let lattice = Lattice { area, columns: 6, rows: 6 };
    let page = PageMarks { painted: marks, ..PageMarks::default() };
    let cells = Cells::read(&page, &lattice);
    let slow = one_by_one(&page, &lattice);
    for (quick, slow) in cells.iter().zip(slow.iter()) {
        assert_eq!(quick, slow);
    }
    // One of them is bare.
    cells.looks.len() - 1
}

#[test]
fn cells_are_another_look_where_shape_place_or_clip_differ() {
    use crate::proof::tests::drawn::{inked, outline};
    let tip = |x: f64, y: f64| outline(&[(2.0, 2.0), (7.0, 2.0), (x, y)]);
    let beside = |mark: PaintedMark, x: f64, y: f64| mark.moved_by(PagePoint { x: 9.0 + x, y });
    let first = || inked(tip(4.0, 9.0));
    // Drawn anew it is the same; its tip moved by a tenth of the cell it is not.
    assert_eq!(looks(vec![first(), beside(inked(tip(4.0, 9.0)), 0.0, 0.0)]), 1);
    assert_eq!(looks(vec![first(), beside(inked(tip(4.9, 9.0)), 0.0, 0.0)]), 2);
    assert_eq!(looks(vec![first(), beside(inked(tip(4.0, 10.2)), 0.0, 0.0)]), 2);
    for (x, y) in [(0.9, 0.0), (-0.9, 0.0), (0.0, 1.2), (0.0, -1.2)] {
        assert_eq!(looks(vec![first(), beside(first(), x, y)]), 2, "{x} {y}");
    }
    // A clip counts where it cuts, and only there.
    let clip = |left: f64, top: f64, right: f64, bottom: f64| Some(Bounds { left, top, right, bottom });
    let clipped = |clip| PaintedMark { clip, ..beside(first(), 0.0, 0.0) };
    assert_eq!(looks(vec![first(), clipped(clip(9.0, 0.0, 18.0, 12.0))]), 1);
    for clip in
        [clip(13.0, 0.0, 18.0, 12.0), clip(9.0, 4.0, 18.0, 12.0), clip(9.0, 0.0, 13.0, 12.0), clip(9.0, 0.0, 18.0, 5.0)]
    {
        assert_eq!(looks(vec![first(), clipped(clip)]), 2);
    }
    // A veil over a whole cell hides nothing of what lies under it.
    let ground = crate::proof::tests::drawn::filled(crate::proof::tests::drawn::upright(0.0, 0.0, 18.0, 12.0));
    let veil = PaintedMark { opacity: 0.5, ..inked(crate::proof::tests::drawn::upright(0.0, 0.0, 9.0, 12.0)) };
    assert_eq!((looks(vec![ground.clone()]), looks(vec![ground, veil])), (1, 2));
    // So do colour, opacity, winding and the width of a line.
    let other = |change: &dyn Fn(&mut PaintedMark)| {
        let mut second = beside(first(), 0.0, 0.0);
        change(&mut second);
        looks(vec![first(), second])
    };
    assert_eq!(other(&|_| {}), 1);
    assert_eq!(other(&|mark| mark.paint = Paint::Flat(Colour::new(200, 0, 0))), 2);
    assert_eq!(other(&|mark| mark.opacity = 0.5), 2);
    assert_eq!(other(&|mark| mark.kind = PaintKind::Stroke(0.9)), 2);
}

#[test]
fn what_reaches_into_few_cells_is_listed_and_what_reaches_further_is_painted_on_all() {
    use crate::proof::tests::drawn::{inked, outline};
    let area = Bounds { left: 0.0, top: 0.0, right: 90.0, bottom: 90.0 };
    let lattice = Lattice { area, columns: 9, rows: 9 };
    let is_listed = |right: f64, bottom: f64| {
        let marks = vec![inked(outline(&[(12.0, 12.0), (right, 12.0), (12.0, bottom)]))];
        Listing::of(&PageMarks { painted: marks, ..PageMarks::default() }, &lattice).is_some()
    };
    assert!(is_listed(18.0, 18.0) && is_listed(49.0, 18.0) && is_listed(18.0, 49.0) && is_listed(49.0, 49.0));
    assert!(!is_listed(51.0, 18.0) && !is_listed(18.0, 51.0));
    // Samples that boxes cover, cell by cell.
    let samples = 5..2 * SAMPLES + 3;
    assert_eq!(cells_of(&samples), 0..3);
    assert_eq!(part_in(&samples, 0), 5..SAMPLES as u8);
    assert_eq!((part_in(&samples, 1), part_in(&samples, 2)), (0..SAMPLES as u8, 0..3));
    assert_eq!(cells_of(&(SAMPLES..2 * SAMPLES)), 1..2);
    let mut recent = Recent::default();
    (0..Recent::<usize>::MOST + 2).for_each(|one| recent.add(one));
    assert_eq!(recent.list[..3], [Recent::<usize>::MOST, Recent::<usize>::MOST + 1, 2]);
    assert_eq!((recent.find(|one| *one == 5), recent.find(|one| *one == 1)), (Some(5), None));
}
