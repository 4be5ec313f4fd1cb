//! What is printed on the pages of a finished file: words and level rules, each with its place. Nothing is known here of
//! what they mean, nor of who wrote the file: it is read with `hayro-syntax`, by the fonts' own tables.

use hayro_syntax::Pdf;
use hayro_syntax::content::UntypedIter;
use hayro_syntax::object::{Array, Dict, Name, Number, Object, Stream};
use std::collections::BTreeMap;
use std::rc::Rc;

/// A word, cut at spaces; places in points from the page's upper left corner.
#[derive(Clone, Debug, PartialEq)]
pub struct Word {
    /// Left end.
    pub left: f64,
    /// Right end.
    pub right: f64,
    /// Its baseline.
    pub base: f64,
    /// Size of its letters.
    pub size: f64,
    /// Its letters.
    pub text: String,
}

/// A level line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// Left end.
    pub left: f64,
    /// Right end.
    pub right: f64,
    /// Where it lies.
    pub base: f64,
    /// Its thickness.
    pub thick: f64,
}

/// One page.
#[derive(Clone, Debug, Default)]
pub struct Page {
    /// Words, line by line from the top, each line from the left.
    pub words: Vec<Word>,
    /// Level lines from the top.
    pub rules: Vec<Rule>,
    /// Small arrows.
    pub arrows: Vec<Arrow>,
    /// Drawings that are kept once and set down at many places.
    pub stamps: Vec<Stamp>,
    /// Boxes whose outline is drawn.
    pub frames: Vec<Extent>,
    /// Filled outlines.
    pub fills: Vec<Fill>,
}

/// From the left, from the top, to the right, to the bottom.
pub type Extent = [f64; 4];

/// One step of a drawing: its operator and its numbers.
pub type PathStep = (String, Vec<f64>);

/// A drawing at a place.
#[derive(Clone, Debug)]
pub struct Stamp {
    /// Where its middle lies.
    pub at: (f64, f64),
    /// Its outline, in points from its middle.
    pub steps: Rc<Vec<PathStep>>,
}

/// A filled outline.
#[derive(Clone, Debug)]
pub struct Fill {
    /// How far it reaches.
    pub extent: Extent,
    /// Its corners, the ends of curves among them.
    pub corners: Vec<(f64, f64)>,
    /// Whether any side is a curve.
    pub curved: bool,
    /// Whether it is a box.
    pub is_box: bool,
}

/// An arrow that lies.
#[derive(Clone, Copy, Debug)]
pub struct Arrow {
    /// Left end.
    pub left: f64,
    /// Right end.
    pub right: f64,
    /// The height of its tip.
    pub base: f64,
    /// Whether it points to the right.
    pub rightwards: bool,
}

struct Letter {
    left: f64,
    right: f64,
    base: f64,
    size: f64,
    text: String,
}

/// Reads all pages.
pub fn pages(bytes: &[u8]) -> Vec<Page> {
    let pdf = Pdf::new(bytes.to_vec()).expect("a file that can be read");
    let mut fonts = BTreeMap::new();
    let pages = pdf.pages();
    pages.iter().map(|page| read(page, &mut fonts)).collect()
}

/// Six numbers of a transformation, as PDF writes them.
#[derive(Clone, Copy)]
struct Matrix([f64; 6]);

