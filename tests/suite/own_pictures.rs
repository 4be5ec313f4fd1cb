//! The maker's own pictures: her logo, photographs of steps, pictures in her words. Each is on its page, with words instead.

use crate::shop::pattern::tiny;
use crate::support::Room;

fn png(wide: u32, high: u32, rgb: [u8; 3]) -> Vec<u8> {
    let mut picture = std::io::Cursor::new(Vec::new());
    let image = image::RgbImage::from_pixel(wide, high, image::Rgb(rgb));
    image.write_to(&mut picture, image::ImageFormat::Png).expect("a picture");
    picture.into_inner()
}

fn with_pictures() -> Room {
    let room = Room::new();
    let project = tiny(&room, "tiny", "Tiny Boat");
    room.write("tiny/logo.png", png(600, 200, [10, 90, 60]));
    room.write("tiny/hitch.png", png(1800, 1200, [200, 120, 30]));
    room.write("tiny/label.png", png(900, 1200, [30, 60, 160]));
    room.write("tiny/lane.png", png(1600, 900, [120, 120, 20]));
    let text = std::fs::read_to_string(&project).expect("the project");
    let pictures = "
[[step-picture]]
technique = \"hitch\"
step = 2
picture = \"hitch.png\"
caption = \"The long end goes over.\"
words = \"A hand lays the yarn over the cord.\"
[[step-picture]]
technique = \"mounting\"
step = 3
picture = \"hitch.png\"
words = \"The head of a cord, pulled tight.\"
[[step-picture]]
technique = \"bottom\"
step = 1
picture = \"label.png\"
words = \"The fringe before it is cut.\"
[[own-words]]
section = \"care\"
words = \"\"\"
Before the picture.

![A lane with a creek](lane.png \"Where the boat lies\")

Behind it.\"\"\"
";
    std::fs::write(&project, format!("logo = \"logo.png\"\n{text}{pictures}")).expect("written");
    room
}

/// The words instead of every figure of a file, from its structure.
fn alternatives(bytes: &[u8]) -> Vec<String> {
    let document = lopdf::Document::load_mem(bytes).expect("a file");
    let of = |object: &lopdf::Object| {
        let dict = object.as_dict().ok()?;
        let is_figure = dict.get(b"S").ok()?.as_name().ok()? == b"Figure";
        is_figure.then(|| lopdf::decode_text_string(dict.get(b"Alt").ok()?).ok())?
    };
    document.objects.values().filter_map(of).collect()
}

#[test]
fn every_picture_stands_on_its_page_with_words_instead() {
    let room = with_pictures();
    room.write("press.icc", crate::print_shop::press::profile());
    let ran = room.run(&["compose", "tiny", "--paper", "a5", "-o", "tiny.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let bytes = std::fs::read(room.path().join("tiny.pdf")).expect("a file");
    let found = alternatives(&bytes);
    let count = |words: &str| found.iter().filter(|alt| *alt == words).count();
    // The logo on the cover and on the last page.
    assert_eq!(count("Logo of Ada Example"), 2, "{found:#?}");
    for words in [
        "A hand lays the yarn over the cord.",
        "The head of a cord, pulled tight.",
        "The fringe before it is cut.",
        "A lane with a creek",
    ] {
        assert_eq!(count(words), 1, "{words}: {found:#?}");
    }
    // Each file is in the PDF once, however often it is shown.
    let document = lopdf::Document::load_mem(&bytes).expect("a file");
    let sizes: Vec<i64> = document
        .objects
        .values()
        .filter_map(|object| {
            let dict = &object.as_stream().ok()?.dict;
            (dict.get(b"Subtype").ok()?.as_name().ok()? == b"Image").then(|| dict.get(b"Width").ok()?.as_i64().ok())?
        })
        .collect();
    for wide in [600, 1800, 900, 1600] {
        assert_eq!(sizes.iter().filter(|size| **size == wide).count(), 1, "{sizes:?}");
    }
    let proof = room.run(&["proof", "tiny", "tiny.pdf"]);
    assert_eq!(proof.code, 0, "{}", proof.err);
    let typed = ["compose", "tiny", "--paper", "a5", "--for", "print-shop", "--profile", "press.icc", "-o", "shop.pdf"];
    let ran = room.run(&typed);
    assert_eq!(ran.code, 0, "{}", ran.err);
}

#[test]
fn what_is_wrong_with_a_picture_is_said_at_its_line() {
    let room = with_pictures();
    let path = room.path().join("tiny/project.toml");
    let text = std::fs::read_to_string(&path).expect("the project");
    for (from, to, code, words) in [
        ("logo = \"logo.png\"", "logo = \"none.png\"", 1, "no-such-file"),
        ("picture = \"hitch.png\"", "picture = \"chart.txt\"", 1, "hitch"),
        ("(lane.png ", "(../lane.png ", 1, "own-words"),
        ("![A lane with a creek]", "![]", 0, "picture-without-words"),
        ("step = 2", "step = 77", 0, "no-such-step"),
        ("technique = \"hitch\"", "technique = \"hich\"", 1, "did you mean `hitch`?"),
    ] {
        assert!(text.contains(from), "{from}");
        std::fs::write(&path, text.replace(from, to)).expect("written");
        let ran = room.run(&["check", "tiny"]);
        let says = ran.err.contains(words) || code == 1 && ran.err.contains("project.toml:");
        assert!(ran.code == code && says, "{to}: {}", ran.err);
    }
}

#[test]
fn a_sign_of_shapes_is_drawn_and_what_cannot_be_drawn_is_told() {
    let room = with_pictures();
    let path = room.path().join("tiny/project.toml");
    let text = std::fs::read_to_string(&path).expect("the project");
    std::fs::write(&path, text.replace("logo.png", "logo.svg")).expect("written");
    let sign = |inner: &str| {
        format!(
            "<?xml version=\"1.0\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"60\" height=\"20\">{inner}</svg>"
        )
    };
    let boat = "<path d=\"M10 12h40l-8 6H18z\" fill=\"#b2522f\"/><path d=\"M30 2v9H16z\" fill=\"#233a5c\"/>";
    room.write("tiny/logo.svg", sign(boat));
    let ran = room.run(&["compose", "tiny", "-o", "tiny.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(room.run(&["proof", "tiny", "tiny.pdf"]).code, 0);
    let bytes = std::fs::read(room.path().join("tiny.pdf")).expect("a file");
    assert_eq!(alternatives(&bytes).iter().filter(|alt| *alt == "Logo of Ada Example").count(), 2);
    room.write("tiny/logo.svg", sign("<text y=\"9\">Ada</text>"));
    let ran = room.run(&["compose", "tiny", "-o", "none.pdf"]);
    assert!(ran.code == 1 && ran.err.contains("has letters in it") && ran.err.contains("project.toml:"), "{}", ran.err);
    assert!(!room.path().join("none.pdf").exists());
}
