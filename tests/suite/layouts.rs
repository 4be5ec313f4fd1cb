//! Layouts are data: every key of a layout and of a look moves something on paper; a maker's own layout, look, fonts and
//! words are used as she wrote them, and faults in them are told like any other.

use crate::support::{Room, repository};
use hitchpress::diag::Report;
use hitchpress::font::FontBook;
use hitchpress::page::dump::dump;
use hitchpress::press::{self, Order};
use hitchpress::project::{self, Project};
use hitchpress::source::Sources;
use std::path::Path;

fn sample() -> Project {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    project::load(&repository("samples/low-water-heron"), &mut sources, &mut report).expect("the sample loads")
}

/// What is printed with the layout in this folder.
fn printed(project: &Project, folder: &Path) -> String {
    let (mut sources, mut report) = (Sources::new(), Report::new());
    let layout = sources.read(&folder.join("layout.toml"), 1 << 20).expect("the layout is there");
    let order = Order { edition: "booklet".into(), own_layout: Some(layout), ..Order::default() };
    let copy = press::write_up(project, &order, &mut sources, &mut report);
    let copy = copy.unwrap_or_else(|| panic!("{:?}", report.iter().map(|d| &d.message).collect::<Vec<_>>()));
    dump(&press::lay_out(&copy, &FontBook::shipped()).expect("it is laid out"))
}

/// Every line `key = value` of a layout file with another value in it.
fn changed(text: &str) -> Vec<(String, String)> {
    let mut all = Vec::new();
    let mut section = String::new();
    let lines: Vec<&str> = text.lines().collect();
    for (at, line) in lines.iter().enumerate() {
        let bare = line.split('#').next().unwrap_or_default().trim();
        if let Some(name) = line.trim().strip_prefix('[').and_then(|l| l.split(']').next()) {
            section = name.to_owned();
        }
        let Some((key, value)) = line.split_once(" = ") else { continue };
        let key = key.trim();
        if line.trim_start().starts_with('#') || key == "format" || key == "look" {
            continue;
        }
        // A colour holds the sign that begins a comment.
        let value = if value.starts_with("\"#") { &value[..9] } else { bare.split_once(" = ").map_or(value, |b| b.1) };
        let Some(other) = other(key, value.trim()) else { continue };
        let mut copy: Vec<String> = lines.iter().map(|l| (*l).to_owned()).collect();
        copy[at] = format!("{key} = {other}");
        all.push((format!("{section}.{key}"), copy.join("\n")));
    }
    all
}

/// Another value of the same kind.
fn other(key: &str, value: &str) -> Option<String> {
    let quoted = |text: &str| Some(format!("\"{text}\""));
    match (key, value) {
        ("sections" | "new-page", _) => None,
        (_, "true") => Some("false".into()),
        (_, "false") => Some("true".into()),
        ("cells", _) => quoted("true"),
        ("orientation", _) => quoted("either"),
        ("pages", _) => quoted("facing"),
        ("accent", _) => quoted("#123456"),
        ("face", "\"figures\"") => quoted("text-italic"),
        ("face", _) => quoted("figures"),
        ("colour", "\"quiet\"") => quoted("accent"),
        ("colour", _) => quoted("quiet"),
        ("contents-over", _) => Some("1000".into()),
        (_, number) if number.parse::<u32>().is_ok() => Some((number.parse::<u32>().ok()? + 1).to_string()),
        (_, colour) if colour.starts_with("\"#") => quoted("#654321"),
        (_, measure) => {
            let (number, unit) = measure.trim_matches('"').split_once(' ')?;
            quoted(&format!("{:.2} {unit}", number.parse::<f64>().ok()? * 0.87))
        }
    }
}

#[test]
fn every_key_of_a_layout_and_of_a_look_moves_something_on_paper() {
    let project = sample();
    let shipped = std::fs::read_to_string(repository("layouts/booklet.toml")).expect("the layout");
    let layout = shipped.replace("look = \"quiet\"", "look = \"look.toml\"");
    let look = std::fs::read_to_string(repository("layouts/looks/quiet.toml")).expect("the look");
    let room = Room::new();
    room.write("layout.toml", &layout);
    room.write("look.toml", &look);
    let before = printed(&project, room.path());
    let of_layout = changed(&layout).into_iter().map(|(key, text)| (key, text, look.clone()));
    let of_look = changed(&look).into_iter().map(|(key, text)| (key, layout.clone(), text));
    let all: Vec<_> = of_layout.chain(of_look).collect();
    assert!(all.len() > 100, "{}", all.len());
    let idle: Vec<String> = std::thread::scope(|scope| {
        let workers: Vec<_> = all
            .chunks(all.len().div_ceil(2))
            .map(|part| {
                let (project, before) = (&project, &before);
                scope.spawn(move || {
                    let room = Room::new();
                    let moves = |(_, layout, look): &&(String, String, String)| {
                        room.write("layout.toml", layout);
                        room.write("look.toml", look);
                        printed(project, room.path()) == *before
                    };
                    part.iter().filter(moves).map(|(key, ..)| key.clone()).collect::<Vec<_>>()
                })
            })
            .collect();
        workers.into_iter().flat_map(|w| w.join().expect("no panic")).collect()
    });
    assert_eq!(idle, Vec::<String>::new(), "keys that do nothing");
}
