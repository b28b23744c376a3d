//! What is answered at which address.

use std::sync::Arc;

use axum::body::Body;
use axum::extract::FromRequestParts;
use axum::extract::ws::WebSocketUpgrade;
use axum::http::request::Parts;
use axum::http::{HeaderValue, Request, Response, StatusCode, header};
use tokio::sync::oneshot;

use super::guard::{self, Wish};
use super::{Offer, Site, follow};
use crate::live::desk::{Event, Page, Shown};
use crate::live::{Address, Kind, assets, shell};

const HTML: &str = "text/html; charset=utf-8";
const PLAIN: &str = "text/plain; charset=utf-8";
/// An image is shown, also by itself, and does nothing: one in SVG could.
const IMAGE_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; sandbox";

/// What an address leads to.
#[derive(Debug, PartialEq, Eq)]
enum Route<'p> {
    Start,
    Asset(&'p str),
    /// A worksheet to be followed; without an address, the index.
    Follow(Option<Address>),
    Worksheet(Address),
    Image(Address, &'static str),
    Nowhere,
}

/// Answers a request.
pub(super) async fn answer<B>(site: &Site, request: Request<B>) -> Response<Body> {
    let (mut parts, _) = request.into_parts();
    let path = parts.uri.path().to_owned();
    let route = route(&path);
    let wish = match route {
        Route::Follow(_) => Wish::Follow,
        _ => Wish::Read,
    };
    let (host, mut response) = match guard::admit(&parts, site.port, wish) {
        Ok(host) => (host, find(site, route, &mut parts).await),
        Err(refusal) => {
            let host = format!("127.0.0.1:{}", site.port);
            (host, plain(refusal.status(), refusal.text()))
        }
    };
    for (name, value) in guard::headers(&host, &shell::style_sources()) {
        response.headers_mut().entry(name).or_insert(value);
    }
    if response.status() != StatusCode::SWITCHING_PROTOCOLS {
        let close = HeaderValue::from_static("close");
        response.headers_mut().insert(header::CONNECTION, close);
    }
    response
}

fn route(path: &str) -> Route<'_> {
    if path == "/" {
        return Route::Start;
    }
    match path.strip_prefix("/-/") {
        Some("follow/") => Route::Follow(None),
        Some(own) => match own.strip_prefix("follow") {
            Some(path) => worksheet(path).map_or(Route::Nowhere, |it| Route::Follow(Some(it))),
            None => Route::Asset(own),
        },
        None => match Address::requested(path) {
            Some(address) => match address.kind() {
                Kind::Worksheet => Route::Worksheet(address),
                Kind::Image(mime) => Route::Image(address, mime),
            },
            None => Route::Nowhere,
        },
    }
}

fn worksheet(path: &str) -> Option<Address> {
    Address::requested(path).filter(|address| address.kind() == Kind::Worksheet)
}

async fn find(site: &Site, route: Route<'_>, parts: &mut Parts) -> Response<Body> {
    match route {
        Route::Start => match &site.offer {
            Offer::Folder => page(site, |answer| Event::Index { answer }).await,
            Offer::Worksheet(address) => see_other(address),
        },
        Route::Asset(name) => match assets::asset(name) {
            Some((mime, text)) => response(StatusCode::OK, mime, text),
            None => nothing(),
        },
        Route::Follow(None) if site.offer != Offer::Folder => nothing(),
        Route::Follow(address) => {
            let shown = shown(parts.uri.query().unwrap_or_default());
            match WebSocketUpgrade::from_request_parts(parts, &()).await {
                Ok(upgrade) => follow::follow(site, upgrade, address, shown),
                Err(_) => plain(
                    StatusCode::UPGRADE_REQUIRED,
                    "this address is for WebSocket connections\n",
                ),
            }
        }
        Route::Worksheet(address) => page(site, |answer| Event::Page { address, answer }).await,
        Route::Image(address, mime) => image(site, address, mime).await,
        Route::Nowhere => nothing(),
    }
}

