//! Requests in, answers out, on one thread; what takes time works beside it. The only door to `axum` and `tokio`.

mod answers;
mod asked;
mod begin;
mod events;
mod replies;
mod shared;

use super::assets;
use super::door::Door;
use super::guard::{Refusal, harden};
use super::jobs::Jobs;
use super::means::{Means, Options};
use super::pages::Press;
use super::shelf::Shelf;
use super::trial::Trials;
use crate::diag::Diagnostic;
use asked::Asked;
use axum::Router;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{Request, State};
use axum::http::{Method, StatusCode, header};
use axum::response::{IntoResponse, Response};
use events::Events;
use shared::Board;
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// Most bytes of a change: all knots of the largest chart, each with its place and two letters.
const LARGEST_CHANGE: usize = 64 << 20;
/// How long the last page may be gone before the board stops by itself: a reload is shorter.
const GRACE: Duration = Duration::from_secs(8);

/// Serves until Ctrl-C, or until the last page is closed where that was asked for. `ready` is called once it listens.
pub(super) fn run(
    door: Door,
    folder: PathBuf,
    options: &Options,
    means: &Means,
    ready: impl FnOnce(),
) -> Result<(), Diagnostic> {
    let broken = |error: std::io::Error| Diagnostic::failure("no-server", format!("the board cannot run: {error}"));
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().map_err(broken)?;
    // The lock is held as long as this function runs.
    let Door { listener, guard, once, lock: _lock, .. } = door;
    listener.set_nonblocking(true).map_err(broken)?;
    let trials = Trials::new(&folder);
    let board = Arc::new(Board {
        shelf: Shelf::new(folder),
        guard,
        once,
        means: *means,
        events: Events::new(),
        watch: Mutex::new(None),
        press: Press::new(),
        trials,
        jobs: Jobs::default(),
    });
    board.listen();
    let closes = options.stop_when_closed;
    let served = runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(listener).map_err(broken)?;
        let router = Router::new().fallback(answer).with_state(Arc::clone(&board));
        ready();
        let serving = std::future::IntoFuture::into_future(axum::serve(listener, router));
        let stopped = async {
            let closed = async {
                if closes {
                    board.events.last_page_closed(GRACE).await;
                } else {
                    std::future::pending::<()>().await;
                }
            };
            first_of(tokio::signal::ctrl_c(), closed).await;
        };
        first_of(serving, stopped).await;
        Ok(())
    });
    // A change that is being written is written to its end.
    runtime.shutdown_timeout(Duration::from_secs(5));
    served
}

/// Waits for the one that ends first.
async fn first_of(a: impl Future, b: impl Future) {
    let (mut a, mut b) = (std::pin::pin!(a), std::pin::pin!(b));
    std::future::poll_fn(|context| {
        let done = a.as_mut().poll(context).is_ready() || b.as_mut().poll(context).is_ready();
        if done { std::task::Poll::Ready(()) } else { std::task::Poll::Pending }
    })
    .await;
}

async fn answer(State(board): State<Arc<Board>>, request: Request) -> Response {
    let mut response = let_through(board, request).await;
    harden(response.headers_mut());
    response
}

async fn let_through(board: Arc<Board>, request: Request) -> Response {
    let (parts, body) = request.into_parts();
    if let Err(refusal) = board.guard.place(&parts.method, &parts.headers) {
        return refused(refusal);
    }
    let path = parts.uri.path().to_owned();
    let query = parts.uri.query().unwrap_or_default().to_owned();
    let asked = Asked { method: parts.method, path, query, headers: parts.headers, body: Bytes::new() };
    if asked.path == "/"
        && let Some(secret) = asked.value("enter")
    {
        return enter(&board, &asked, &secret);
    }
    if let Err(refusal) = board.guard.known(&asked.headers) {
        return refused(refusal);
    }
    if asked.path == "/api/events" {
        return board.events.stream();
    }
    let most = if asked.method == Method::POST { LARGEST_CHANGE } else { 0 };
    // What announces too much is not read at all; what goes on too long is read no farther.
    let announced =
        asked.headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok()?.parse::<u64>().ok());
    if announced.is_some_and(|length| length > most as u64) {
        return StatusCode::PAYLOAD_TOO_LARGE.into_response();
    }
    let Ok(body) = to_bytes(body, most).await else { return StatusCode::PAYLOAD_TOO_LARGE.into_response() };
    let asked = Asked { body, ..asked };
    if let Some(asset) = assets::find(&asked.path).filter(|_| asked.method == Method::GET) {
        return ([(header::CONTENT_TYPE, asset.kind)], asset.bytes).into_response();
    }
    let work = tokio::task::spawn_blocking(move || answers::answer(&board, &asked));
    // A fault of ours in one answer is no reason to stop the board.
    work.await.unwrap_or_else(|_| StatusCode::INTERNAL_SERVER_ERROR.into_response())
}

/// The first address: its secret becomes a cookie, and the address bar forgets it.
fn enter(board: &Board, asked: &Asked, secret: &str) -> Response {
    if !board.once.spend(secret) && board.guard.known(&asked.headers).is_err() {
        return refused(Refusal::Cookie);
    }
    let headers = [(header::LOCATION, "/".to_owned()), (header::SET_COOKIE, board.guard.let_in())];
    (StatusCode::SEE_OTHER, headers).into_response()
}

/// A few plain words, in every language at once: nothing else of the board is shown to a stranger.
fn refused(refusal: Refusal) -> Response {
    match refusal {
        Refusal::Host | Refusal::Origin => StatusCode::FORBIDDEN.into_response(),
        Refusal::Cookie => {
            (StatusCode::UNAUTHORIZED, [(header::CONTENT_TYPE, "text/html; charset=utf-8")], Body::from(assets::CLOSED))
                .into_response()
        }
    }
}
