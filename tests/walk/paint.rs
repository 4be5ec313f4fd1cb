//! What is painted with: colour spaces, profiles, graphics states, pictures, forms.

use super::{Walk, kids_of, name, plain};
use hayro_syntax::object::{Dict, Name, Object, Stream};

/// What the header of an ICC profile says (ICC.1, 7.2).
pub(super) struct Profile {
    pub class: String,
    pub space: String,
}

impl Profile {
    pub fn components(&self) -> Option<i32> {
        match self.space.as_str() {
            "GRAY" => Some(1),
            "RGB " | "Lab " => Some(3),
            "CMYK" => Some(4),
            _ => None,
        }
    }
}

/// Reads the header of a profile of version 2 or 4 that says its own length.
pub(super) fn profile(bytes: &[u8]) -> Option<Profile> {
    let length = u32::from_be_bytes(bytes.get(..4)?.try_into().ok()?);
    let version = *bytes.get(8)?;
    let word = |at: usize| bytes.get(at..at + 4).map(|word| String::from_utf8_lossy(word).into_owned());
    let sound = length as usize == bytes.len() && (version == 2 || version == 4) && word(36)? == "acsp";
    sound.then_some(Profile { class: word(12)?, space: word(16)? })
}

impl<'a> Walk<'a> {
    /// A device space needs an output intent of its kind; grey is content with any (A 6.2.4.3).
    pub(super) fn device(&mut self, space: &str, place: &str) {
        let held = match space {
            "DeviceGray" => self.intent.is_some(),
            "DeviceRGB" => self.intent.as_deref() == Some("RGB "),
            "DeviceCMYK" => self.intent.as_deref() == Some("CMYK"),
            _ => true,
        };
        self.out.check(held, "device-colour", format!("{space} in {place}"));
    }

    /// A colour space wherever one stands.
    pub(super) fn space(&mut self, space: &Object<'a>, place: &str) {
        match space {
            Object::Name(name) => self.device(name.as_str(), place),
            Object::Array(list) => {
                let parts: Vec<Object<'a>> = list.iter::<Object<'a>>().collect();
                match parts.as_slice() {
                    [Object::Name(kind), Object::Stream(stream), ..] if kind.as_str() == "ICCBased" => {
                        let sort = profile(&plain(stream).unwrap_or_default());
                        let good = sort.is_some_and(|sort| {
                            matches!(sort.class.as_str(), "prtr" | "mntr" | "scnr" | "spac")
                                && sort.components() == stream.dict().get::<i32>("N")
                        });
                        self.out.check(good, "profile", place);
                    }
                    [Object::Name(kind), base, ..] if kind.as_str() == "Indexed" => self.space(base, place),
                    [Object::Name(kind), ..] => {
                        // Our writer makes no other spaces; one that turns up is looked at by somebody.
                        self.out.fault("device-colour", format!("{} in {place}", kind.as_str()));
                    }
                    _ => self.out.fault("device-colour", place),
                }
            }
            _ => self.out.fault("device-colour", place),
        }
    }

    /// A picture or form that is painted.
    pub(super) fn object(&mut self, object: &Stream<'a>, place: &str) {
        let dict = object.dict().clone();
        let kind = name(&dict, "Subtype");
        self.out.check(kind == "Image" || kind == "Form", "object-kind", kind.clone());
        for key in ["OPI", "PS", "Ref"] {
            self.out.check(!dict.contains_key(key), "object-kind", key);
        }
        self.out.check(name(&dict, "Subtype2") != "PS", "object-kind", "Subtype2");
        self.out.check(!dict.contains_key("OC"), "optional-content", place);
        if kind == "Form" {
            return self.form(object, place);
        }
        self.out.check(!dict.contains_key("Alternates"), "picture", "Alternates");
        self.out.check(dict.get::<bool>("Interpolate") != Some(true), "picture", "Interpolate");
        self.intent_name(&dict, "Intent");
        let mask = dict.get::<bool>("ImageMask") == Some(true);
        match dict.get::<Object<'a>>("ColorSpace") {
            Some(space) => self.space(&space, place),
            None => self.out.check(mask, "device-colour", format!("no space in {place}")),
        }
        let depth = dict.get::<i32>("BitsPerComponent");
        self.out.check(mask || matches!(depth, Some(1 | 2 | 4 | 8 | 16)), "picture", "BitsPerComponent");
        if let Some(mask) = dict.get::<Stream<'a>>("SMask") {
            self.object(&mask, "a soft mask");
        }
    }

    /// A form and what it paints. Appearances of fields are forms too.
    pub(super) fn form(&mut self, form: &Stream<'a>, place: &str) {
        if !self.forms.insert(super::key(form.obj_id())) {
            return;
        }
        let dict = form.dict();
        self.out.check(super::catalogue::rectangle(dict, "BBox").is_some(), "object-kind", format!("no box: {place}"));
        if let Some(group) = dict.get::<Dict<'a>>("Group")
            && let Some(space) = group.get::<Object<'a>>("CS")
        {
            self.space(&space, place);
        }
        let Some(content) = plain(form) else { return self.out.fault("object-kind", format!("unread: {place}")) };
        let resources = dict.get::<Dict<'a>>("Resources");
        self.stream(&content, resources, None, place);
    }

    /// A graphics state (A 6.2.5, 6.2.6, 6.2.10).
    pub(super) fn graphics_state(&mut self, state: &Dict<'a>) {
        for key in ["TR", "HTP", "HTO"] {
            self.out.check(!state.contains_key(key), "graphics-state", key);
        }
        let transfer = name(state, "TR2");
        self.out.check(!state.contains_key("TR2") || transfer == "Default", "graphics-state", "TR2");
        self.intent_name(state, "RI");
        const MODES: [&str; 17] = [
            "Normal",
            "Compatible",
            "Multiply",
            "Screen",
            "Overlay",
            "Darken",
            "Lighten",
            "ColorDodge",
            "ColorBurn",
            "HardLight",
            "SoftLight",
            "Difference",
            "Exclusion",
            "Hue",
            "Saturation",
            "Color",
            "Luminosity",
        ];
        for mode in kids_of(state, "BM") {
            let known = matches!(&mode, Object::Name(mode) if MODES.contains(&mode.as_str()));
            self.out.check(known, "graphics-state", "BM");
        }
    }

    fn intent_name(&mut self, dict: &Dict<'a>, key: &str) {
        if let Some(intent) = dict.get::<Name<'a>>(key) {
            self.rendering_intent(intent.as_str());
        }
    }

    pub(super) fn rendering_intent(&mut self, intent: &str) {
        let four = ["RelativeColorimetric", "AbsoluteColorimetric", "Perceptual", "Saturation"];
        self.out.check(four.contains(&intent), "graphics-state", intent);
    }

    /// A page's own group of transparency, if it has one.
    pub(super) fn group(&mut self, page: &Dict<'a>) {
        if let Some(space) = page.get::<Dict<'a>>("Group").and_then(|group| group.get::<Object<'a>>("CS")) {
            self.space(&space, "a page's group");
        }
    }
}
