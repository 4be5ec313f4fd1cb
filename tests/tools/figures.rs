//! Draws every shipped figure as an SVG file, to be looked at: `cargo run --example figures -- FOLDER [WIDTH_MM]`.
//!
//! Label keys and stage numbers stand where a booklet sets words.

use hitchpress::figure::{DrawnFigure, FigureColours, Figures, LabelAlign};
use hitchpress::geom::{Length, Size};
use hitchpress::page::{Segment, Shape};
use std::fmt::Write as _;
use std::path::Path;

fn main() -> std::io::Result<()> {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().unwrap_or_else(|| "figures".to_string());
    let width = arguments.next().and_then(|w| w.parse().ok()).unwrap_or(150.0);
    std::fs::create_dir_all(&folder)?;
    let figures = Figures::shipped();
    for name in figures.names() {
        match figures.read(name) {
            Some(Ok(figure)) => {
                let drawn = figure.draw(
                    Size::new(Length::mm(width), Length::mm(1000.0)),
                    1.0,
                    &FigureColours::default(),
                    false,
                );
                std::fs::write(Path::new(&folder).join(format!("{name}.svg")), svg(&drawn))?;
            }
            Some(Err(report)) => {
                for fault in report.iter() {
                    eprintln!("{name}: {} {}", fault.id, fault.message);
                }
            }
            None => {}
        }
    }
    Ok(())
}

fn svg(drawn: &DrawnFigure) -> String {
    let (width, height) = (drawn.size.width.to_pt(), drawn.size.height.to_pt());
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}pt\" height=\"{height}pt\" viewBox=\"-4 -4 {} {}\">\n\
         <rect x=\"-4\" y=\"-4\" width=\"100%\" height=\"100%\" fill=\"white\"/>\n",
        width + 8.0,
        height + 8.0
    );
    for shape in drawn.shapes.iter() {
        let _ = writeln!(text, "{}", path(shape));
    }
    for label in &drawn.labels {
        let anchor = match label.align {
            LabelAlign::Left => "start",
            LabelAlign::Centre => "middle",
            LabelAlign::Right => "end",
        };
        let (x, y) = (label.at.x.to_pt(), label.at.y.to_pt() + 2.6);
        let _ = writeln!(
            text,
            "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"7.5\" text-anchor=\"{anchor}\" font-family=\"serif\">{}</text>",
            label.key
        );
    }
    for number in &drawn.numbers {
        let (x, y) = (number.at.x.to_pt(), number.at.y.to_pt() + 3.2);
        let _ = writeln!(
            text,
            "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"10\" font-weight=\"bold\">{}</text>",
            number.number
        );
    }
    text.push_str("</svg>\n");
    text
}

fn path(shape: &Shape) -> String {
    let mut d = String::new();
    for segment in &shape.outline {
        let at = |p: &hitchpress::geom::Point| format!("{:.2} {:.2}", p.x.to_pt(), p.y.to_pt());
        let _ = match segment {
            Segment::Move(p) => write!(d, "M{}", at(p)),
            Segment::Line(p) => write!(d, "L{}", at(p)),
            Segment::Curve(a, b, c) => write!(d, "C{} {} {}", at(a), at(b), at(c)),
            Segment::Close => write!(d, "Z"),
        };
    }
    let fill = shape.fill.map_or("none".to_string(), |c| c.to_hex());
    let stroke = shape.stroke.as_ref().map_or(String::new(), |s| {
        let dash: Vec<String> = s.dash.iter().map(|l| format!("{:.2}", l.to_pt())).collect();
        let round = if s.round { " stroke-linecap=\"round\" stroke-linejoin=\"round\"" } else { "" };
        format!(
            " stroke=\"{}\" stroke-width=\"{:.3}\" stroke-dasharray=\"{}\"{round}",
            s.colour.to_hex(),
            s.width.to_pt(),
            dash.join(" ")
        )
    });
    format!("<path d=\"{d}\" fill=\"{fill}\"{stroke}/>")
}
