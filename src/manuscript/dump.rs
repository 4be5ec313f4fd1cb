//! A manuscript as stable plain text, for golden files and for reading through what a booklet says.

use super::{Block, Caution, ChartBlock, FigureBlock, Inline, Manuscript, Step, Swatch, Table, TableEntry, Text};
use std::fmt::Write;

/// Everything a manuscript says, section by section.
pub(crate) fn dump(manuscript: &Manuscript) -> String {
    let mut out = String::new();
    for section in &manuscript.sections {
        line(&mut out, &format!("== {} [{}]", section.title.as_deref().unwrap_or("-"), section.id));
        section.blocks.iter().for_each(|block| dump_block(&mut out, block));
        out.push('\n');
    }
    out
}

fn line(out: &mut String, text: &str) {
    out.push_str(text);
    out.push('\n');
}

/// Text with its mark-up put back.
pub(crate) fn marked(text: &Text) -> String {
    text.iter()
        .map(|inline| match inline {
            Inline::Plain(words) => words.clone(),
            Inline::Strong(words) => format!("**{words}**"),
            Inline::Italic(words) => format!("*{words}*"),
            Inline::Address(words, to) => match &to.spoken {
                Some(spoken) => format!("{words} <{}; spoken: {spoken}>", to.address),
                None => format!("{words} <{}>", to.address),
            },
            Inline::Foreign(name) => match name.strong {
                true => format!("**{}**", name.words),
                false => name.words.clone(),
            },
            Inline::Symbol(name) => format!("[{name}] "),
            Inline::PageOf(section) => format!("[page of {section}]"),
        })
        .collect()
}

fn dump_block(out: &mut String, block: &Block) {
    match block {
        Block::Heading(level, text) => line(out, &format!("{} {}", "#".repeat(usize::from(*level)), marked(text))),
        Block::Paragraph(style, text) => line(out, &format!("({style}) {}", marked(text))),
        Block::Steps(steps) => steps.iter().enumerate().for_each(|(at, step)| dump_step(out, at + 1, step)),
        Block::Bullets(texts) => texts.iter().for_each(|text| line(out, &format!("- {}", marked(text)))),
        Block::Ticks(ticks) => ticks.iter().for_each(|tick| {
            line(
                out,
                &format!(
                    "[ ] {}{} {{{}: {}}}",
                    patch(tick.swatch.as_ref()),
                    marked(&tick.text),
                    tick.field,
                    tick.spoken
                ),
            );
        }),
        Block::Caution(caution) => dump_caution(out, caution),
        Block::Table(table) => dump_table(out, table),
        Block::Figure(figure) => dump_figure(out, figure),
        Block::Fleece(fleece) => {
            let parts: Vec<String> = fleece.labels.iter().map(|(wide, high)| format!("{wide} x {high}")).collect();
            line(out, &format!("<fleece: {}> {}", parts.join("; "), fleece.alt));
            caption(out, fleece.caption.as_ref());
        }
        Block::HungPanel(hung) => {
            let labels: Vec<String> = hung.labels.iter().map(|(key, words)| format!("{key}={words}")).collect();
            line(out, &format!("<hung panel: {}> {}", labels.join("; "), hung.alt));
            caption(out, hung.caption.as_ref());
        }
        Block::AsKnotted(knotted) => {
            line(out, &format!("<as knotted> {}", knotted.alt));
            caption(out, knotted.caption.as_ref());
        }
        Block::Panels(panels) => panels.iter().for_each(|knotted| {
            line(out, &format!("<as knotted, small> {}", knotted.alt));
            caption(out, knotted.caption.as_ref());
        }),
        Block::Picture(picture) => {
            line(out, &format!("<picture {}> {}", picture.picture, picture.alt));
            caption(out, picture.caption.as_ref());
        }
        Block::Facts(facts) => {
            facts.iter().for_each(|(name, value)| line(out, &format!("{}: {}", marked(name), marked(value))));
        }
        Block::Snips(snips) => snips.iter().for_each(|snip| {
            line(out, &format!("<snip> {}{}: {}", patch(Some(&snip.swatch)), snip.name, snip.lines.join(", ")));
        }),
        Block::Chart(chart) => dump_chart(out, chart),
        Block::Rows(rows) => rows.iter().for_each(|row| {
            let arrow = if row.left_to_right { '>' } else { '<' };
            line(out, &format!("{arrow} {} {{{}}}", marked(&row.sentence), row.field));
            line(out, &format!("  spoken: {}", row.spoken));
        }),
        Block::Stretch(words) => line(out, &format!("### {words}")),
        Block::Codes(codes) => {
            for code in codes {
                line(out, &format!("<code {}> {}", code.address, code.alt));
                line(out, &format!("  {}", marked(&code.words)));
            }
        }
        Block::Ruler { caption: words, ends, alt } => {
            line(out, &format!("<ruler {}> {alt}", ends.join(", ")));
            caption(out, Some(words));
        }
        Block::FillIn(lines) => {
            lines.iter().for_each(|(before, after)| line(out, &format!("{} ____ {}", marked(before), marked(after))));
        }
        Block::Contents => line(out, "<contents>"),
        Block::NewPage => line(out, "<new page>"),
        Block::InLanguage(tag, blocks) => {
            line(out, &format!("<in {tag}>"));
            blocks.iter().for_each(|block| dump_block(out, block));
        }
    }
}