/// Asks the desk for a page.
async fn page(site: &Site, ask: impl FnOnce(oneshot::Sender<Page>) -> Event) -> Response<Body> {
    let (answer, answered) = oneshot::channel();
    site.events.send(ask(answer));
    match answered.await {
        Ok(Page::Html(html)) => response(StatusCode::OK, HTML, html),
        Ok(Page::Missing) => nothing(),
        Err(_) => broken(),
    }
}

async fn image(site: &Site, address: Address, mime: &'static str) -> Response<Body> {
    let files = Arc::clone(&site.files);
    match tokio::task::spawn_blocking(move || files.image(&address)).await {
        Ok(Ok(bytes)) => {
            let mut response = response(StatusCode::OK, mime, bytes);
            let policy = HeaderValue::from_static(IMAGE_POLICY);
            let headers = response.headers_mut();
            headers.insert(header::CONTENT_SECURITY_POLICY, policy);
            response
        }
        Ok(Err(_)) => nothing(),
        Err(_) => broken(),
    }
}

/// What the browser says that it shows.
fn shown(query: &str) -> Shown {
    let value = |name: &str| {
        let mut pairs = query.split('&').filter_map(|pair| pair.split_once('='));
        pairs.find(|(key, _)| *key == name).map(|(_, value)| value)
    };
    Shown {
        run: value("run").unwrap_or_default().to_owned(),
        version: value("version")
            .and_then(|version| version.parse().ok())
            .unwrap_or(0),
    }
}

fn see_other(address: &Address) -> Response<Body> {
    let mut response = plain(StatusCode::SEE_OTHER, "");
    // The path in an address of the browser is plain text.
    if let Ok(url) = HeaderValue::from_str(&address.url()) {
        response.headers_mut().insert(header::LOCATION, url);
    }
    response
}

fn nothing() -> Response<Body> {
    let text = "there is no worksheet and no image at this address\n";
    plain(StatusCode::NOT_FOUND, text)
}

fn broken() -> Response<Body> {
    let text = "setsquare itself failed, which it should not: please report it\n";
    plain(StatusCode::INTERNAL_SERVER_ERROR, text)
}

pub(super) fn plain(status: StatusCode, text: &'static str) -> Response<Body> {
    response(status, PLAIN, text)
}

fn response(status: StatusCode, mime: &'static str, body: impl Into<Body>) -> Response<Body> {
    let mut response = Response::new(body.into());
    *response.status_mut() = status;
    let mime = HeaderValue::from_static(mime);
    response.headers_mut().insert(header::CONTENT_TYPE, mime);
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_address_leads_to_one_thing() {
        let sheet = Address::of("sub/a.md").unwrap();
        let image = Address::of("p.png").unwrap();
        assert_eq!(route("/"), Route::Start);
        assert_eq!(route("/sub/a.md"), Route::Worksheet(sheet.clone()));
        assert_eq!(route("/p.png"), Route::Image(image, "image/png"));
        assert_eq!(route("/-/live.js"), Route::Asset("live.js"));
        assert_eq!(route("/-/follow/"), Route::Follow(None));
        assert_eq!(route("/-/follow/sub/a.md"), Route::Follow(Some(sheet)));
        for path in [
            "/sub",
            "/sub/",
            "/-/follow/p.png",
            "/-/follow/../a.md",
            "/-",
        ] {
            assert_eq!(route(path), Route::Nowhere, "{path}");
        }
    }

    #[test]
    fn what_a_browser_shows_is_read_from_its_address() {
        let all = shown("run=18f-2.3&version=7");
        assert_eq!((all.run.as_str(), all.version), ("18f-2.3", 7));
        assert_eq!(shown(""), Shown::default());
        assert_eq!(shown("version=-1&run"), Shown::default());
    }
}
