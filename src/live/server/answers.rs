//! What is answered at which address.

use std::sync::mpsc::{Sender, channel};

use http::{HeaderValue, Request, Response, StatusCode, header};
use tungstenite::handshake::server::create_response;

use super::follow::Following;
use super::guard::{self, Wish};
use super::request::{Body, Unread};
use super::{LONGEST_REQUEST, Offer, Site};
use crate::live::desk::{Event, Page, Shown};
use crate::live::{Address, Kind, assets, shell};
use crate::text::coding;

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
    /// Which line of a worksheet something on its page is.
    Line(Address),
    Image(Address, &'static str),
    Nowhere,
}

/// What is answered.
pub(super) struct Answer {
    pub(super) response: Response<Body>,
    /// What the browser follows from then on.
    pub(super) following: Option<Following>,
}

impl From<Response<Body>> for Answer {
    fn from(response: Response<Body>) -> Self {
        Self {
            response,
            following: None,
        }
    }
}

/// Answers a request.
pub(super) fn answer(site: &Site, request: &Result<Request<()>, Unread>) -> Answer {
    let (host, mut answer) = admitted(site, request).unwrap_or_else(|(status, text)| {
        let host = format!("127.0.0.1:{}", site.port);
        (host, plain(status, text).into())
    });
    let headers = answer.response.headers_mut();
    for (name, value) in guard::headers(&host, &shell::style_sources()) {
        headers.entry(name).or_insert(value);
    }
    if answer.following.is_none() {
        headers.insert(header::CONNECTION, HeaderValue::from_static("close"));
    }
    answer
}

/// The host by which the request names this server, and the answer; or why there is none.
fn admitted(
    site: &Site,
    request: &Result<Request<()>, Unread>,
) -> Result<(String, Answer), (StatusCode, &'static str)> {
    let request = request.as_ref();
    let request = request.map_err(|unread| (unread.status(), unread.text()))?;
    let route = route(request.uri().path());
    let wish = match route {
        Route::Follow(_) => Wish::Follow,
        Route::Start
        | Route::Asset(_)
        | Route::Worksheet(_)
        | Route::Line(_)
        | Route::Image(..)
        | Route::Nowhere => Wish::Read,
    };
    let host = guard::admit(request, site.port, wish);
    let host = host.map_err(|refusal| (refusal.status(), refusal.text()))?;
    Ok((host, find(site, route, request)))
}

fn route(path: &str) -> Route<'_> {
    if path == "/" {
        return Route::Start;
    }
    match path.strip_prefix("/-/") {
        Some("follow/") => Route::Follow(None),
        Some(own) => match own.strip_prefix("follow") {
            Some(path) => worksheet(path).map_or(Route::Nowhere, |it| Route::Follow(Some(it))),
            None => match own.strip_prefix("line") {
                Some(path) => worksheet(path).map_or(Route::Nowhere, Route::Line),
                None => Route::Asset(own),
            },
        },
        None => match Address::requested(path) {
            Some(address) => match address.kind() {
                Kind::Worksheet => Route::Worksheet(address),
                Kind::Image(mime) => Route::Image(address, mime),
                Kind::Data => Route::Nowhere,
            },
            None => Route::Nowhere,
        },
    }
}

fn worksheet(path: &str) -> Option<Address> {
    Address::requested(path).filter(|address| address.kind() == Kind::Worksheet)
}

fn find(site: &Site, route: Route<'_>, request: &Request<()>) -> Answer {
    let response = match route {
        Route::Start => match &site.offer {
            Offer::Folder => page(site, |answer| Event::Index { answer }),
            Offer::Worksheet(address) => see_other(address),
        },
        Route::Asset(name) => match assets::asset(name) {
            Some((mime, text)) => response(StatusCode::OK, mime, text.as_bytes()),
            None => nothing(),
        },
        Route::Follow(None) if site.offer != Offer::Folder => nothing(),
        Route::Follow(address) => return follow(site, address, request),
        Route::Worksheet(address) => page(site, |answer| Event::Page { address, answer }),
        Route::Line(address) => line(site, address, request.uri().query().unwrap_or_default()),
        Route::Image(address, mime) => image(site, &address, mime),
        Route::Nowhere => nothing(),
    };
    response.into()
}

