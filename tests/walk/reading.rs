//! A file as a careful reader says it, line by line: headings with their level, lists with their labels, every value of a
//! table after what heads it, figures by the words instead of them, boxes and links by their names.

use super::structure::{Element, Kid};

/// The whole tree.
pub(super) fn reading(tree: &Element) -> String {
    let mut lines = Vec::new();
    blocks(tree, 0, &mut lines);
    lines.into_iter().map(|line| line + "\n").collect()
}

fn blocks(element: &Element, indent: usize, out: &mut Vec<String>) {
    let mut loose = String::new();
    for kid in &element.kids {
        match kid {
            Kid::Text(text) => loose.push_str(text),
            Kid::Annotation(label) => loose.push_str(&format!("[box] {label}")),
            Kid::Element(below) if inline(below) => loose.push_str(&inline_words(below)),
            Kid::Element(below) => {
                push(indent, &std::mem::take(&mut loose), out);
                block(below, indent, out);
            }
        }
    }
    push(indent, &loose, out);
}

fn inline(element: &Element) -> bool {
    matches!(element.role.as_str(), "Span" | "Link" | "Reference")
}

/// Words of one paragraph. Nothing is put between its pieces: what runs together here runs together for a reader.
fn inline_words(element: &Element) -> String {
    if let Some(words) = &element.actual {
        return words.clone();
    }
    if let Some(words) = &element.alt {
        return format!("[link: {words}]");
    }
    let inner: String = element
        .kids
        .iter()
        .map(|kid| match kid {
            Kid::Text(text) => text.clone(),
            Kid::Annotation(_) => String::new(),
            Kid::Element(below) => inline_words(below),
        })
        .collect();
    match element.role.as_str() {
        "Link" => format!("[link: {inner}]"),
        _ => inner,
    }
}

fn push(indent: usize, words: &str, out: &mut Vec<String>) {
    if !words.trim().is_empty() {
        out.push(format!("{}{}", "  ".repeat(indent), words.trim_end()));
    }
}

fn block(element: &Element, indent: usize, out: &mut Vec<String>) {
    let words = || inline_words(element);
    match element.role.as_str() {
        "H1" | "H2" | "H3" | "H4" => {
            out.push(String::new());
            push(indent, &format!("[heading {}] {}", &element.role[1..], words()), out);
        }
        "Figure" => {
            push(indent, &format!("[figure] {}", element.alt.as_deref().unwrap_or_default()), out);
            for caption in element.elements().filter(|below| below.role == "Caption") {
                push(indent, &format!("[caption] {}", inline_words(caption)), out);
            }
        }
        "Caption" => push(indent, &format!("[caption] {}", words()), out),
        "Form" => blocks(element, indent, out),
        "LI" => item(element, indent, out),
        "Table" => table(element, indent, out),
        "TOC" => {
            for entry in element.elements() {
                push(indent, &format!("[entry] {}", inline_words(entry)), out);
            }
        }
        "P" => blocks(element, indent, out),
        _ => blocks(element, indent, out),
    }
}

/// Label and body of an item on one line where the body is plain words.
fn item(item: &Element, indent: usize, out: &mut Vec<String>) {
    let mut lines = Vec::new();
    let mut label = String::new();
    for part in item.elements() {
        match part.role.as_str() {
            "Lbl" => {
                let mut said = Vec::new();
                blocks(part, 0, &mut said);
                label = said.join(" ");
            }
            _ => blocks(part, 0, &mut lines),
        }
    }
    let mut lines = lines.into_iter();
    let first = lines.next().unwrap_or_default();
    let gap = if label.is_empty() { "" } else { " " };
    push(indent, &format!("- {label}{gap}{first}"), out);
    lines.for_each(|line| push(indent + 1, &line, out));
}

/// Row by row; a value is said after the head of its column, the head of its row first.
fn table(table: &Element, indent: usize, out: &mut Vec<String>) {
    let mut heads: Vec<String> = Vec::new();
    for part in table.elements() {
        if part.role == "Caption" {
            push(indent, &format!("[table] {}", inline_words(part)), out);
            continue;
        }
        let cells: Vec<(&Element, String)> = part
            .elements()
            .map(|cell| {
                let mut said = Vec::new();
                blocks(cell, 0, &mut said);
                (cell, said.join(" "))
            })
            .collect();
        if cells.iter().all(|(cell, _)| cell.scope == "Column") {
            heads = cells.into_iter().map(|(_, words)| words).collect();
            continue;
        }
        let said: Vec<String> = cells
            .into_iter()
            .enumerate()
            .map(|(column, (cell, words))| match heads.get(column) {
                Some(head) if cell.role == "TD" && !head.is_empty() => format!("{head}: {words}"),
                _ => words,
            })
            .collect();
        push(indent, &format!("[row] {}", said.join("; ")), out);
    }
}
