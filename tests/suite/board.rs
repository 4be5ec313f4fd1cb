//! Whoever means harm to the board, or is only clumsy: strangers, foreign pages, paths that lead out, huge and torn requests,
//! several hands at once, power cuts. Nothing is lost, nobody is let in.

mod client;

use client::{Running, chart, killed_again_and_again, panel};
use std::io::Write;
use std::net::TcpStream;

#[test]
fn strangers_and_foreign_pages_are_turned_away() {
    let room = tempfile::tempdir().expect("a folder");
    panel(room.path());
    let board = Running::start(room.path());
    let origin = format!("http://127.0.0.1:{}", board.port);
    let cookie = ("Cookie", board.cookie.as_str());
    let own = ("Origin", origin.as_str());
    let status = |method: &str, path: &str, headers: &[(&str, &str)]| {
        board.ask(method, path, headers, b"").map(|answer| (answer.status, answer.body))
    };
    for path in ["/", "/main.js", "/api/shelf", "/api/panel?panel=.", "/api/events", "/api/page?panel=.", "/none"] {
        assert_eq!(status("GET", path, &[]).map(|(status, _)| status), Some(401), "{path}");
        let guessed = format!("hitchpress-{}={}", board.port, "0".repeat(32));
        assert_eq!(status("GET", path, &[("Cookie", &guessed)]).map(|(status, _)| status), Some(401), "{path}");
    }
    for host in ["example.org", "127.0.0.1", "127.0.0.1:1", "localhost.example.org", ""] {
        let answer = status("GET", "/api/shelf", &[cookie, ("Host", host)]);
        assert!(matches!(answer, Some((400 | 403, _))), "{host}: {answer:?}");
    }
    for foreign in ["http://example.org", "null", "https://127.0.0.1", "http://127.0.0.1:1", ""] {
        let answer = status("POST", "/api/change", &[cookie, ("Origin", foreign)]);
        assert_eq!(answer.map(|(status, _)| status), Some(403), "{foreign}");
    }
    // A browser names the origin of whatever changes something; a request that does not is not a page's.
    assert_eq!(status("POST", "/api/change", &[cookie]).map(|(status, _)| status), Some(403));
    for site in ["cross-site", "same-site"] {
        let answer = status("GET", "/api/shelf", &[cookie, ("Sec-Fetch-Site", site)]);
        assert_eq!(answer.map(|(status, _)| status), Some(403), "{site}");
    }
    // The first address was good once.
    assert_eq!(status("GET", &board.entrance, &[]).map(|(status, _)| status), Some(401));
    let (let_in, shelf) = status("GET", "/api/shelf", &[cookie, own]).expect("an answer");
    assert_eq!(let_in, 200);
    assert!(shelf.contains("Plain"), "{shelf}");
    let page = board.own("GET", "/", "").expect("the page");
    for line in
        ["content-security-policy: default-src 'none'", "x-content-type-options: nosniff", "cache-control: no-store"]
    {
        assert!(page.head.contains(line), "{}", page.head);
    }
}

