//! `hitchpress new`, as a maker meets it on the first day.

use crate::support::Room;

#[test]
fn a_new_project_passes_the_check() {
    let room = Room::new();
    let ran = room.run(&["new", "panels/boat"]);
    assert_eq!((ran.code, ran.out.as_str()), (0, ""), "{}", ran.err);
    let names: Vec<String> = room
        .files()
        .iter()
        .map(|(path, _)| path.strip_prefix(room.path()).expect("inside").display().to_string())
        .collect();
    assert_eq!(names, ["panels/boat/chart.txt", "panels/boat/project.schema.json", "panels/boat/project.toml"]);
    let ran = room.run(&["check", "panels/boat"]);
    assert_eq!(ran.code, 0);
    assert!(ran.err.ends_with("Boat: no faults; 24 columns, 28 rows, 672 knots, 3 yarns\n"), "{}", ran.err);
    // What is advised to someone with her own cord in hand, and nothing else.
    let advised: Vec<&str> =
        ran.err.lines().filter_map(|line| line.strip_prefix("advice[")?.split(']').next()).collect();
    assert_eq!(
        advised,
        ["placeholder", "placeholder", "placeholder", "placeholder", "no-swatch", "carry-near-limit", "other-method"]
    );
}

#[test]
fn a_title_with_a_space_is_taken_and_what_is_to_be_pasted_stands_between_quotation_marks() {
    let room = Room::new();
    let ran = room.run(&["new", "Little Fox", "--maker", "Ada \"Hitch\" Fernley", "--language", "en-US"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for line in ["\n  hitchpress check \"Little Fox\"\n", "\n  hitchpress compose \"Little Fox\"\n"] {
        assert!(ran.err.contains(line), "{}", ran.err);
    }
    let text = std::fs::read_to_string(room.path().join("Little Fox/project.toml")).expect("a project");
    let project: toml::Table = text.parse().expect("TOML");
    let of = |key: &str| project[key].as_str().expect("a text");
    assert_eq!((of("title"), of("maker")), ("Little Fox", "Ada \"Hitch\" Fernley"));
    assert_eq!((of("language"), of("units")), ("en-US", "imperial"));
    // Its comments are still there.
    assert!(text.contains("# ---- Title page and small print ---"));
    let ran = room.run(&["new", "other", "--language", "xx"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("unknown-language") && !room.path().join("other").exists(), "{}", ran.err);
}

#[test]
fn nothing_that_the_new_project_wrote_is_sold() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "boat"]).code, 0);
    let shop = ["shop", "boat", "--edition", "materials", "--paper", "a5", "--width", "200", "-o", "shelf"];
    let ran = room.run(&shop);
    assert_eq!(ran.code, 1, "{}", ran.err);
    for key in ["subtitle", "maker", "picture-words", "introduction"] {
        let fault = format!("fault[placeholder]: `{key}` is still as the new project had it");
        assert!(ran.err.contains(&fault), "{}", ran.err);
    }
    assert!(!room.path().join("shelf/boat-shop").exists());
    // An answer keeps the advice quiet; it is no leave to sell.
    let path = room.path().join("boat/project.toml");
    let text = std::fs::read_to_string(&path).expect("a project");
    let answered = format!("{text}\n[[acknowledge]]\nadvice = \"placeholder\"\nreason = \"later\"\n");
    std::fs::write(&path, answered).expect("written");
    assert!(!room.run(&["check", "boat"]).err.contains("[placeholder]"));
    assert_eq!(room.run(&shop).code, 1);
    room.finish("boat");
    let ran = room.run(&shop);
    assert_eq!(ran.code, 0, "{}", ran.err);
    // What sleeps in the file and is waked without being changed is one too.
    let text = std::fs::read_to_string(&path).expect("a project").replace("# contact =", "contact =");
    std::fs::write(&path, text.replace("# brand =", "brand =")).expect("written");
    let ran = room.run(&shop);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("`contact` is still") && ran.err.contains("`brand` is still"), "{}", ran.err);
}

#[test]
fn a_new_project_overwrites_nothing() {
    for taken in ["project.toml", "chart.txt", "project.schema.json"] {
        let room = Room::new();
        room.write(&format!("boat/{taken}"), "mine");
        room.write("boat/notes.md", "mine as well");
        let before = room.files();
        let ran = room.run(&["new", "boat"]);
        assert_eq!(ran.code, 2);
        assert!(ran.err.contains(taken), "{}", ran.err);
        assert_eq!(room.files(), before);
    }
}

