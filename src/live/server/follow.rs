//! A browser that follows: a connection that stays, on which messages go out and nothing comes
//! in.

use std::sync::Arc;
use std::time::Duration;

use axum::body::Body;
use axum::extract::ws::{CloseFrame, Message, Utf8Bytes, WebSocket, WebSocketUpgrade, close_code};
use axum::http::{Response, StatusCode};
use tokio::sync::mpsc;
use tokio::time::timeout;

use super::{Site, answers};
use crate::live::Address;
use crate::live::desk::{Event, Follower, Shown};

/// The most bytes that a browser may send at once: what a control frame may hold.
const MOST_FRAME_BYTES: usize = 125;
/// What is set aside to read them.
const READ_BYTES: usize = 1024;
/// How long a browser may take to take a message.
const LONGEST_SEND: Duration = Duration::from_secs(10);
/// How long it may take to agree to the end.
const LONGEST_CLOSE: Duration = Duration::from_secs(1);

/// Lets a browser follow a worksheet, or the index.
pub(super) fn follow(
    site: &Site,
    upgrade: WebSocketUpgrade,
    address: Option<Address>,
    shown: Shown,
) -> Response<Body> {
    let Ok(permit) = Arc::clone(&site.followers).try_acquire_owned() else {
        let text = "too many browsers follow already; close some\n";
        return answers::plain(StatusCode::SERVICE_UNAVAILABLE, text);
    };
    let events = site.events.clone();
    upgrade
        .max_frame_size(MOST_FRAME_BYTES)
        .max_message_size(MOST_FRAME_BYTES)
        .read_buffer_size(READ_BYTES)
        .on_upgrade(async move |socket| {
            let _permit = permit;
            let (follower, messages) = Follower::new(shown);
            events.send(Event::Follow { address, follower });
            pass_on(socket, messages).await;
            events.send(Event::Left);
        })
}

/// Passes messages on until one of the two has enough.
async fn pass_on(mut socket: WebSocket, mut messages: mpsc::Receiver<Utf8Bytes>) {
    loop {
        tokio::select! {
            message = messages.recv() => {
                let Some(message) = message else { break };
                let sent = timeout(LONGEST_SEND, socket.send(Message::Text(message))).await;
                if !matches!(sent, Ok(Ok(()))) {
                    break;
                }
            }
            frame = socket.recv() => match frame {
                Some(Ok(Message::Ping(_) | Message::Pong(_))) => {}
                Some(Ok(Message::Text(_) | Message::Binary(_))) => return refuse(socket).await,
                Some(Ok(Message::Close(_)) | Err(_)) | None => break,
            },
        }
    }
}

/// Ends a connection on which something came that is no part of following.
async fn refuse(mut socket: WebSocket) {
    let frame = CloseFrame {
        code: close_code::POLICY,
        reason: Utf8Bytes::from_static("nothing is read here"),
    };
    let close = socket.send(Message::Close(Some(frame)));
    let _ = timeout(LONGEST_CLOSE, close).await;
}