#[test]
fn nothing_outside_the_folder_is_read_or_written() {
    let room = tempfile::tempdir().expect("a folder");
    let folder = room.path().join("panels");
    panel(&folder.join("boat"));
    panel(&room.path().join("secret"));
    std::fs::write(room.path().join("secret/secret.pdf"), "%PDF-1.7 not yours").expect("a file");
    #[cfg(unix)]
    {
        use std::os::unix::fs::symlink;
        symlink(room.path().join("secret"), folder.join("linked")).expect("a link");
        symlink(room.path().join("secret/secret.pdf"), folder.join("boat/linked.pdf")).expect("a link");
        panel(&folder.join("other"));
        std::fs::remove_file(folder.join("other/chart.txt")).expect("removed");
        symlink(room.path().join("secret/chart.txt"), folder.join("other/chart.txt")).expect("a link");
    }
    let before = chart(&room.path().join("secret"));
    let board = Running::start(&folder);
    let shelf = board.own("GET", "/api/shelf", "").expect("the shelf").body;
    assert!(shelf.contains("boat") && !shelf.contains("linked"), "{shelf}");
    for name in ["..", "../secret", "boat/../../secret", "%2e%2e/secret", "linked", "/etc", "boat%00", ".hitchpress"] {
        let answer = board.own("GET", &format!("/api/panel?panel={name}"), "").expect("an answer");
        assert_eq!(answer.status, 400, "{name}: {answer:?}");
    }
    for file in
        ["../../secret/secret.pdf", "linked.pdf", "/etc/hostname", "project.toml", "..%2f..%2fsecret%2fsecret.pdf"]
    {
        let answer = board.own("GET", &format!("/api/made?panel=boat&file={file}"), "").expect("an answer");
        assert_eq!(answer.status, 404, "{file}: {answer:?}");
        assert!(!answer.body.contains("not yours"), "{file}");
    }
    for path in ["/../../etc/hostname", "/assets/../main.js", "/%2e%2e/main.js", "/words/../../Cargo.toml"] {
        let answer = board.own("GET", path, "").expect("an answer");
        assert!(matches!(answer.status, 400 | 404), "{path}: {answer:?}");
    }
    // A chart that is a link to elsewhere is neither shown nor painted on.
    let knots = r#"{"panel": "other", "base": 0, "change": {"kind": "knots", "columns": 8, "rows": 6, "at": [0], "from": "N", "to": "C"}}"#;
    let answer = board.own("POST", "/api/change", knots).expect("an answer");
    assert_ne!(answer.status, 200, "{answer:?}");
    // A form that names a chart elsewhere changes nothing there.
    let form = r#"{"panel": "boat", "base": 0, "change": {"kind": "form", "changes": [{"do": "set", "section": "", "key": "chart", "from": "chart.txt", "to": "../../secret/chart.txt"}]}}"#;
    let _told = board.own("POST", "/api/change", form);
    let knots = knots.replace("other", "boat");
    let _told = board.own("POST", "/api/change", &knots);
    assert_eq!(chart(&room.path().join("secret")), before);
    // A title is no path.
    let new = r#"{"title": "../../out", "size": [8, 6], "like": null, "copied": false}"#;
    let answer = board.own("POST", "/api/new", new).expect("an answer");
    assert_eq!(answer.status, 200, "{answer:?}");
    assert!(folder.join("out/project.toml").exists());
    let names: Vec<String> = std::fs::read_dir(room.path())
        .expect("the room")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(names.len(), 2, "{names:?}");
}

#[test]
fn huge_torn_and_many_requests_leave_it_answering() {
    let room = tempfile::tempdir().expect("a folder");
    panel(room.path());
    let board = Running::start(room.path());
    let origin = format!("http://127.0.0.1:{}", board.port);
    let own = [("Cookie", board.cookie.as_str()), ("Origin", origin.as_str())];
    // A gigabyte is announced: it is refused before it is read.
    let huge = [&own[..], &[("Content-Length", "1073741824")]].concat();
    let answer = board.ask("POST", "/api/change", &huge, b"");
    assert_eq!(answer.expect("an answer").status, 413);
    // One that does not say how long it is goes on and on, until nobody listens.
    let mut endless = TcpStream::connect(("127.0.0.1", board.port)).expect("a connection");
    let head = format!(
        "POST /api/change HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nCookie: {}\r\nOrigin: {origin}\r\n\
         Transfer-Encoding: chunked\r\n\r\n",
        board.port, board.cookie
    );
    endless.write_all(head.as_bytes()).expect("the head");
    let chunk = [b"100000\r\n".as_slice(), &vec![b'x'; 1 << 20], b"\r\n"].concat();
    let heard = (0..1_024).take_while(|_| endless.write_all(&chunk).is_ok()).count();
    assert!(heard < 200, "{heard} MB were taken");
    for body in ["", "{", "[]", "null", r#"{"panel": 7}"#, &"[".repeat(200_000), "\u{0}"] {
        for path in ["/api/change", "/api/make", "/api/stop", "/api/new", "/api/trial"] {
            let answer = board.own("POST", path, body).expect("an answer");
            assert_eq!(answer.status, 400, "{path} {:.20}: {answer:?}", body);
        }
    }
    // Requests that break off at every place.
    let whole = format!(
        "POST /api/change HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nCookie: {}\r\nOrigin: {origin}\r\nContent-Length: 50\r\n\r\n{{\"panel\"",
        board.port, board.cookie
    );
    for end in (1..whole.len()).step_by(3) {
        let mut stream = TcpStream::connect(("127.0.0.1", board.port)).expect("a connection");
        stream.write_all(&whole.as_bytes()[..end]).expect("some bytes");
    }
    let paths = ["/main.js", "/api/shelf", "/api/panel?panel=.", "/words/de-DE.json", "/none"];
    std::thread::scope(|scope| {
        for _ in 0..4 {
            scope.spawn(|| {
                for turn in 0..2_500 {
                    let path = paths[turn % paths.len()];
                    let answer = board.own("GET", path, "").expect("an answer");
                    assert_eq!(answer.status, if path == "/none" { 404 } else { 200 }, "{path}");
                }
            });
        }
    });
    assert_eq!(board.knot(0, 'N', 'C').expect("an answer").status, 200);
    assert!(chart(room.path()).starts_with("CN"));
}

