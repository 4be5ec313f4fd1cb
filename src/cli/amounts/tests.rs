use super::DataFormat;
use super::written;
use crate::diag::Report;
use crate::project::{Project, load};
use crate::source::Sources;
use crate::workings::{Workings, work_out};
use serde_json::Value;
use std::path::Path;

const SCHEMA: &str = include_str!("../../../layouts/schemas/amounts.schema.json");

fn samples() -> Vec<(Project, Workings)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    ["two-pears", "low-water-heron", "harbour-evening"]
        .iter()
        .map(|name| {
            let (mut sources, mut report) = (Sources::new(), Report::new());
            let project = load(&folder.join(name), &mut sources, &mut report).expect("the sample is sound");
            let workings = work_out(&project);
            (project, workings)
        })
        .collect()
}

fn json((project, workings): &(Project, Workings), students: Option<usize>) -> Value {
    serde_json::from_str(&written(project, workings, students, DataFormat::Json)).expect("JSON")
}

/// Holds a value against the part of JSON Schema (draft 2020-12) that our schema uses. A keyword it does not know is a
/// fault of the schema, so that nothing in it goes unheeded.
fn hold(schema: &Value, value: &Value, root: &Value, at: &str) -> Result<(), String> {
    for (keyword, rule) in schema.as_object().ok_or("a schema is an object")? {
        match keyword.as_str() {
            "$schema" | "$id" | "$defs" | "title" | "description" => {}
            "$ref" => {
                let name = rule.as_str().and_then(|r| r.strip_prefix("#/$defs/")).ok_or("a reference into $defs")?;
                hold(root["$defs"].get(name).ok_or("a definition")?, value, root, at)?;
            }
            "const" => (rule == value).then_some(()).ok_or(format!("{at} is not {rule}"))?,
            "enum" => {
                let any = rule.as_array().is_some_and(|all| all.contains(value));
                any.then_some(()).ok_or(format!("{at}: {value} is none of {rule}"))?;
            }
            "anyOf" => {
                let any = rule.as_array().is_some_and(|all| all.iter().any(|one| hold(one, value, root, at).is_ok()));
                any.then_some(()).ok_or(format!("{at} fits none of its forms"))?;
            }
            "type" => {
                let is = |name: &Value| match name.as_str() {
                    Some("object") => value.is_object(),
                    Some("array") => value.is_array(),
                    Some("string") => value.is_string(),
                    Some("boolean") => value.is_boolean(),
                    Some("null") => value.is_null(),
                    Some("number") => value.is_number(),
                    Some("integer") => value.is_u64() || value.is_i64(),
                    _ => false,
                };
                let any = rule.as_array().map_or_else(|| is(rule), |all| all.iter().any(is));
                any.then_some(()).ok_or(format!("{at}: {value} is not of type {rule}"))?;
            }
            "minimum" => {
                let low = value.as_f64().is_some_and(|v| v < rule.as_f64().unwrap_or(f64::MAX));
                (!low).then_some(()).ok_or(format!("{at}: {value} is under {rule}"))?;
            }
            "pattern" => {
                assert_eq!(rule, "^[0-9]{4}-[0-9]{2}-[0-9]{2}$", "the one pattern this knows");
                let day = value.as_str().unwrap_or_default();
                let fits = day.len() == 10
                    && day
                        .bytes()
                        .enumerate()
                        .all(|(i, b)| if i == 4 || i == 7 { b == b'-' } else { b.is_ascii_digit() });
                fits.then_some(()).ok_or(format!("{at}: {value} is no day"))?;
            }
            "required" => {
                for name in rule.as_array().into_iter().flatten().filter_map(Value::as_str) {
                    let there = !value.is_object() || value.get(name).is_some();
                    there.then_some(()).ok_or(format!("{at} has no {name}"))?;
                }
            }
            "additionalProperties" => {
                assert_eq!(rule, &Value::Bool(false), "the one form this knows");
                for name in value.as_object().into_iter().flatten().map(|(name, _)| name) {
                    let known = schema["properties"].get(name).is_some();
                    known.then_some(()).ok_or(format!("{at} has an unknown {name}"))?;
                }
            }
            "properties" => {
                for (name, inner) in rule.as_object().into_iter().flatten() {
                    if let Some(value) = value.get(name) {
                        hold(inner, value, root, &format!("{at}.{name}"))?;
                    }
                }
            }
            "items" => {
                for (i, value) in value.as_array().into_iter().flatten().enumerate() {
                    hold(rule, value, root, &format!("{at}[{i}]"))?;
                }
            }
            unknown => return Err(format!("the schema says `{unknown}`, which nobody checks")),
        }
    }
    Ok(())
}

