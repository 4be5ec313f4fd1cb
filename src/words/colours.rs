//! Plain names for colours: "dark blue", "cream".

use super::Words;
use crate::colour::Colour;

impl Words {
    /// A name for each colour; where two would have the same, the later ones are numbered.
    pub(crate) fn colour_names(&self, colours: &[Colour]) -> Vec<String> {
        let mut names: Vec<String> = Vec::with_capacity(colours.len());
        for colour in colours {
            let plain = self.colour_name(*colour);
            let mut name = plain.clone();
            let mut number = 2;
            while names.contains(&name) {
                name = self.say("colour.again", &[("name", &plain), ("n", &number)]);
                number += 1;
            }
            names.push(name);
        }
        names
    }

    fn colour_name(&self, colour: Colour) -> String {
        let (hue, tone) = named(colour);
        let hue = self.say(hue, &[]);
        match tone {
            Some(tone) => self.say(tone, &[("hue", &hue)]),
            None => hue,
        }
    }
}

/// Keys of a colour's name and of its tone, by lightness, chroma and hue in CIE Lab (bands: our judgement).
fn named(colour: Colour) -> (&'static str, Option<&'static str>) {
    let lab = colour.lab();
    let chroma = lab.chroma();
    let turn = libm::atan2(lab.b, lab.a).to_degrees();
    let hue = if turn < 0.0 { turn + 360.0 } else { turn };
    let warm = (30.0..110.0).contains(&hue);
    if lab.l < 13.0 {
        return ("colour.black", None);
    }
    if chroma < 7.0 {
        return match lab.l {
            l if l > 92.0 => ("colour.white", None),
            l if l > 75.0 => ("colour.grey", Some("colour.light")),
            l if l > 42.0 => ("colour.grey", None),
            _ => ("colour.grey", Some("colour.dark")),
        };
    }
    if warm && lab.l > 85.0 && chroma < 28.0 {
        return ("colour.cream", None);
    }
    if warm && lab.l > 62.0 && chroma < 34.0 {
        return ("colour.beige", None);
    }
    let base = hue_name(hue, lab.l, chroma);
    let tone = match lab.l {
        l if l < 32.0 => Some("colour.dark"),
        l if l > 75.0 && base != "colour.yellow" => Some("colour.light"),
        _ => None,
    };
    (base, tone)
}

/// The key of a hue's own name: angle in degrees, lightness and chroma.
fn hue_name(hue: f64, lightness: f64, chroma: f64) -> &'static str {
    match hue {
        h if h < 20.0 => {
            if lightness > 55.0 {
                "colour.pink"
            } else {
                "colour.red"
            }
        }
        h if h < 42.0 => {
            if lightness > 70.0 {
                "colour.pink"
            } else if chroma < 35.0 {
                "colour.brown"
            } else {
                "colour.red"
            }
        }
        h if h < 72.0 => {
            if lightness < 52.0 && chroma >= 57.0 {
                "colour.red"
            } else if lightness < 52.0 || chroma < 40.0 {
                "colour.brown"
            } else {
                "colour.orange"
            }
        }
        h if h < 105.0 => {
            if lightness < 40.0 || (hue < 92.0 && chroma < 30.0) {
                "colour.brown"
            } else if lightness < 62.0 {
                "colour.olive"
            } else {
                "colour.yellow"
            }
        }
        h if h < 128.0 => {
            if lightness < 65.0 {
                "colour.olive"
            } else {
                "colour.green"
            }
        }
        h if h < 175.0 => "colour.green",
        h if h < 225.0 => "colour.teal",
        h if h < 295.0 => "colour.blue",
        h if h < 325.0 => "colour.violet",
        h if h < 350.0 => {
            if lightness > 50.0 {
                "colour.pink"
            } else {
                "colour.violet"
            }
        }
        _ => {
            if lightness > 55.0 {
                "colour.pink"
            } else {
                "colour.red"
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_have_the_names_that_anybody_would_give_them() {
        let english = Words::shipped("en-GB").expect("shipped");
        // Our judgement, looking at the colours.
        for (hex, name) in [
            ("#000000", "black"),
            ("#ffffff", "white"),
            ("#808080", "grey"),
            ("#1f2a36", "dark blue"),
            ("#c0261e", "red"),
            ("#b2522f", "brown"),
            ("#233a5c", "dark blue"),
            ("#efe6d2", "cream"),
            ("#8b5a2b", "brown"),
            ("#22707b", "teal"),
            ("#2e8b2e", "green"),
            ("#f2c21b", "yellow"),
            ("#e8832a", "orange"),
            ("#e79ab0", "pink"),
            ("#c9b18c", "beige"),
            ("#a63215", "red"),
            ("#826b53", "brown"),
        ] {
            let colour = Colour::from_hex(hex).expect("a colour");
            assert_eq!(english.colour_name(colour), name, "{hex} {:?}", colour.lab());
        }
    }

    #[test]
    fn no_two_names_are_the_same_in_any_language() {
        let colours: Vec<Colour> = (0..32).map(|i| Colour::new(0, 0, 100 + i)).collect();
        for language in Words::languages() {
            let mut names = Words::shipped(language).expect("shipped").colour_names(&colours);
            assert!(names.iter().all(|name| !name.contains('«')), "{names:?}");
            names.sort();
            names.dedup();
            assert_eq!(names.len(), 32);
        }
    }
}