#[test]
fn what_is_being_made_is_stopped_and_leaves_nothing_behind() {
    let room = tempfile::tempdir().expect("a folder");
    panel(room.path());
    let board = Running::start(room.path());
    assert_eq!(board.own("GET", "/api/panel?panel=.", "").expect("an answer").status, 200);
    let names = || {
        let entries = std::fs::read_dir(room.path()).expect("the folder");
        let mut names: Vec<String> =
            entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    };
    let before = names();
    for (job, pause) in [("a", 0), ("b", 150), ("c", 600)] {
        let answer = std::thread::scope(|scope| {
            let made = scope.spawn(|| {
                board.own("POST", "/api/make", &format!(r#"{{"panel": ".", "what": "shop", "job": "{job}"}}"#))
            });
            std::thread::sleep(std::time::Duration::from_millis(pause));
            // Another page's job stays as it is, and one that has not begun yet is asked for again.
            for tries in 0.. {
                assert!(tries < 5_000, "`{job}` is never being made");
                let stop = |job: &str| board.own("POST", "/api/stop", &format!(r#"{{"job": "{job}"}}"#));
                let other = stop("other").expect("an answer");
                assert!(other.status == 200 && other.body.contains("false"), "{other:?}");
                if stop(job).expect("an answer").body.contains("true") {
                    break;
                }
                std::thread::sleep(std::time::Duration::from_millis(2));
            }
            made.join().expect("no panic").expect("an answer")
        });
        assert_eq!(answer.status, 200, "{answer:?}");
        assert!(answer.body.contains(r#""done":false"#) && answer.body.contains(r#""stopped":true"#), "{answer:?}");
        assert_eq!(names(), before, "stopped after {pause} ms");
    }
    let made = board.own("POST", "/api/make", r#"{"panel": ".", "what": "compose", "job": "d"}"#).expect("an answer");
    assert!(made.body.contains(r#""done":true"#) && made.body.contains(r#""stopped":false"#), "{made:?}");
}

#[test]
fn two_pages_and_a_text_editor_lose_nothing() {
    let room = tempfile::tempdir().expect("a folder");
    panel(room.path());
    let board = Running::start(room.path());
    let project = std::fs::read_to_string(room.path().join("project.toml")).expect("the project");
    // Pages look at a panel before they paint on it.
    assert_eq!(board.own("GET", "/api/panel?panel=.", "").expect("an answer").status, 200);
    std::thread::scope(|scope| {
        for half in 0..2 {
            let board = &board;
            scope.spawn(move || {
                for at in half * 24..half * 24 + 24 {
                    assert_eq!(board.knot(at, 'N', 'C').expect("an answer").status, 200, "{at}");
                }
            });
        }
        scope.spawn(|| {
            for turn in 0..40 {
                let text = project.replace("title = \"Plain\"", &format!("title = \"Plain {turn}\"   # mine"));
                // As editors do: emptied, and filled again.
                std::fs::write(room.path().join("project.toml"), text).expect("written");
            }
        });
    });
    assert_eq!(chart(room.path()), "CCCCCCCC\n".repeat(6));
    let text = std::fs::read_to_string(room.path().join("project.toml")).expect("the project");
    assert!(text.contains("title = \"Plain 39\"   # mine"), "{text}");
    // Both hands can undo all of it, and what the editor wrote goes back too.
    for _ in 0..200 {
        let undo = board.own("POST", "/api/change", r#"{"panel": ".", "base": 0, "change": {"kind": "undo"}}"#);
        assert_eq!(undo.expect("an answer").status, 200);
    }
    assert_eq!(chart(room.path()), "NNNNNNNN\n".repeat(6));
    assert_eq!(std::fs::read_to_string(room.path().join("project.toml")).expect("the project"), project);
}

#[test]
fn killed_in_the_middle_of_changes_it_keeps_every_one_that_was_answered() {
    let room = tempfile::tempdir().expect("a folder");
    // `tests/outside` kills it two hundred times.
    killed_again_and_again(room.path(), 12);
}

#[test]
fn a_second_board_on_the_folder_says_where_the_first_one_is() {
    let room = tempfile::tempdir().expect("a folder");
    panel(room.path());
    let first = Running::start(room.path());
    let second = std::process::Command::new(env!("CARGO_BIN_EXE_hitchpress"))
        .args(["board", "--no-browser"])
        .arg(room.path())
        .output()
        .expect("the program starts");
    let said = String::from_utf8_lossy(&second.stderr);
    assert!(second.status.success() && said.contains("a board is open on this folder already"), "{said}");
    let address = said.split_once(&format!("http://127.0.0.1:{}", first.port)).expect("its address").1.trim();
    assert_eq!(first.ask("GET", address, &[], b"").expect("an answer").status, 303);
}