fn fits(value: &Value) -> Result<(), String> {
    let schema: Value = serde_json::from_str(SCHEMA).expect("the schema is JSON");
    hold(&schema, value, &schema, "amounts")
}

#[test]
fn the_json_of_every_sample_fits_the_published_schema() {
    for sample in samples() {
        for students in [None, Some(1), Some(12)] {
            assert_eq!(fits(&json(&sample, students)), Ok(()), "{}", sample.0.about.title);
        }
    }
}

#[test]
fn the_schema_refuses_what_is_missing_added_or_of_another_kind() {
    let samples = samples();
    let sound = json(&samples[0], Some(3));
    assert_eq!(fits(&sound), Ok(()));
    let spoilt = |spoil: &dyn Fn(&mut Value)| {
        let mut value = sound.clone();
        spoil(&mut value);
        fits(&value).expect_err("spoilt")
    };
    // Every field in turn, at every depth, is taken out, renamed and made a list.
    fn paths(value: &Value, at: &str, out: &mut Vec<String>) {
        match value {
            Value::Object(fields) => fields.iter().for_each(|(name, inner)| {
                out.push(format!("{at}/{name}"));
                paths(inner, &format!("{at}/{name}"), out);
            }),
            Value::Array(all) => all.iter().enumerate().for_each(|(i, inner)| paths(inner, &format!("{at}/{i}"), out)),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
        }
    }
    let mut all = Vec::new();
    paths(&sound, "", &mut all);
    assert!(all.len() > 100);
    for path in &all {
        let (parent, name) = path.rsplit_once('/').expect("a path");
        fn fields<'v>(value: &'v mut Value, at: &str) -> &'v mut serde_json::Map<String, Value> {
            value.pointer_mut(at).and_then(Value::as_object_mut).expect("an object")
        }
        spoilt(&|value| {
            fields(value, parent).remove(name);
        });
        spoilt(&|value| {
            let field = fields(value, parent).remove(name).expect("a field");
            fields(value, parent).insert(format!("{name}_"), field);
        });
        if !sound.pointer(path).is_some_and(Value::is_array) {
            spoilt(&|value| {
                fields(value, parent).insert(name.to_string(), Value::Array(Vec::new()));
            });
        }
    }
    spoilt(&|value| value["yarns"][0]["buy"]["buy_m"] = Value::from(-1));
    spoilt(&|value| value["yarns"][0]["buy"]["buy_m"] = Value::from(1.5));
    spoilt(&|value| value["gauge"]["row_from"] = Value::from("guess"));
    spoilt(&|value| value["date"] = Value::from("yesterday"));
}

#[test]
fn the_figures_are_those_of_the_workings() {
    for (project, workings) in samples() {
        let value = json(&(project.clone(), workings.clone()), Some(5));
        assert_eq!(value["panel"]["chart_knots"], workings.tally.chart);
        let used: Vec<_> = workings.amounts.iter().filter(|of| workings.tally.of(of.yarn).total() > 0).collect();
        let yarns = value["yarns"].as_array().expect("yarns");
        assert_eq!(yarns.len(), used.len());
        for (said, of) in yarns.iter().zip(used) {
            assert_eq!(said["name"], project.palette.get(of.yarn).name.as_str());
            assert_eq!(said["buy"]["buy_m"], of.buy.metres);
            assert!((said["cut_instead_mm"].as_f64().expect("a length") - of.cut_instead_mm).abs() < 0.006);
            let plan = &workings.plans[usize::from(of.yarn.0)];
            assert_eq!(said["plan"]["threads"], plan.threads().count());
            assert_eq!(
                said["plan"]["turns"].as_u64().zip(said["plan"]["carries"].as_u64()).map(|(a, b)| a + b),
                Some(plan.steps.len() as u64)
            );
            let row = |run: usize| workings.sheet.runs[run].row;
            assert_eq!(said["plan"]["rows_hanging"], plan.steps.iter().map(|s| row(s.to) - row(s.from)).sum::<usize>());
            let steps_um: i64 = plan.steps.iter().map(|s| s.micrometres).sum();
            assert_eq!(said["plan"]["steps_mm"].as_f64().map(|mm| (mm * 1000.0).round() as i64), Some(steps_um));
        }
        assert_eq!(value["class"]["students"], 5);
        assert_eq!(value["cord"]["folded"]["cut_mm"], workings.cords.folded.cut_mm);
    }
}

