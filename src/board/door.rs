//! The port and the secrets. A folder has one board at a time; the port and the cookie are kept beside the panels, readable
//! by the owner alone, so that an open page finds its board again after a restart.

use super::guard::{Guard, same};
use super::journal::FOLDER;
use super::means::Means;
use crate::diag::Diagnostic;
use crate::source::Sources;
use serde::{Deserialize, Serialize};
use std::fs::File;
use std::io::{Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// A port of our own, bound to the loopback address.
#[derive(Debug)]
pub(super) struct Door {
    pub(crate) listener: TcpListener,
    pub(crate) guard: Guard,
    pub(crate) once: Once,
    port: u16,
    first: String,
    /// Held while the board is open; `None` where the folder cannot be written.
    pub(crate) lock: Option<File>,
}

/// What came of looking for one.
#[derive(Debug)]
pub(super) enum Found {
    /// Ours.
    Free(Box<Door>),
    /// Another board is open on the folder: its address, good once.
    Taken(String),
}

/// Secrets that are good once.
#[derive(Debug, Default)]
pub(super) struct Once(Mutex<Vec<String>>);

/// More than one are open at a time where a second board asked for one.
const MAX_ONCE: usize = 8;

impl Once {
    /// A new one.
    pub(super) fn fresh(&self) -> Result<String, Diagnostic> {
        let secret = secret()?;
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.push(secret.clone());
        let more = all.len().saturating_sub(MAX_ONCE);
        all.drain(..more);
        Ok(secret)
    }

    /// Whether it is one of ours; from now on it is not.
    pub(super) fn spend(&self, typed: &str) -> bool {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let before = all.len();
        all.retain(|secret| !same(secret, typed));
        all.len() < before
    }
}

#[derive(Serialize, Deserialize)]
struct Kept {
    port: u16,
    cookie: String,
}

impl Door {
    /// Where the browser goes first.
    pub(super) fn address(&self) -> String {
        address(self.port, &self.first)
    }
}

fn address(port: u16, secret: &str) -> String {
    format!("http://127.0.0.1:{port}/?enter={secret}")
}

/// Finds a port for the folder.
pub(super) fn open(folder: &Path, wanted: Option<u16>, means: &Means) -> Result<Found, Diagnostic> {
    let inner = own_folder(folder);
    let kept = inner.as_deref().and_then(kept);
    let lock = inner
        .as_deref()
        .and_then(|inner| File::options().create(true).truncate(false).write(true).open(inner.join("board.lock")).ok());
    if let Some(lock) = &lock
        && matches!(lock.try_lock(), Err(std::fs::TryLockError::WouldBlock))
    {
        return taken(folder, kept.as_ref());
    }
    let listener = bind(wanted, kept.as_ref().map(|kept| kept.port))?;
    let broken = |error: std::io::Error| Diagnostic::failure("no-port", format!("no port can be opened: {error}"));
    let port = listener.local_addr().map_err(broken)?.port();
    let cookie = match kept.filter(|kept| kept.port == port) {
        Some(kept) => kept.cookie,
        None => secret()?,
    };
    if let Some(inner) = &inner {
        keep(inner, &Kept { port, cookie: cookie.clone() }, means);
    }
    let once = Once::default();
    let first = once.fresh()?;
    Ok(Found::Free(Box::new(Door { listener, guard: Guard::new(port, cookie), once, port, first, lock })))
}

/// The folder for what the board keeps, made if it is not there. `None` where it cannot be, or is a link.
fn own_folder(folder: &Path) -> Option<PathBuf> {
    let inner = folder.join(FOLDER);
    if inner.symlink_metadata().is_err() {
        std::fs::create_dir(&inner).ok()?;
    }
    inner.symlink_metadata().is_ok_and(|about| about.is_dir()).then_some(inner)
}

fn kept(inner: &Path) -> Option<Kept> {
    let mut sources = Sources::new();
    let id = sources.read(&inner.join("board.json"), 4_096).ok()?;
    let kept: Kept = serde_json::from_slice(sources.get(id).bytes()).ok()?;
    let secret = kept.cookie.len() == SECRET_BYTES * 2 && kept.cookie.bytes().all(|b| b.is_ascii_hexdigit());
    secret.then_some(kept)
}

/// Written anew each time, readable by the owner alone from its first byte on. Without it the board works, and an open page
/// has to be let in again after a restart.
fn keep(inner: &Path, kept: &Kept, means: &Means) {
    let path = inner.join("board.json");
    let mut builder = tempfile::Builder::new();
    let written = builder.prefix(".board-").tempfile_in(inner).and_then(|mut file| {
        // Strings and numbers alone always have a JSON form.
        file.write_all(serde_json::to_string(kept).unwrap_or_default().as_bytes())?;
        file.persist(&path).map_err(|error| error.error)
    });
    if let Err(error) = written {
        (means.say)(&(means.failed)(&path, &error).message);
    }
}

fn bind(wanted: Option<u16>, last: Option<u16>) -> Result<TcpListener, Diagnostic> {
    let at = |port: u16| TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port)));
    if let Some(port) = wanted {
        return at(port).map_err(|error| {
            Diagnostic::failure("no-port", format!("the port {port} cannot be opened: {error}"))
                .hint("choose another one, or leave `--port` out")
        });
    }
    let last = last.and_then(|port| at(port).ok());
    last.map_or_else(|| at(0), Ok)
        .map_err(|error| Diagnostic::failure("no-port", format!("no port can be opened: {error}")))
}

