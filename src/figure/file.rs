//! The file of a figure as it is written, and its check: every fault is gathered, none stops the search.

use super::curve::{CurvePoint, StagePoint, sampled};
use super::field::Field;
use super::model::{Claim, Cord, CordEnd, CordKind, Figure, Knot, LabelAlign, Stage, StageLabel};
use super::plate::{self, PlainLine, Plate, PlateKind};
use super::{cord, crossing, finished};
use crate::diag::{Diagnostic, Report, SourceId, Span};
use serde::Deserialize;
use toml::Spanned;

/// Heights at a crossing must differ by this at least, so that over and under never hang on rounding.
pub(crate) const MIN_CLEARANCE: f64 = 0.3;

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct FigureFile {
    mirror_of: Option<String>,
    panel: Option<StagePoint>,
    /// Whether stages are numbered where there are several.
    numbered: Option<bool>,
    #[serde(default)]
    stage: Vec<StageFile>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct StageFile {
    size: Option<StagePoint>,
    #[serde(default)]
    cord: Vec<Spanned<CordFile>>,
    #[serde(default)]
    field: Vec<Spanned<FieldFile>>,
    #[serde(default)]
    plate: Vec<Spanned<PlateFile>>,
    #[serde(default)]
    line: Vec<LineFile>,
    #[serde(default)]
    label: Vec<LabelFile>,
    #[serde(default)]
    knot: Vec<Spanned<ClaimFile>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct CordFile {
    #[serde(default)]
    id: String,
    kind: CordKind,
    width: f64,
    #[serde(default)]
    start: CordEnd,
    #[serde(default)]
    finish: CordEnd,
    #[serde(default)]
    close: bool,
    through: Vec<PlaceFile>,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum PlaceFile {
    Place([f64; 3]),
    Wide([f64; 4]),
    Hitch(HitchFile),
}

/// A finished knot in the run of a yarn: its whole way round the cord.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct HitchFile {
    hitch: WayFile,
    at: StagePoint,
    round: f64,
    #[serde(default)]
    behind: bool,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum WayFile {
    LeftToRight,
    RightToLeft,
}

/// A field of finished knots. In `rows`, `y` is a knot of the yarn, `s` one of the second yarn, `.` a bare cell.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct FieldFile {
    #[serde(default)]
    id: String,
    at: StagePoint,
    pitch: StagePoint,
    rows: Vec<String>,
    first_row: WayFile,
    #[serde(default)]
    behind: bool,
    cord: f64,
    yarn: f64,
    bare: StagePoint,
    #[serde(default)]
    hangs: bool,
    #[serde(default)]
    knots_only: bool,
    #[serde(default)]
    height: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct PlateFile {
    kind: PlateKind,
    outline: Vec<StagePoint>,
    round: Option<f64>,
    height: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct LineFile {
    through: Vec<StagePoint>,
    width: f64,
    dash: Option<[f64; 2]>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct LabelFile {
    key: String,
    at: StagePoint,
    #[serde(default)]
    align: LabelAlign,
    to: Option<StagePoint>,
    room: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct ClaimFile {
    kind: KnotFile,
    yarn: String,
    round: String,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum KnotFile {
    DoubleHalfHitch,
    LarksHead,
    Link,
    HalfKnot,
}

/// Whether a reader looks at crossings: to find them takes longer than to read all else.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Crossings {
    /// Each must be clear.
    Checked,
    /// They were looked at before.
    Proven,
}

/// Reads a figure from the text of its file. `origin` finds the file that this one mirrors.
pub(crate) fn read(
    name: &str,
    text: &str,
    source: SourceId,
    crossings: Crossings,
    origin: &dyn Fn(&str) -> Option<Figure>,
) -> Result<Figure, Report> {
    let mut report = Report::new();
    let file: FigureFile = match toml::from_str(text) {
        Ok(file) => file,
        Err(error) => {
            let span = error.span().map_or(Span::file(source), |s| Span::new(source, s.start, s.end));
            report.push(Diagnostic::fault("figure-file", error.message().to_string()).at(span));
            return Err(report);
        }
    };
    if let Some(other) = &file.mirror_of {
        return match origin(other) {
            Some(figure) => Ok(figure.mirrored(name)),
            None => {
                let message = format!("there is no figure `{other}` to mirror");
                report.push(Diagnostic::fault("unknown-figure", message).at(Span::file(source)));
                Err(report)
            }
        };
    }
    let mut check = FigureCheck { source, crossings, report: &mut report };
    let usual = file.panel.unwrap_or([36.0, 44.0]);
    let panels: Vec<Stage> = file.stage.into_iter().map(|stage| check.stage(stage, usual)).collect();
    if panels.is_empty() {
        report.push(Diagnostic::fault("empty-figure", "the figure has no stage").at(Span::file(source)));
    }
    if report.has_faults() {
        return Err(report);
    }
    let numbered = panels.len() > 1 && file.numbered.unwrap_or(true);
    Ok(Figure { name: name.to_string(), panels, numbered })
}

struct FigureCheck<'a> {
    source: SourceId,
    crossings: Crossings,
    report: &'a mut Report,
}

impl FigureCheck<'_> {
    fn span(&self, range: std::ops::Range<usize>) -> Span {
        Span::new(self.source, range.start, range.end)
    }

    fn stage(&mut self, file: StageFile, usual: StagePoint) -> Stage {
        let size = file.size.unwrap_or(usual);
        if !size.iter().all(|&side| (1.0..=1000.0).contains(&side)) {
            let message = format!("a stage of `{} x {}` mm cannot be drawn", size[0], size[1]);
            self.report.push(Diagnostic::fault("figure-size", message).at(Span::file(self.source)));
        }
        let mut cords = Vec::new();
        let mut spans = Vec::new();
        for entry in file.cord {
            let span = self.span(entry.span());
            if let Some(cord) = self.cord(entry.into_inner(), span) {
                cords.push(cord);
                spans.push(span);
            }
        }
        for entry in file.field {
            let span = self.span(entry.span());
            let added = self.field(entry.into_inner(), span);
            spans.extend(added.iter().map(|_| span));
            cords.extend(added);
        }
        if self.crossings == Crossings::Checked {
            self.clear_crossings(&cords, &spans);
        }
        let plates = file.plate.into_iter().filter_map(|entry| self.plate(entry)).collect();
        let lines = file.line.into_iter();
        let lines = lines.map(|l| PlainLine { through: l.through, width: l.width, dash: l.dash }).collect();
        let claims = file.knot.into_iter().filter_map(|entry| self.claim(entry, &cords)).collect();
        Stage { size, cords, plates, lines, labels: file.label.into_iter().map(label).collect(), claims }
    }

    fn cord(&mut self, file: CordFile, span: Span) -> Option<Cord> {
        let places: Vec<CurvePoint> = file
            .through
            .iter()
            .flat_map(|place| match place {
                &PlaceFile::Place([x, y, z]) => vec![CurvePoint::smooth([x, y, z], file.width)],
                &PlaceFile::Wide([x, y, z, width]) => vec![CurvePoint::smooth([x, y, z], width)],
                PlaceFile::Hitch(hitch) => {
                    let leftwards = matches!(hitch.hitch, WayFile::RightToLeft);
                    finished::hitch(hitch.at, hitch.round, file.width, leftwards, hitch.behind)
                }
            })
            .collect();
        let drawable =
            |p: &CurvePoint| [p.x, p.y, p.z].iter().all(|v| v.abs() <= 2000.0) && (0.05..=100.0).contains(&p.width);
        if !places.iter().all(drawable) {
            let fault = Diagnostic::fault("cord-measure", format!("a measure of cord `{}` cannot be drawn", file.id));
            self.report.push(fault.at(span).hint("keep places within 2000 mm and widths between 0.05 and 100 mm"));
            return None;
        }
        let mut curve = sampled(&places);
        if curve.samples.is_empty() {
            let fault = Diagnostic::fault("short-cord", format!("cord `{}` has fewer than two places", file.id));
            self.report.push(fault.at(span).hint("give at least two different places"));
            return None;
        }
        let (start, finish) = (file.start, file.finish);
        cord::narrow(&mut curve.samples, start, finish);
        curve.samples.iter_mut().for_each(|s| s.close |= file.close);
        Some(Cord { id: file.id, kind: file.kind, curve, start, finish })
    }

    fn field(&mut self, file: FieldFile, span: Span) -> Vec<Cord> {
        let yarn = |letter: char| match letter {
            'y' => Some(Some(CordKind::Yarn)),
            's' => Some(Some(CordKind::SecondYarn)),
            '.' => Some(None),
            _ => None,
        };
        let rows: Option<Vec<Vec<Option<CordKind>>>> =
            file.rows.iter().map(|row| row.chars().map(yarn).collect()).collect();
        let measures = [file.pitch[0], file.pitch[1], file.cord, file.yarn];
        let Some(rows) = rows.filter(|_| measures.iter().all(|m| (0.05..=100.0).contains(m))) else {
            let fault = Diagnostic::fault("knot-field", "a field of knots cannot be drawn").at(span);
            self.report.push(fault.hint("use `y`, `s` and `.` in `rows` and measures between 0.05 and 100 mm"));
            return Vec::new();
        };
        let field = Field {
            at: file.at,
            pitch: file.pitch,
            rows,
            rightwards: matches!(file.first_row, WayFile::LeftToRight),
            behind: file.behind,
            cord: file.cord,
            yarn: file.yarn,
            bare: file.bare,
            from_above: !file.hangs,
            fillers: !file.knots_only,
            z: file.height,
        };
        field.cords(&file.id)
    }

    fn plate(&mut self, entry: Spanned<PlateFile>) -> Option<Plate> {
        let span = self.span(entry.span());
        let file = entry.into_inner();
        if file.outline.len() < 3 || !file.outline.iter().flatten().all(|v| v.abs() <= 2000.0) {
            let fault = Diagnostic::fault("plate-outline", "a plate cannot be drawn").at(span);
            self.report.push(fault.hint("give at least three corners within 2000 mm"));
            return None;
        }
        let outline = match file.round {
            Some(radius) => plate::rounded(&file.outline, radius),
            None => plate::smooth(&file.outline),
        };
        Some(Plate { kind: file.kind, outline, z: file.height })
    }

    fn clear_crossings(&mut self, cords: &[Cord], spans: &[Span]) {
        let samples: Vec<_> = cords.iter().map(|c| c.curve.samples.as_slice()).collect();
        for crossing in crossing::crossings(&samples) {
            if crossing.clearance < MIN_CLEARANCE {
                let (over, under) = (&cords[crossing.over.0].id, &cords[crossing.under.0].id);
                let [x, y] = crossing.at;
                let message = format!(
                    "`{over}` and `{under}` cross at ({x:.1}, {y:.1}) with heights that differ by `{:.2}` only",
                    crossing.clearance
                );
                let fault = Diagnostic::fault("unclear-crossing", message).at(spans[crossing.over.0]);
                self.report.push(fault.hint("lift one of them, so that it is clear which passes over"));
            }
        }
    }

    fn claim(&mut self, entry: Spanned<ClaimFile>, cords: &[Cord]) -> Option<Claim> {
        let span = self.span(entry.span());
        let file = entry.into_inner();
        for id in [&file.yarn, &file.round] {
            if !cords.iter().any(|c| c.id == *id) {
                let fault = Diagnostic::fault("unknown-cord", format!("there is no cord `{id}` in this stage"));
                self.report.push(fault.at(span));
                return None;
            }
        }
        let knot = match file.kind {
            KnotFile::DoubleHalfHitch => Knot::DoubleHalfHitch,
            KnotFile::LarksHead => Knot::LarksHead,
            KnotFile::Link => Knot::Link,
            KnotFile::HalfKnot => Knot::HalfKnot,
        };
        Some(Claim { knot, yarn: file.yarn, round: file.round })
    }
}

fn label(file: LabelFile) -> StageLabel {
    StageLabel { key: file.key, at: file.at, align: file.align, to: file.to, room: file.room }
}