impl Matrix {
    const IDENTITY: Matrix = Matrix([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);
    /// This one first, then `outer`.
    fn then(self, outer: Matrix) -> Matrix {
        let ([a, b, c, d, e, f], o) = (self.0, outer.0);
        Matrix([
            a * o[0] + b * o[2],
            a * o[1] + b * o[3],
            c * o[0] + d * o[2],
            c * o[1] + d * o[3],
            e * o[0] + f * o[2] + o[4],
            e * o[1] + f * o[3] + o[5],
        ])
    }
    fn at(self, x: f64, y: f64) -> (f64, f64) {
        let [a, b, c, d, e, f] = self.0;
        (a * x + c * y + e, b * x + d * y + f)
    }
}

fn read(page: &hayro_syntax::page::Page<'_>, fonts: &mut BTreeMap<i32, Font>) -> Page {
    let height = f64::from(page.base_dimensions().1);
    let content = page.page_stream().unwrap_or_default().to_vec();
    let mut operators = UntypedIter::new(&content);
    let mut letters: Vec<Letter> = Vec::new();
    let (mut rules, mut arrows) = (Vec::new(), Vec::new());
    let (mut around, mut saved) = (Matrix::IDENTITY, Vec::new());
    let (mut line, mut font, mut size, mut thick) = (Matrix::IDENTITY, 0, 0.0, 1.0);
    let mut path: Vec<(f64, f64)> = Vec::new();
    let (mut stamps, mut frames, mut fills) = (Vec::new(), Vec::new(), Vec::new());
    let mut outlines = Outlines::new(height);
    let mut kept: BTreeMap<String, Rc<Vec<PathStep>>> = BTreeMap::new();
    while let Some(instruction) = operators.next() {
        let operands: Vec<Object<'_>> = instruction.operands().cloned().collect();
        let number = |at: usize| match operands.get(at) {
            Some(Object::Number(n)) => n.as_f64(),
            _ => 0.0,
        };
        let six = || Matrix([number(0), number(1), number(2), number(3), number(4), number(5)]);
        outlines.take(instruction.operator, &number, around, &mut frames, &mut fills);
        match instruction.operator.to_vec().as_slice() {
            b"Do" => {
                if let Some(Object::Name(name)) = operands.first()
                    && let Some(drawing) = page.resources().get_x_object(name)
                {
                    let steps = kept.entry(name.as_str().to_owned()).or_insert_with(|| Rc::new(steps(&drawing)));
                    let (x, y) = around.at(0.0, 0.0);
                    // What is empty is for others to fill.
                    if !steps.is_empty() {
                        stamps.push(Stamp { at: (x, height - y), steps: Rc::clone(steps) });
                    }
                }
            }
            b"q" => saved.push((around, thick)),
            b"Q" => (around, thick) = saved.pop().expect("as many saved states as restored"),
            b"cm" => around = six().then(around),
            b"w" => thick = number(0),
            b"m" => path = vec![around.at(number(0), number(1))],
            b"l" => path.push(around.at(number(0), number(1))),
            b"h" => {
                arrows.extend(arrow(&path, height));
                path.clear();
            }
            b"c" | b"v" | b"y" | b"re" => path.clear(),
            b"S" => {
                if let [(x, y), (to, last)] = path[..]
                    && (y - last).abs() < 0.01
                {
                    rules.push(Rule { left: x.min(to), right: x.max(to), base: height - y, thick });
                }
                path.clear();
            }
            b"BT" => line = Matrix::IDENTITY,
            b"Tm" => line = six(),
            b"Td" => line = Matrix([1.0, 0.0, 0.0, 1.0, number(0), number(1)]).then(line),
            b"Tf" => {
                size = number(1);
                if let Some(Object::Name(name)) = operands.first()
                    && let Some(dict) = page.resources().get_font(name)
                {
                    font = dict.obj_id().expect("fonts are objects").obj_number as i32;
                    fonts.entry(font).or_insert_with(|| Font::read(&dict));
                }
            }
            operator @ (b"Tj" | b"TJ" | b"'" | b"\"" | b"T*" | b"TL") => {
                assert!(matches!(operator, b"Tj" | b"TJ"), "a text operator this reader does not know");
                show(&operands, &fonts[&font], size, line.then(around), height, &mut letters);
            }
            _ => {}
        }
    }
    rules.sort_by(|a, b| a.base.total_cmp(&b.base));
    Page { words: words(letters), rules, arrows, stamps, frames, fills }
}

/// The steps of a drawing's outline.
fn steps(drawing: &Stream<'_>) -> Vec<PathStep> {
    let content = drawing.decoded().map(|bytes| bytes.to_vec()).unwrap_or_default();
    let mut operators = UntypedIter::new(&content);
    let mut out = Vec::new();
    while let Some(instruction) = operators.next() {
        let numbers =
            instruction.operands().filter_map(|o| if let Object::Number(n) = o { Some(n.as_f64()) } else { None });
        let operator = String::from_utf8_lossy(instruction.operator).into_owned();
        if matches!(operator.as_str(), "m" | "l" | "c" | "re" | "h") {
            out.push((operator, numbers.collect()));
        }
    }
    out
}

/// Outlines under way, until they are filled or drawn.
struct Outlines {
    height: f64,
    open: Vec<Fill>,
}

impl Outlines {
    fn new(height: f64) -> Outlines {
        Outlines { height, open: Vec::new() }
    }

