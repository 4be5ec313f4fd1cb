use super::*;
use std::collections::BTreeSet;

/// A reading of the tables that shares no code with the shaper.
struct Tables<'a>(&'a [u8]);

impl Tables<'_> {
    fn u16(&self, at: usize) -> usize {
        usize::from(u16::from_be_bytes([self.0[at], self.0[at + 1]]))
    }
    fn u32(&self, at: usize) -> usize {
        (self.u16(at) << 16) | self.u16(at + 2)
    }
    fn table(&self, tag: &[u8; 4]) -> usize {
        let record = (0..self.u16(4)).map(|i| 12 + 16 * i).find(|at| &self.0[*at..*at + 4] == tag).expect("a table");
        self.u32(record + 8)
    }
    fn advance(&self, glyph: u16) -> usize {
        let metrics = self.u16(self.table(b"hhea") + 34);
        self.u16(self.table(b"hmtx") + 4 * usize::from(glyph).min(metrics - 1))
    }
}

#[test]
fn every_role_has_its_shipped_face() {
    let book = FontBook::shipped();
    let names: Vec<&str> = FontRole::ALL.iter().map(|role| book.face(book.role(*role)).name.as_str()).collect();
    // Origin: the name tables of the files in fonts/ (name id 6), read with another program.
    let expected = [
        "SourceSerif4-Regular",
        "SourceSerif4-It",
        "SourceSerif4-Semibold",
        "SourceSans3-Regular",
        "SourceSans3-Semibold",
        "DejaVuSans",
    ];
    assert_eq!(names, expected);
}

#[test]
fn measures_are_those_of_the_tables() {
    let book = FontBook::shipped();
    let of = |role: FontRole| {
        let face = book.face(book.role(role));
        (face.units_per_em, face.ascender, face.descender, face.cap_height)
    };
    // Origin: hhea and OS/2 of the files, read with another program; DejaVu's OS/2 has no heights, its H is 1493
    // units high by the glyf table.
    assert_eq!(of(FontRole::Text), (1000, 1036, -335, 670));
    assert_eq!(of(FontRole::FiguresStrong), (1000, 1000, -326, 660));
    assert_eq!(of(FontRole::Fallback), (2048, 1901, -483, 1493));
}

#[test]
fn widths_of_letters_agree_with_the_metrics_table() {
    let book = FontBook::shipped();
    for (_, face) in book.faces() {
        let tables = Tables(face.bytes());
        for c in (' '..='~').chain("äöüßéèñçœæØŁ½×→–—“”«»".chars()) {
            // The figures of running text are not the glyphs of the character map.
            if c.is_ascii_digit() {
                continue;
            }
            let glyphs = face.shape(&c.to_string(), Features::default(), "en");
            assert_eq!(glyphs.len(), 1, "{} {c}", face.name);
            assert_eq!(Some(glyphs[0].id), face.glyph(c));
            assert_eq!(glyphs[0].advance as usize, tables.advance(glyphs[0].id), "{} {c}", face.name);
            assert_eq!(face.advance(glyphs[0].id), glyphs[0].advance);
        }
        let tabular = face.shape("0123456789", Features { tabular: true, ..Features::default() }, "en");
        let expected: usize = tabular.iter().map(|glyph| tables.advance(glyph.id)).sum();
        assert_eq!(tabular.iter().map(|glyph| glyph.advance as usize).sum::<usize>(), expected);
    }
}

#[test]
fn kerning_is_on() {
    let book = FontBook::shipped();
    for role in FontRole::ALL {
        let face = book.face(book.role(role));
        let glyphs = face.shape("AVATAR", Features::default(), "en");
        let apart: i32 = glyphs.iter().map(|glyph| face.advance(glyph.id)).sum();
        assert!(glyphs.iter().map(|glyph| glyph.advance).sum::<i32>() < apart, "{role:?}");
    }
}

#[test]
fn tabular_figures_have_one_width_in_every_company() {
    let book = FontBook::shipped();
    let tabular = Features { tabular: true, ..Features::default() };
    for (_, face) in book.faces() {
        let width = |text: &str| face.shape(text, tabular, "en").iter().map(|glyph| glyph.advance).sum::<i32>();
        let one = width("0");
        for a in '0'..='9' {
            for b in '0'..='9' {
                assert_eq!(width(&format!("{a}{b}")), 2 * one, "{} {a}{b}", face.name);
            }
        }
    }
}

#[test]
fn figures_of_running_text_have_their_own_widths() {
    let book = FontBook::shipped();
    for role in [FontRole::Text, FontRole::TextItalic, FontRole::TextStrong, FontRole::Figures, FontRole::FiguresStrong]
    {
        let face = book.face(book.role(role));
        let width =
            |text: &str| face.shape(text, Features::default(), "en").iter().map(|glyph| glyph.advance).sum::<i32>();
        assert!(width("111") < width("000"), "{role:?}");
    }
}

#[test]
fn a_ligature_stands_for_all_its_letters() {
    let book = FontBook::shipped();
    let face = book.face(book.role(FontRole::Text));
    // Origin: the `liga` lookup of the file, read with another program: f f i has a glyph of its own.
    let glyphs = face.shape("office", Features::default(), "en");
    let clusters: Vec<_> = glyphs.iter().map(|glyph| glyph.cluster.clone()).collect();
    assert_eq!(clusters, [0..1, 1..4, 4..5, 5..6]);
}

