//! What happens, told to every open page: a stream of server-sent events (HTML standard, section 9.2).

use axum::body::{Body, Bytes};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use futures_core::Stream;
use serde_json::Value as Json;
use std::convert::Infallible;
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::sync::broadcast::{Receiver, Sender, channel, error::RecvError};
use tokio::time::{sleep, timeout};

/// Events that a slow page may be behind; one that is behind farther asks for everything anew.
const BEHIND: usize = 256;
/// A line now and then tells the page that its board is still there.
const BEAT: Duration = Duration::from_secs(5);

/// The channel to all pages.
pub(super) struct Events {
    sender: Sender<Arc<str>>,
    pages: Arc<Pages>,
}

#[derive(Default)]
struct Pages {
    open: AtomicUsize,
    ever: AtomicUsize,
}

impl Events {
    pub(super) fn new() -> Events {
        Events { sender: channel(BEHIND).0, pages: Arc::default() }
    }

    /// Tells all open pages.
    pub(super) fn tell(&self, event: &Json) {
        // Nobody may be there to hear it.
        let _heard = self.sender.send(format!("data: {event}\n\n").into());
    }

    /// A page's own stream, until it is closed.
    pub(super) fn stream(&self) -> Response {
        self.pages.open.fetch_add(1, Ordering::SeqCst);
        self.pages.ever.fetch_add(1, Ordering::SeqCst);
        let ear = Ear { next: next(self.sender.subscribe(), true), _seat: Seat(Arc::clone(&self.pages)) };
        ([(header::CONTENT_TYPE, "text/event-stream")], Body::from_stream(ear)).into_response()
    }

    /// Waits until pages were open and none has been for so long.
    pub(super) async fn last_page_closed(&self, grace: Duration) {
        let tick = Duration::from_millis(250);
        let mut alone = Duration::ZERO;
        while alone < grace {
            sleep(tick).await;
            let gone = self.pages.ever.load(Ordering::SeqCst) > 0 && self.pages.open.load(Ordering::SeqCst) == 0;
            alone = if gone { alone + tick } else { Duration::ZERO };
        }
    }
}

/// Counts a page while it is open.
struct Seat(Arc<Pages>);

impl Drop for Seat {
    fn drop(&mut self) {
        self.0.open.fetch_sub(1, Ordering::SeqCst);
    }
}

type Next = Pin<Box<dyn Future<Output = (Bytes, Receiver<Arc<str>>)> + Send>>;

/// One page's stream.
struct Ear {
    next: Next,
    _seat: Seat,
}

fn next(mut receiver: Receiver<Arc<str>>, first: bool) -> Next {
    Box::pin(async move {
        if first {
            return (Bytes::from_static(b"retry: 700\n\n"), receiver);
        }
        let bytes = match timeout(BEAT, receiver.recv()).await {
            Ok(Ok(event)) => Bytes::copy_from_slice(event.as_bytes()),
            // It missed some: it asks for everything anew.
            Ok(Err(RecvError::Lagged(_) | RecvError::Closed)) => Bytes::from_static(b"data: {}\n\n"),
            Err(_) => Bytes::from_static(b"event: beat\ndata: {}\n\n"),
        };
        (bytes, receiver)
    })
}

impl Stream for Ear {
    type Item = Result<Bytes, Infallible>;

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        match self.next.as_mut().poll(context) {
            Poll::Pending => Poll::Pending,
            Poll::Ready((bytes, receiver)) => {
                self.next = next(receiver, false);
                Poll::Ready(Some(Ok(bytes)))
            }
        }
    }
}