    fn take(
        &mut self,
        operator: &[u8],
        number: &dyn Fn(usize) -> f64,
        around: Matrix,
        frames: &mut Vec<Extent>,
        fills: &mut Vec<Fill>,
    ) {
        let at = |x: usize, y: usize| {
            let (x, y) = around.at(number(x), number(y));
            (x, self.height - y)
        };
        match operator {
            b"m" => self.open.push(Fill::of(vec![at(0, 1)], false)),
            b"l" | b"c" | b"v" | b"y" => {
                let (end, curved) = match operator {
                    b"l" => (at(0, 1), false),
                    b"c" => (at(4, 5), true),
                    _ => (at(2, 3), true),
                };
                if let Some(last) = self.open.last_mut() {
                    last.corners.push(end);
                    *last = Fill::of(std::mem::take(&mut last.corners), last.curved || curved);
                }
            }
            b"re" => {
                let far = around.at(number(0) + number(2), number(1) + number(3));
                let mut fill = Fill::of(vec![at(0, 1), (far.0, self.height - far.1)], false);
                fill.is_box = true;
                self.open.push(fill);
            }
            b"S" => frames.extend(self.open.drain(..).filter(|fill| fill.is_box).map(|fill| fill.extent)),
            b"f" | b"f*" => fills.append(&mut self.open),
            b"B" | b"n" | b"B*" | b"s" | b"b" => self.open.clear(),
            _ => {}
        }
    }
}

impl Fill {
    fn of(corners: Vec<(f64, f64)>, curved: bool) -> Fill {
        let mut extent = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
        for (x, y) in &corners {
            extent = [extent[0].min(*x), extent[1].min(*y), extent[2].max(*x), extent[3].max(*y)];
        }
        let [left, top, right, bottom] = extent;
        // Four corners that are those of their extent.
        let on = |(x, y): &(f64, f64)| {
            let near = |a: f64, b: f64| (a - b).abs() < 0.005;
            (near(*x, left) || near(*x, right)) && (near(*y, top) || near(*y, bottom))
        };
        let is_box = !curved && (4..=5).contains(&corners.len()) && corners.iter().all(on);
        Fill { extent, corners, curved, is_box }
    }
}

/// Seven corners, two at the blunt end and one at the tip.
fn arrow(corners: &[(f64, f64)], height: f64) -> Option<Arrow> {
    let x = || corners.iter().map(|corner| corner.0);
    let (left, right) = (x().fold(f64::MAX, f64::min), x().fold(f64::MIN, f64::max));
    let at = |end: f64| corners.iter().filter(|corner| (corner.0 - end).abs() < 0.01).copied().collect::<Vec<_>>();
    match (corners.len(), at(left).as_slice(), at(right).as_slice()) {
        (7, [_, _], [tip]) => Some(Arrow { left, right, base: height - tip.1, rightwards: true }),
        (7, [tip], [_, _]) => Some(Arrow { left, right, base: height - tip.1, rightwards: false }),
        _ => None,
    }
}

fn show(operands: &[Object<'_>], font: &Font, size: f64, at: Matrix, height: f64, out: &mut Vec<Letter>) {
    // Turned text belongs to figures.
    if at.0[1].abs() > 1e-6 || at.0[2].abs() > 1e-6 {
        return;
    }
    let mut pen = 0.0;
    let mut codes = |bytes: &[u8], pen: &mut f64| {
        for pair in bytes.chunks_exact(2) {
            let code = u16::from(pair[0]) << 8 | u16::from(pair[1]);
            let wide = font.widths.get(&code).copied().unwrap_or(font.usual) * size / 1000.0;
            let ((left, y), (right, _)) = (at.at(*pen, 0.0), at.at(*pen + wide, 0.0));
            let text = font.unicode.get(&code).cloned().unwrap_or_default();
            out.push(Letter { left, right, base: height - y, size: size * at.0[3], text });
            *pen += wide;
        }
    };
    match operands.first() {
        Some(Object::String(string)) => codes(string.as_bytes(), &mut pen),
        Some(Object::Array(array)) => {
            for item in array.iter::<Object<'_>>() {
                match item {
                    Object::String(string) => codes(string.as_bytes(), &mut pen),
                    Object::Number(n) => pen -= n.as_f64() * size / 1000.0,
                    _ => {}
                }
            }
        }
        _ => {}
    }
}

/// Letters to lines to words.
fn words(mut letters: Vec<Letter>) -> Vec<Word> {
    letters.sort_by(|a, b| a.base.total_cmp(&b.base));
    let mut out: Vec<Word> = Vec::new();
    // Letters of one line share their baseline but for rounding.
    for line in letters.chunk_by_mut(|a, b| b.base - a.base < 0.5) {
        line.sort_by(|a, b| a.left.total_cmp(&b.left));
        let mut open: Option<Word> = None;
        for letter in line.iter() {
            if letter.text.chars().all(char::is_whitespace) {
                out.extend(open.take());
                continue;
            }
            match &mut open {
                Some(word) if letter.left - word.right < 0.15 * letter.size => {
                    word.text.push_str(&letter.text);
                    word.right = letter.right;
                }
                _ => out.extend(open.replace(Word {
                    left: letter.left,
                    right: letter.right,
                    base: line[0].base,
                    size: letter.size,
                    text: letter.text.clone(),
                })),
            }
        }
        out.extend(open);
    }
    out
}

struct Font {
    unicode: BTreeMap<u16, String>,
    widths: BTreeMap<u16, f64>,
    usual: f64,
}

impl Font {
    fn read(font: &Dict<'_>) -> Font {
        let unicode = font
            .get::<Stream<'_>>("ToUnicode")
            .and_then(|stream| stream.decoded().ok().map(|bytes| String::from_utf8_lossy(&bytes).into_owned()))
            .map(|table| to_unicode(&table))
            .unwrap_or_default();
        let descendant = font.get::<Array<'_>>("DescendantFonts").and_then(|list| list.iter::<Dict<'_>>().next());
        let descendant = descendant.expect("a composite font");
        assert!(font.get::<Name<'_>>("Encoding").is_some_and(|name| name.as_str() == "Identity-H"));
        let mut widths = BTreeMap::new();
        let mut ahead: Vec<f64> = Vec::new();
        for item in descendant.get::<Array<'_>>("W").into_iter().flat_map(|list| list.iter::<Object<'_>>()) {
            match item {
                Object::Number(number) => ahead.push(number.as_f64()),
                Object::Array(list) => {
                    let first = ahead.pop().unwrap_or_default() as u16;
                    widths.extend((first..).zip(list.iter::<Number>().map(|number| number.as_f64())));
                }
                _ => {}
            }
            if let [first, last, wide] = ahead[..] {
                widths.extend((first as u16..=last as u16).map(|code| (code, wide)));
                ahead.clear();
            }
        }
        Font { unicode, widths, usual: descendant.get::<Number>("DW").map_or(1000.0, |n| n.as_f64()) }
    }
}