#[test]
fn marks_belong_to_their_letter() {
    let book = FontBook::shipped();
    for (_, face) in book.faces() {
        let glyphs = face.shape("x\u{301}y", Features::default(), "en");
        assert!(glyphs.iter().all(|glyph| glyph.id != 0), "{}", face.name);
        assert!(glyphs.iter().all(|glyph| glyph.cluster == (0..3) || glyph.cluster == (3..4)), "{}", face.name);
    }
}

#[test]
fn fractions_are_drawn_as_fractions() {
    let book = FontBook::shipped();
    let fractions = Features { fractions: true, ..Features::default() };
    for role in [FontRole::Text, FontRole::TextItalic, FontRole::TextStrong, FontRole::Figures, FontRole::FiguresStrong]
    {
        let face = book.face(book.role(role));
        let plain = face.shape("3/16", Features::default(), "en");
        let width = |glyphs: &[RawGlyph]| glyphs.iter().map(|glyph| glyph.advance).sum::<i32>();
        for drawn in [face.shape("3/16", fractions, "en"), face.shape("3\u{2044}16", Features::default(), "en")] {
            let own_digit = |at: usize| drawn[at].id != plain[at].id;
            assert!(own_digit(0) && own_digit(2) && own_digit(3), "{role:?}");
            assert!(width(&drawn) < width(&plain), "{role:?}");
        }
        // Only the fraction is touched, and a date is none.
        assert_eq!(face.shape("16", fractions, "en"), face.shape("16", Features::default(), "en"));
        assert_eq!(face.shape("3/16/26", fractions, "en"), face.shape("3/16/26", Features::default(), "en"));
        assert!("½⅓¼¾×→".chars().all(|c| face.covers(c)), "{role:?}");
    }
}

#[test]
fn small_capitals_and_old_style_figures_change_the_glyphs() {
    let book = FontBook::shipped();
    let face = book.face(book.role(FontRole::Text));
    let small = Features { small_caps: true, ..Features::default() };
    let old = Features { old_style: true, ..Features::default() };
    assert_ne!(face.shape("caution", small, "en"), face.shape("caution", Features::default(), "en"));
    assert_ne!(face.shape("3456", old, "en"), face.shape("3456", Features::default(), "en"));
}

#[test]
fn a_subset_keeps_the_widths_and_is_small() {
    let book = FontBook::shipped();
    for (_, face) in book.faces() {
        let asked: BTreeSet<u16> = "Row 12, navy é½".chars().filter_map(|c| face.glyph(c)).collect();
        let cut = subset(face.bytes(), &asked).expect("a shipped face can be cut down");
        assert_eq!(cut, subset(face.bytes(), &asked).expect("twice"));
        let kept: BTreeSet<u16> = cut.glyphs.keys().copied().collect();
        assert!(asked.is_subset(&kept) && kept.contains(&0));
        let (whole, small) = (Tables(face.bytes()), Tables(&cut.bytes));
        for (old, new) in &cut.glyphs {
            assert_eq!(whole.advance(*old), small.advance(*new), "{}", face.name);
        }
        assert!(cut.bytes.len() < face.bytes().len() / 5, "{} {}", face.name, cut.bytes.len());
    }
}

#[test]
fn a_font_of_the_makers_own_can_be_added_and_given_a_role() {
    let mut book = FontBook::shipped();
    let bytes = book.face(book.role(FontRole::Figures)).bytes().to_vec();
    let id = book.add("hers.ttf", bytes).expect("a good font");
    book.set_role(FontRole::Text, id);
    assert_eq!(book.face(book.role(FontRole::Text)).name, "SourceSans3-Regular");
    assert_eq!(book.faces().count(), 7);
}

#[test]
fn a_bad_font_is_a_fault_and_never_a_panic() {
    let mut book = FontBook::shipped();
    let good = book.face(book.role(FontRole::TextItalic)).bytes().to_vec();
    let mut id_of = |bytes: Vec<u8>| book.add("hers.ttf", bytes).map_err(|fault| fault.id);
    assert_eq!(id_of(Vec::new()), Err("font-unreadable"));
    assert_eq!(id_of(b"no font at all, only words".to_vec()), Err("font-unreadable"));
    assert_eq!(id_of(b"wOF2 and the rest".to_vec()), Err("font-packed"));
    assert_eq!(id_of(good[..200].to_vec()), Err("font-unreadable"));
    // OS/2 fsType 2: restricted licence embedding (OpenType specification).
    let mut forbidden = good.clone();
    let os2 = Tables(&good).table(b"OS/2");
    forbidden[os2 + 9] = 2;
    assert_eq!(id_of(forbidden), Err("font-forbids-embedding"));
    // Damaged at random places: whatever comes out, it comes out in order.
    let mut rng = fastrand::Rng::with_seed(3);
    for _ in 0..60 {
        let mut damaged = good.clone();
        let first = if rng.bool() { 400 } else { damaged.len() };
        for _ in 0..rng.usize(1..40) {
            damaged[rng.usize(0..first)] = rng.u8(..);
        }
        let mut book = FontBook::shipped();
        if let Ok(id) = book.add("hers.ttf", damaged) {
            let face = book.face(id);
            let glyphs = face.shape("Low water, office 1/2", Features { fractions: true, ..Features::default() }, "en");
            let used = glyphs.iter().map(|glyph| glyph.id).collect();
            let _ = subset(face.bytes(), &used);
        }
    }
}
