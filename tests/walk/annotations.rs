//! Annotations and fields: kinds, flags, appearances, words, and the elements they belong to.

use super::{Id, Walk, name, string};
use hayro_syntax::object::{Array, Dict, Object, Stream};
use std::collections::BTreeSet;

impl<'a> Walk<'a> {
    /// What links and fields are called, for those who read the structure.
    pub(super) fn annotation_labels(&mut self) {
        for (_, annotation) in self.every_annotation() {
            let Some(id) = annotation.obj_id().map(super::key) else { continue };
            let own = string(&annotation, "TU").or_else(|| string(&annotation, "Contents"));
            let words = own.or_else(|| string(&annotation.get::<Dict<'a>>("Parent")?, "TU"));
            self.labels.insert(id, words.unwrap_or_default());
        }
    }

    fn every_annotation(&self) -> Vec<(usize, Dict<'a>)> {
        let of = |(number, (_, page)): (usize, &(Id, Dict<'a>))| {
            let list = page.get::<Array<'a>>("Annots");
            list.into_iter()
                .flat_map(move |list| list.iter::<Dict<'a>>().map(move |dict| (number, dict)).collect::<Vec<_>>())
        };
        self.pages.iter().enumerate().flat_map(of).collect()
    }

    pub(super) fn annotations(&mut self) {
        for (number, annotation) in self.every_annotation() {
            let place = format!("page {}", number + 1);
            self.out.check(name(&self.pages[number].1, "Tabs") == "S", "tabs", place.clone());
            let Some(id) = annotation.obj_id().map(super::key) else {
                self.out.fault("annotation-owner", format!("no object of its own on {place}"));
                continue;
            };
            let kind = name(&annotation, "Subtype");
            self.out.check(kind == "Widget" || kind == "Link", "annotation-kind", kind.clone());
            // Printed, never hidden; no other flag is of use here.
            self.out.check(annotation.get::<i32>("F") == Some(4), "print-flag", format!("{kind} on {place}"));
            let wanted = if kind == "Widget" { "Form" } else { "Link" };
            let owner = self.referred.get(&id).cloned();
            let right = owner.as_ref().is_some_and(|(_, role)| role == wanted);
            self.out.check(right, "annotation-role", format!("{kind} on {place}"));
            let back = annotation.get::<i32>("StructParent").and_then(|number| self.parents.get(&number));
            let back = match back {
                Some(Object::Dict(element)) => element.obj_id().map(super::key),
                _ => None,
            };
            let held = back.is_some() && back == owner.map(|(id, _)| id);
            self.out.check(held, "annotation-owner", format!("{kind} on {place}"));
            if kind == "Widget" { self.widget(&annotation, &place) } else { self.link(&annotation, &place) }
        }
    }

    fn link(&mut self, link: &Dict<'a>, place: &str) {
        let words = string(link, "Contents").is_some_and(|words| !words.trim().is_empty());
        self.out.check(words, "link-words", place);
        let action = link.get::<Dict<'a>>("A").map(|action| name(&action, "S"));
        self.out.check(action.is_none() || action.as_deref() == Some("URI"), "action", place);
        self.out.check(link.contains_key("Dest") != link.contains_key("A"), "action", "leads nowhere or twice");
    }

    fn widget(&mut self, widget: &Dict<'a>, place: &str) {
        let field = widget.get::<Dict<'a>>("Parent").unwrap_or_else(|| widget.clone());
        for dict in [widget, &field] {
            let words = string(dict, "TU").unwrap_or_default();
            self.out.check(!words.trim().is_empty(), "field-words", place);
            self.out.check(
                !dict.contains_key("A") && !dict.contains_key("AA"),
                "action",
                format!("a field on {place}"),
            );
        }
        // Only the normal appearance, and for a button one for each state.
        let appearances = widget.get::<Dict<'a>>("AP").unwrap_or_default();
        let lone = appearances.keys().map(|key| key.as_str().to_owned()).collect::<Vec<_>>() == ["N"];
        if name(&field, "FT") == "Tx" {
            let empty = appearances.get::<Stream<'a>>("N");
            self.out.check(lone && empty.is_some() && !widget.contains_key("AS"), "appearance", place);
            if let Some(stream) = empty {
                self.form(&stream, "an appearance");
            }
            return self.typing(widget, place);
        }
        let states = appearances.get::<Dict<'a>>("N").unwrap_or_default();
        let streams: Vec<Stream<'a>> =
            ["Yes", "Off"].iter().filter_map(|state| states.get::<Stream<'a>>(*state)).collect();
        let button = name(&field, "FT") == "Btn";
        let state = name(widget, "AS");
        let held = lone && streams.len() == 2 && button && states.contains_key(&state);
        self.out.check(held, "appearance", place);
        for stream in streams {
            self.form(&stream, "an appearance");
        }
        let value = name(&field, "V");
        self.out.check(value == state, "appearance", format!("{state}, but the field is {value}, on {place}"));
    }

    /// A line to type into names a font that the form embeds, with every letter that its encoding has.
    fn typing(&mut self, widget: &Dict<'a>, place: &str) {
        let says = string(widget, "DA").unwrap_or_default();
        let named = says.split('/').nth(1).and_then(|rest| rest.split(' ').next()).unwrap_or_default().to_owned();
        let form = self.catalogue.get::<Dict<'a>>("AcroForm").unwrap_or_default();
        let fonts = form.get::<Dict<'a>>("DR").and_then(|resources| resources.get::<Dict<'a>>("Font"));
        let font = fonts.and_then(|fonts| fonts.get::<Dict<'a>>(named.as_str())).unwrap_or_default();
        let simple = name(&font, "Subtype") == "TrueType" && name(&font, "Encoding") == "WinAnsiEncoding";
        self.out.check(simple, "typing-font", format!("{says} on {place}"));
        let descriptor = font.get::<Dict<'a>>("FontDescriptor").unwrap_or_default();
        let program = descriptor.get::<Stream<'a>>("FontFile2").as_ref().and_then(super::plain).unwrap_or_default();
        let (first, widths) = (font.get::<i32>("FirstChar"), font.get::<Array<'a>>("Widths"));
        let widths: Vec<f64> = widths
            .iter()
            .flat_map(|list| list.iter::<hayro_syntax::object::Number>())
            .map(|width| width.as_f64())
            .collect();
        self.out.check(first == Some(32) && widths.len() == 224, "typing-font", format!("widths on {place}"));
        // Letters of the five languages: the code of each in WinAnsiEncoding is its Latin-1 one, but for these (PDF D.2).
        let others = [
            ('œ', 156),
            ('Œ', 140),
            ('Ÿ', 159),
            ('€', 128),
            ('’', 146),
            ('“', 147),
            ('”', 148),
            ('„', 132),
            ('–', 150),
        ];
        let usual = ('0'..='9')
            .chain('A'..='Z')
            .chain('a'..='z')
            .chain("ÄÖÜäöüßÀÂÆÇÉÈÊËÎÏÔÙÛàâæçéèêëîïôùûÁÍÑÓÚáíñóú¿¡".chars());
        let letters = usual.map(|letter| (letter, u32::from(letter) as usize)).chain(others);
        for (letter, code) in letters {
            let wide = super::fonts::width_by_letter(&program, letter);
            let right = wide.zip(widths.get(code - 32)).is_some_and(|(wide, said)| (wide - said).abs() < 0.5);
            self.out.check(right, "typing-font", format!("`{letter}` on {place}"));
        }
    }

    pub(super) fn fields(&mut self) {
        let Some(form) = self.catalogue.get::<Dict<'a>>("AcroForm") else { return };
        self.out.check(!form.contains_key("NeedAppearances") && !form.contains_key("XFA"), "form", "");
        let mut names = BTreeSet::new();
        let list = form.get::<Array<'a>>("Fields");
        for field in list.iter().flat_map(|list| list.iter::<Dict<'a>>()) {
            let named = string(&field, "T").unwrap_or_default();
            self.out.check(!named.is_empty() && names.insert(named.clone()), "field-twice", named);
            self.out.check(!field.contains_key("AA"), "action", "field");
        }
    }
}