/// A ToUnicode table: what each code stands for.
fn to_unicode(table: &str) -> BTreeMap<u16, String> {
    let code = |hex: &str| u16::from_str_radix(hex, 16).ok();
    let text = |hex: &str| {
        let units: Vec<u16> = (0..hex.len() / 4).filter_map(|at| code(&hex[at * 4..at * 4 + 4])).collect();
        String::from_utf16_lossy(&units)
    };
    let mut out = BTreeMap::new();
    for part in table.split("beginbf").skip(1) {
        let (kind, rest) = part.split_at(4);
        let body = rest.split("endbf").next().unwrap_or_default();
        for line in body.lines() {
            let hex: Vec<&str> = line.split(['<', '>']).skip(1).step_by(2).collect();
            match (kind, &hex[..]) {
                ("char", [from, to]) => out.extend(code(from).map(|from| (from, text(to)))),
                ("rang", [from, last, to @ ..]) => {
                    let (Some(from), Some(last)) = (code(from), code(last)) else { continue };
                    for (step, at) in (from..=last).enumerate() {
                        let meaning = match to {
                            [one] => {
                                let mut units: Vec<u16> = text(one).encode_utf16().collect();
                                if let Some(unit) = units.last_mut() {
                                    *unit += step as u16;
                                }
                                String::from_utf16_lossy(&units)
                            }
                            many => many.get(step).map(|to| text(to)).unwrap_or_default(),
                        };
                        out.insert(at, meaning);
                    }
                }
                _ => {}
            }
        }
    }
    out
}
