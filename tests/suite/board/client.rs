//! A board of the built program, and requests as anybody may send them: by hand, over a socket.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// A board that is killed when nobody needs it any more.
pub struct Running {
    child: Child,
    pub port: u16,
    /// Name and secret, as a browser sends them.
    pub cookie: String,
    /// The first address, spent already.
    pub entrance: String,
}

/// What came back.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Running {
    pub fn start(folder: &Path) -> Running {
        let mut child = Command::new(env!("CARGO_BIN_EXE_hitchpress"))
            .args(["board", "--no-browser"])
            .arg(folder)
            .stderr(Stdio::piped())
            .stdin(Stdio::null())
            .spawn()
            .expect("the program starts");
        let mut lines = BufReader::new(child.stderr.take().expect("a pipe")).lines();
        let address = lines
            .by_ref()
            .map_while(Result::ok)
            .find_map(|line| line.split_once("http://127.0.0.1:").map(|(_, rest)| rest.trim().to_owned()))
            .expect("an address");
        // Whatever else it says has a reader, or it would stop.
        std::thread::spawn(move || lines.for_each(drop));
        let (port, entrance) = address.split_once('/').expect("a path");
        let port = port.parse().expect("a port");
        let mut board = Running { child, port, cookie: String::new(), entrance: format!("/{entrance}") };
        let answer = board.ask("GET", &board.entrance, &[], b"").expect("an answer");
        assert_eq!(answer.status, 303, "{answer:?}");
        let cookie = answer.head.lines().find_map(|line| line.strip_prefix("set-cookie: ")).expect("a cookie");
        board.cookie = cookie.split(';').next().unwrap_or_default().to_owned();
        board
    }

    /// Sends a request whose headers are these and the length. `None`: the connection was closed without an answer.
    pub fn ask(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Option<Answer> {
        let host = format!("127.0.0.1:{}", self.port);
        let mut stream = TcpStream::connect(&host).ok()?;
        stream.set_read_timeout(Some(Duration::from_secs(30))).ok()?;
        let mut head = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
        let given = |name: &str| headers.iter().any(|(known, _)| known.eq_ignore_ascii_case(name));
        if !given("host") {
            head.push_str(&format!("Host: {host}\r\n"));
        }
        if !given("content-length") {
            head.push_str(&format!("Content-Length: {}\r\n", body.len()));
        }
        for (name, value) in headers {
            head.push_str(&format!("{name}: {value}\r\n"));
        }
        stream.write_all(format!("{head}\r\n").as_bytes()).ok()?;
        // It may have answered already, and hear no more.
        let _heard = stream.write_all(body);
        let mut bytes = Vec::new();
        let _all = stream.read_to_end(&mut bytes);
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let (head, body) = text.split_once("\r\n\r\n")?;
        let status = head.split(' ').nth(1)?.parse().ok()?;
        Some(Answer { status, head: head.to_owned(), body: body.to_owned() })
    }

    /// As its own page asks.
    pub fn own(&self, method: &str, path: &str, body: &str) -> Option<Answer> {
        let origin = format!("http://127.0.0.1:{}", self.port);
        self.ask(method, path, &[("Cookie", &self.cookie), ("Origin", &origin)], body.as_bytes())
    }

    /// One knot of the panel that lies in the folder itself, on a chart of 8 by 6.
    pub fn knot(&self, at: usize, from: char, to: char) -> Option<Answer> {
        let change = format!(
            r#"{{"panel": ".", "base": 0, "change": {{"kind": "knots", "columns": 8, "rows": 6, "at": [{at}], "from": "{from}", "to": "{to}"}}}}"#
        );
        self.own("POST", "/api/change", &change)
    }

    /// Ends it as a power cut would.
    pub fn kill(&mut self) {
        let _gone = self.child.kill();
        let _status = self.child.wait();
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.kill();
    }
}

/// A panel of 8 by 6 in a folder.
pub fn panel(folder: &Path) {
    let project = "format = 1\ntitle = \"Plain\"\nmaker = \"Ada Example\"\ndate = 2026-03-01\nchart = \"chart.txt\"\n\
        cord = { diameter = \"3 mm\" }\n\
        [[yarn]]\nkey = \"N\"\nname = \"navy\"\ncolour = \"#233a5c\"\nwraps-per-inch = 10\n\
        [[yarn]]\nkey = \"C\"\nname = \"cream\"\ncolour = \"#efe6d2\"\nwraps-per-inch = 10\n";
    std::fs::create_dir_all(folder).expect("a folder");
    std::fs::write(folder.join("project.toml"), project).expect("a project");
    std::fs::write(folder.join("chart.txt"), "NNNNNNNN\n".repeat(6)).expect("a chart");
}

pub fn chart(folder: &Path) -> String {
    std::fs::read_to_string(folder.join("chart.txt")).expect("the chart")
}

/// Kills a board `times` in the middle of changes, each time at another moment, and looks that every change it had
/// answered is in the chart, that the chart is whole, and that at most one more was made.
pub fn killed_again_and_again(folder: &Path, times: usize) {
    panel(folder);
    let letter = |step: usize| if (step / 48).is_multiple_of(2) { 'C' } else { 'N' };
    let other = |letter: char| if letter == 'C' { 'N' } else { 'C' };
    let after = |steps: usize| -> String {
        let mut cells = ['N'; 48];
        for step in 0..steps {
            cells[step % 48] = letter(step);
        }
        cells.chunks(8).map(|row| row.iter().collect::<String>() + "\n").collect()
    };
    let mut done = 0;
    for time in 0..times {
        let mut board = Running::start(folder);
        let shown = board.own("GET", "/api/panel?panel=.", "").expect("an answer");
        assert_eq!(shown.status, 200, "{shown:?}");
        let found = chart(folder);
        assert!(found == after(done) || found == after(done + 1), "after {time} kills, {done} changes:\n{found}");
        done += usize::from(found != after(done));
        // Moments spread over the few changes that follow, by the golden ratio.
        let moment = Duration::from_micros((time as u64 * 6180) % 10_000 * 4);
        let answered = std::sync::atomic::AtomicUsize::new(done);
        std::thread::scope(|scope| {
            let (answered, known) = (&answered, &board);
            let port = known.port;
            let page = scope.spawn(move || {
                for step in done..done + 400 {
                    let made = known.knot(step % 48, other(letter(step)), letter(step));
                    if made.is_none_or(|made| made.status != 200) {
                        return;
                    }
                    answered.fetch_add(1, std::sync::atomic::Ordering::SeqCst);
                }
            });
            std::thread::sleep(moment);
            // By its number, so that the page above can go on asking: signal 9 is a power cut to a program.
            let killed = Command::new("kill").args(["-9", &known.child.id().to_string()]).status().expect("kill runs");
            assert!(killed.success(), "{port}");
            page.join().expect("the page");
        });
        board.kill();
        done = answered.into_inner();
    }
    assert!(done > times / 4, "only {done} changes were made between {times} kills");
}