/// The other board's address: it is asked for a secret that is good once.
fn taken(folder: &Path, kept: Option<&Kept>) -> Result<Found, Diagnostic> {
    let silent = || {
        let message = format!("a board is open on `{}` already, and does not answer", folder.display());
        Diagnostic::failure("board-open", message).hint("stop it with Ctrl-C, and start this one again")
    };
    let kept = kept.ok_or_else(silent)?;
    let secret = ask_for_secret(kept).ok_or_else(silent)?;
    Ok(Found::Taken(address(kept.port, &secret)))
}

fn ask_for_secret(kept: &Kept) -> Option<String> {
    let address = SocketAddr::from((Ipv4Addr::LOCALHOST, kept.port));
    let patience = Duration::from_secs(if cfg!(test) { 1 } else { 5 });
    let mut stream = TcpStream::connect_timeout(&address, patience).ok()?;
    stream.set_read_timeout(Some(patience)).ok()?;
    stream.set_write_timeout(Some(patience)).ok()?;
    let host = format!("127.0.0.1:{}", kept.port);
    let asked = format!(
        "POST /again HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nCookie: hitchpress-{}={}\r\n\
         Content-Length: 0\r\nConnection: close\r\n\r\n",
        kept.port, kept.cookie
    );
    stream.write_all(asked.as_bytes()).ok()?;
    let mut answer = String::new();
    stream.take(8_192).read_to_string(&mut answer).ok()?;
    let (head, body) = answer.split_once("\r\n\r\n")?;
    let secret = body.trim();
    let is_secret = secret.len() == SECRET_BYTES * 2 && secret.bytes().all(|b| b.is_ascii_hexdigit());
    (head.starts_with("HTTP/1.1 200") && is_secret).then(|| secret.to_owned())
}

/// 128 bits cannot be guessed.
const SECRET_BYTES: usize = 16;

fn secret() -> Result<String, Diagnostic> {
    let mut bytes = [0; SECRET_BYTES];
    getrandom::fill(&mut bytes)
        .map_err(|error| Diagnostic::failure("no-secret", format!("the system gives no random numbers: {error}")))?;
    Ok(bytes.iter().map(|b| format!("{b:02x}")).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn means() -> Means {
        Means {
            write: |path, bytes| {
                std::fs::write(path, bytes).map_err(|e| Diagnostic::failure("cannot-write", e.to_string()))
            },
            failed: |_, error| Diagnostic::failure("cannot-write", error.to_string()),
            clock: || 0,
            say: |_| {},
            today: String::new,
            tidy: |_| {},
            run: |_, _, _| Ok((true, String::new())),
        }
    }

    #[test]
    fn a_secret_is_good_once() {
        let once = Once::default();
        let secret = once.fresh().expect("random numbers");
        assert!(!once.spend(""));
        assert!(!once.spend(&secret[1..]));
        assert!(once.spend(&secret));
        assert!(!once.spend(&secret));
    }

    #[test]
    fn port_and_cookie_are_kept_over_a_restart_and_by_the_owner_alone() {
        let room = tempfile::tempdir().expect("a folder");
        let opened = || match open(room.path(), None, &means()) {
            Ok(Found::Free(door)) => door,
            other => panic!("{other:?}"),
        };
        let first = opened();
        let (port, cookie) = (first.port, first.guard.let_in());
        drop(first);
        let again = opened();
        assert_eq!((again.port, again.guard.let_in()), (port, cookie));
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let about = std::fs::metadata(room.path().join(FOLDER).join("board.json")).expect("kept");
            assert_eq!(about.permissions().mode() & 0o077, 0);
        }
        // It is open, but nobody answers.
        assert_eq!(open(room.path(), None, &means()).map(|_| ()).map_err(|d| d.id), Err("board-open"));
    }

    #[test]
    fn a_port_that_is_taken_is_said_where_it_was_asked_for() {
        let room = tempfile::tempdir().expect("a folder");
        let other = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).expect("a port");
        let port = other.local_addr().expect("an address").port();
        assert_eq!(open(room.path(), Some(port), &means()).map(|_| ()).map_err(|d| d.id), Err("no-port"));
    }
}