#[test]
fn every_row_of_the_spreadsheet_has_all_columns() {
    for (project, workings) in samples() {
        let csv = written(&project, &workings, Some(4), DataFormat::Csv);
        let mut rows = csv.split("\r\n");
        assert_eq!(rows.next(), Some("item,key,name,count,each_mm,buy_m,buy_yd,packs,mass_g,price"));
        for row in rows.filter(|row| !row.is_empty()) {
            assert_eq!(cells(row).len(), 10, "{row}");
        }
    }
}

/// One row of comma-separated values read back (RFC 4180).
fn cells(row: &str) -> Vec<String> {
    let (mut out, mut cell, mut within) = (Vec::new(), String::new(), false);
    let mut chars = row.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '"' if within && chars.peek() == Some(&'"') => {
                chars.next();
                cell.push('"');
            }
            '"' => within = !within,
            ',' if !within => out.push(std::mem::take(&mut cell)),
            c => cell.push(c),
        }
    }
    out.push(cell);
    out
}

#[test]
fn a_name_with_commas_quotes_or_a_formula_stays_one_cell() {
    let (mut project, _) = samples().remove(0);
    for (name, read) in [("red, \"warm\"", "red, \"warm\""), ("=1+1", "'=1+1"), ("-blue", "'-blue")] {
        project.palette.0[0].name = name.to_string();
        let csv = written(&project, &work_out(&project), None, DataFormat::Csv);
        let row = csv.split("\r\n").nth(1).expect("a row");
        assert_eq!(cells(row)[2], read);
    }
}

/// Own computation: 7 balls of the heron's yarns and one spool at the prices in its project file.
#[test]
fn the_text_says_what_one_panel_costs_a_maker() {
    let (project, workings) = samples().remove(1);
    let yarns: f64 = workings.amounts.iter().filter_map(|of| of.buy.price).sum();
    let all = yarns + workings.cords.price.expect("the spool has a price");
    let text = written(&project, &workings, None, DataFormat::Text);
    assert!(text.contains(&format!("Cost of one panel: {all:.2} GBP")), "{text}");
    let mut dear = project.clone();
    dear.cord.spool_price = None;
    let text = written(&dear, &work_out(&dear), None, DataFormat::Text);
    assert!(text.contains(&format!("{yarns:.2} GBP at least; no price is given for cord")), "{text}");
}

/// Half centimetres from 10 cm on, millimetres below, as a tape shows them.
#[test]
fn no_figure_of_the_text_is_finer_than_a_hand_measures() {
    for (project, workings) in samples() {
        let text = written(&project, &workings, Some(4), DataFormat::Text);
        for found in text.split(" cm").filter_map(|before| before.rsplit([' ', '(']).next()) {
            if let Some((_, decimals)) = found.split_once('.') {
                assert_eq!(decimals, "5", "{found} cm");
            }
        }
        assert!(!text.contains(" mm)") && !text.contains("mm ("), "{text}");
    }
}

#[test]
fn the_text_names_every_yarn_with_its_amount() {
    for (project, workings) in samples() {
        let text = written(&project, &workings, Some(4), DataFormat::Text);
        for of in workings.amounts.iter().filter(|of| workings.tally.of(of.yarn).total() > 0) {
            let name = &project.palette.get(of.yarn).name;
            let line = text.lines().find(|line| line.starts_with(name.as_str())).expect("a line for the yarn");
            // Thousands are set apart.
            assert!(line.replace(',', "").contains(&format!("{} m", of.buy.metres)), "{line}");
        }
        assert!(text.lines().all(|line| line == line.trim_end()));
        // Every heading that is a trade's own is explained below its table.
        for heading in ["to buy", "balls", "lengths", "ends"] {
            assert!(text.lines().any(|line| line.starts_with(&format!("  {heading}: "))), "{heading}");
        }
    }
}