#[test]
fn a_new_project_may_stand_beside_other_files() {
    let room = Room::new();
    room.write("boat/panel.jpg", "a photograph");
    assert_eq!(room.run(&["new", "boat"]).code, 0);
    assert_eq!(room.files().len(), 4);
}

#[test]
fn a_file_where_the_folder_should_be_stays() {
    let room = Room::new();
    room.write("boat", "a file where the folder should be");
    let ran = room.run(&["new", "boat"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("`boat` is there already"), "{}", ran.err);
    assert_eq!(room.files().len(), 1);
}

#[test]
fn a_new_project_carries_the_day_of_the_place_where_it_is_made() {
    let room = Room::new();
    // Zones as POSIX writes them, with the sign turned round: fourteen hours east and twelve hours west of Greenwich are
    // never on the same day.
    for (folder, zone) in [("east", "<+14>-14"), ("west", "<-12>12")] {
        assert_eq!(room.run_with(&["new", folder], &[("TZ", zone)]).code, 0);
    }
    let date = |folder: &str| {
        let text = std::fs::read_to_string(room.path().join(folder).join("project.toml")).expect("a project");
        text.lines().find_map(|line| line.strip_prefix("date = ").map(str::to_owned)).expect("a date")
    };
    assert!(date("east") > date("west"), "{} {}", date("east"), date("west"));
}

#[test]
fn what_a_maker_stumbles_over_is_told_with_its_remedy() {
    let room = Room::new();
    assert_eq!(room.run(&["new", "fox"]).code, 0);
    let path = room.path().join("fox/project.toml");
    let text = std::fs::read_to_string(&path).expect("a project");
    let told = |text: &str, words: &str| {
        std::fs::write(&path, text).expect("written");
        let ran = room.run(&["check", "fox"]);
        assert!(ran.code == 1 && ran.err.contains(words), "{words}: {}", ran.err);
    };
    told(&text.replace("title = \"Fox\"", "title = \"The \"Little\" Fox\""), "`\"The \\\"Little\\\" Fox\"`");
    told(&text.replace("\nchart = \"chart.txt\"", "\nchart = \"chart\""), "there is a file `chart.txt`");
    std::fs::rename(room.path().join("fox/chart.txt"), room.path().join("fox/chart.txt.txt")).expect("renamed");
    told(&text, "there is a file `chart.txt.txt`");
    std::fs::rename(&path, room.path().join("fox/Project.toml.txt")).expect("renamed");
    let ran = room.run(&["check", "fox"]);
    assert!(ran.code == 1 && ran.err.contains("there is a file `Project.toml.txt`"), "{}", ran.err);
}

#[test]
fn an_empty_chart_comes_with_a_grid_to_draw_on_that_is_read_back() {
    let room = Room::new();
    let ran = room.run(&["new", "fox", "--columns", "22", "--rows", "30"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for file in ["grid.pdf", "grid.png", "chart.txt", "project.toml"] {
        assert!(room.path().join("fox").join(file).exists(), "{file}");
    }
    let ran = room.run(&["check", "fox"]);
    assert!(ran.code == 0 && ran.err.contains("22 columns, 30 rows, 660 knots"), "{}", ran.err);
    // Knots of 5.598 x 3.353 mm (the worked value for 3 mm cord and yarn of 10 wraps per inch): 0.599 as high as wide.
    let grid = std::fs::read(room.path().join("fox/grid.png")).expect("a picture");
    let grid = hitchpress::picture::seen(&grid).expect("a picture");
    let proportion = (grid.height - 2) as f64 / 30.0 / ((grid.width - 2) as f64 / 22.0);
    assert!((proportion - 0.599).abs() < 0.01, "{proportion}");
    // Half a size, or none, writes nothing.
    for wrong in [&["--columns", "22"][..], &["--columns", "0", "--rows", "30"], &["--columns", "22", "--rows", "9999"]]
    {
        let ran = room.run(&[&["new", "hare"], wrong].concat());
        assert!(ran.code == 2 && ran.err.contains("[odd-size]") && !room.path().join("hare").exists(), "{}", ran.err);
    }
}