/// Lets a browser follow a worksheet, or the index.
fn follow(site: &Site, address: Option<Address>, request: &Request<()>) -> Answer {
    let Ok(response) = create_response(request) else {
        let text = "this address is for WebSocket connections\n";
        return plain(StatusCode::UPGRADE_REQUIRED, text).into();
    };
    let Some(place) = site.followers.opt() else {
        let text = "too many browsers follow already; close some\n";
        return plain(StatusCode::SERVICE_UNAVAILABLE, text).into();
    };
    let following = Following {
        address,
        shown: shown(request.uri().query().unwrap_or_default()),
        place,
    };
    Answer {
        response: response.map(|()| Body::default()),
        following: Some(following),
    }
}

/// Asks the desk for a page.
fn page(site: &Site, ask: impl FnOnce(Sender<Page>) -> Event) -> Response<Body> {
    let (answer, answered) = channel();
    site.events.send(ask(answer));
    match answered.recv_timeout(LONGEST_REQUEST) {
        Ok(Page::Html(html)) => response(StatusCode::OK, HTML, html.into_bytes()),
        Ok(Page::Missing) => nothing(),
        Err(_) => broken(),
    }
}

/// The number of the line on which a statement stands, and below it the address at which an editor
/// shows that, where there is one.
fn line(site: &Site, address: Address, query: &str) -> Response<Body> {
    let (answer, answered) = channel();
    let id = query.strip_prefix("id=").and_then(coding::decoded);
    let Some(id) = id else {
        return nothing();
    };
    site.events.send(Event::Line {
        address: address.clone(),
        id,
        answer,
    });
    match answered.recv_timeout(LONGEST_REQUEST) {
        Ok(Some(line)) => {
            let editor = site.editor.iter().map(|editor| editor.at(&address, line));
            let told = std::iter::once(line.to_string()).chain(editor);
            let told = told.collect::<Vec<String>>().join("\n");
            response(StatusCode::OK, PLAIN, told.into_bytes())
        }
        Ok(None) => nothing(),
        Err(_) => broken(),
    }
}

fn image(site: &Site, address: &Address, mime: &'static str) -> Response<Body> {
    let Ok(bytes) = site.files.image(address) else {
        return nothing();
    };
    let mut response = response(StatusCode::OK, mime, bytes);
    let policy = HeaderValue::from_static(IMAGE_POLICY);
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_SECURITY_POLICY, policy);
    response
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

fn plain(status: StatusCode, text: &'static str) -> Response<Body> {
    response(status, PLAIN, text.as_bytes())
}

fn response(status: StatusCode, mime: &'static str, body: impl Into<Body>) -> Response<Body> {
    let mut response = Response::new(body.into());
    *response.status_mut() = status;
    let mime = HeaderValue::from_static(mime);
    response.headers_mut().insert(header::CONTENT_TYPE, mime);
    response
}

impl Unread {
    fn status(self) -> StatusCode {
        match self {
            Self::Form => StatusCode::BAD_REQUEST,
            Self::Long => StatusCode::REQUEST_HEADER_FIELDS_TOO_LARGE,
        }
    }

    fn text(self) -> &'static str {
        match self {
            Self::Form => "this is no request\n",
            Self::Long => "the request is too long\n",
        }
    }
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
        assert_eq!(route("/-/line/sub/a.md"), Route::Line(sheet.clone()));
        assert_eq!(route("/-/follow/"), Route::Follow(None));
        assert_eq!(route("/-/follow/sub/a.md"), Route::Follow(Some(sheet)));
        for path in [
            "/sub",
            "/sub/",
            "/-/follow/p.png",
            "/-/follow/../a.md",
            "/-/line/p.png",
            "/-/line/../a.md",
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