fn patch(swatch: Option<&Swatch>) -> String {
    swatch.map_or_else(String::new, |swatch| format!("({} {}) ", swatch.colour.to_hex(), swatch.symbol))
}

fn caption(out: &mut String, text: Option<&Text>) {
    if let Some(text) = text {
        line(out, &format!("  caption: {}", marked(text)));
    }
}

fn dump_step(out: &mut String, number: usize, step: &Step) {
    step.cautions.iter().for_each(|caution| dump_caution(out, caution));
    line(out, &format!("{number}. {}", marked(&step.text)));
    if let Some(figure) = &step.figure {
        dump_figure(out, figure);
    }
}

fn dump_caution(out: &mut String, caution: &Caution) {
    line(out, &format!("! {}: {}", caution.word, marked(&caution.text)));
}

fn dump_figure(out: &mut String, figure: &FigureBlock) {
    let mirrored = if figure.mirrored { ", mirrored" } else { "" };
    let stages = match figure.stages.as_slice() {
        [] => String::new(),
        stages => format!(", stages {stages:?}"),
    };
    line(out, &format!("<figure {}{stages}{mirrored}> {}", figure.name, figure.alt));
    caption(out, figure.caption.as_ref());
}

fn dump_table(out: &mut String, table: &Table) {
    caption(out, table.caption.as_ref());
    let heads: Vec<String> = table.columns.iter().map(|column| marked(&column.head)).collect();
    line(out, &format!("  | {}", heads.join(" | ")));
    for row in &table.rows {
        let cells: Vec<String> = row.iter().map(dump_entry).collect();
        line(out, &format!("  | {}", cells.join(" | ")));
    }
    if let Some(note) = &table.note {
        line(out, &format!("  note: {}", marked(note)));
    }
}

fn dump_entry(entry: &TableEntry) -> String {
    let tick = entry.tick.as_ref().map_or_else(String::new, |(field, _)| format!("[ {field} ] "));
    format!("{tick}{}{}", patch(entry.swatch.as_ref()), marked(&entry.text))
}

fn dump_chart(out: &mut String, chart: &ChartBlock) {
    line(out, &format!("<chart of {} columns>", chart.columns));
    for yarn in &chart.yarns {
        line(out, &format!("  {} {} {} {}: {}", yarn.letter, yarn.colour.to_hex(), yarn.symbol, yarn.name, yarn.count));
    }
    for (row, cells) in chart.rows.iter().zip(chart.cells.chunks(chart.columns.max(1))) {
        let cells: String = cells
            .iter()
            .map(|cell| cell.and_then(|at| chart.yarns.get(usize::from(at))).map_or('.', |yarn| yarn.letter))
            .collect();
        let mut words = String::new();
        // Writing to a string cannot fail.
        let _ = write!(words, "  {} {cells} {{{}}}", row.number, row.field);
        line(out, &words);
    }
}
