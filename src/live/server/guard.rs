//! Which requests are answered: those of pages that this program served, and of the person who
//! types an address.
//!
//! The server can be reached by every page that is open in a browser on this machine. So a
//! request has to name this server as its host (or a name that leads here by a trick of the name
//! system would make a foreign page ours), may not come from a foreign page unless it is the
//! person who follows a link, and carries nothing but its address.

use http::{HeaderMap, HeaderValue, Method, Request, StatusCode, header};

/// Why a request is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Refusal {
    /// Another method than `GET` and `HEAD`.
    Method,
    /// A body, or an address with a host in it.
    Form,
    /// It names another host, or none, or several.
    Host,
    /// It comes from another page.
    Foreign,
}

impl Refusal {
    pub(super) fn status(self) -> StatusCode {
        match self {
            Self::Method => StatusCode::METHOD_NOT_ALLOWED,
            Self::Form => StatusCode::BAD_REQUEST,
            Self::Host => StatusCode::MISDIRECTED_REQUEST,
            Self::Foreign => StatusCode::FORBIDDEN,
        }
    }

    pub(super) fn text(self) -> &'static str {
        match self {
            Self::Method => "only GET and HEAD are answered\n",
            Self::Form => "a request carries nothing but a path\n",
            Self::Host => "this server is reached as 127.0.0.1 or localhost, with its port\n",
            Self::Foreign => "pages of other servers are not answered\n",
        }
    }
}

/// Whether the request asks to follow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wish {
    /// A page, a script, an image.
    Read,
    /// A connection that stays.
    Follow,
}

/// Looks at everything of a request but its path; the host by which it names this server.
///
/// # Errors
/// A [`Refusal`] of what is not answered.
pub(super) fn admit(request: &Request<()>, port: u16, wish: Wish) -> Result<String, Refusal> {
    let headers = request.headers();
    if request.method() != Method::GET && request.method() != Method::HEAD {
        return Err(Refusal::Method);
    }
    let length = headers.get(header::CONTENT_LENGTH);
    let has_body = length.is_some_and(|length| length != "0")
        || headers.contains_key(header::TRANSFER_ENCODING);
    if has_body || request.uri().authority().is_some() {
        return Err(Refusal::Form);
    }
    let host = only(headers, header::HOST.as_str()).flatten();
    let host = host
        .filter(|host| is_ours(host, port))
        .ok_or(Refusal::Host)?;
    if is_ours_to_answer(headers, host, wish) {
        Ok(host.to_owned())
    } else {
        Err(Refusal::Foreign)
    }
}

fn is_ours(host: &str, port: u16) -> bool {
    let name = match host.rsplit_once(':') {
        Some((name, written)) => (written == port.to_string()).then_some(name),
        None => (port == 80).then_some(host),
    };
    name.is_some_and(|name| name == "127.0.0.1" || name.eq_ignore_ascii_case("localhost"))
}

/// Whether it comes from a page of ours, or from nobody's page.
fn is_ours_to_answer(headers: &HeaderMap, host: &str, wish: Wish) -> bool {
    let origin_is_ours = match (only(headers, header::ORIGIN.as_str()), wish) {
        (Some(Some(origin)), _) => origin == format!("http://{host}"),
        (Some(None), Wish::Read) => true,
        // Browsers say where such a connection comes from, always.
        (Some(None), Wish::Follow) | (None, _) => false,
    };
    let site_is_ours = match only(headers, "sec-fetch-site") {
        // Older browsers do not say.
        Some(None | Some("same-origin" | "none")) => true,
        Some(Some(_)) => wish == Wish::Read && is_visit(headers),
        None => false,
    };
    origin_is_ours && site_is_ours
}

/// Whether the person goes there: the page is shown as itself, and the one that the link stands
/// on learns nothing.
fn is_visit(headers: &HeaderMap) -> bool {
    only(headers, "sec-fetch-mode") == Some(Some("navigate"))
        && only(headers, "sec-fetch-dest") == Some(Some("document"))
}

/// The value of a header that may stand once: none when it stands twice or is no plain text,
/// `Some(None)` when it does not stand there.
fn only<'h>(headers: &'h HeaderMap, name: &str) -> Option<Option<&'h str>> {
    let mut values = headers.get_all(name).iter();
    match (values.next(), values.next()) {
        (None, _) => Some(None),
        (Some(value), None) => value.to_str().ok().map(Some),
        (Some(_), Some(_)) => None,
    }
}

/// The headers of every answer, as `host` is to be allowed to follow.
pub(super) fn headers(host: &str, style_sources: &str) -> Vec<(&'static str, HeaderValue)> {
    let policy = format!(
        "default-src 'none'; script-src 'self'; style-src {style_sources}; font-src data:; \
         img-src 'self' data:; connect-src 'self' ws://{host}; base-uri 'none'; \
         form-action 'none'; frame-ancestors 'none'"
    );
    // A policy that cannot be written allows nothing.
    let policy = HeaderValue::from_str(&policy)
        .unwrap_or_else(|_| HeaderValue::from_static("default-src 'none'"));
    let fixed = [
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "no-referrer"),
        ("cross-origin-resource-policy", "same-origin"),
        ("cross-origin-opener-policy", "same-origin"),
        ("cache-control", "no-store"),
    ];
    let fixed = fixed.map(|(name, value)| (name, HeaderValue::from_static(value)));
    let policy = ("content-security-policy", policy);
    std::iter::once(policy).chain(fixed).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const OURS: (&str, &str) = ("host", "127.0.0.1:17320");

    fn check(wish: Wish, headers: &[(&str, &str)]) -> Result<String, Refusal> {
        request(Method::GET, "/a.md", wish, headers)
    }

    fn request(
        method: Method,
        uri: &str,
        wish: Wish,
        headers: &[(&str, &str)],
    ) -> Result<String, Refusal> {
        let mut request = Request::builder().method(method).uri(uri);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        admit(&request.body(()).unwrap(), 17320, wish)
    }

    #[test]
    fn only_this_server_is_a_host() {
        for host in ["127.0.0.1:17320", "localhost:17320", "LOCALHOST:17320"] {
            assert_eq!(check(Wish::Read, &[("host", host)]).unwrap(), host);
        }
        for host in [
            "",
            "evil.example",
            "evil.example:17320",
            "127.0.0.1",
            "127.0.0.1:80",
            "localhost:017320",
            "127.0.0.1:17320:17320",
            "127.0.0.1.evil.example:17320",
            "0.0.0.0:17320",
            "[::1]:17320",
            "localhost.:17320",
            "a@localhost:17320",
        ] {
            assert_eq!(
                check(Wish::Read, &[("host", host)]),
                Err(Refusal::Host),
                "{host}"
            );
        }
        assert_eq!(check(Wish::Read, &[]), Err(Refusal::Host));
        assert_eq!(check(Wish::Read, &[OURS, OURS]), Err(Refusal::Host));
    }

    #[test]
    fn an_origin_is_the_host_itself() {
        let origin = |origin| check(Wish::Read, &[OURS, ("origin", origin)]);
        assert!(origin("http://127.0.0.1:17320").is_ok());
        for foreign in [
            "null",
            "http://evil.example",
            "https://127.0.0.1:17320",
            "http://127.0.0.1:8000",
            "http://localhost:17320",
            "http://127.0.0.1:17320.evil.example",
        ] {
            assert_eq!(origin(foreign), Err(Refusal::Foreign), "{foreign}");
        }
    }

    #[test]
    fn who_follows_says_from_where() {
        assert_eq!(check(Wish::Follow, &[OURS]), Err(Refusal::Foreign));
        let ours = ("origin", "http://127.0.0.1:17320");
        assert!(check(Wish::Follow, &[OURS, ours]).is_ok());
        let foreign = ("sec-fetch-site", "same-site");
        assert_eq!(
            check(Wish::Follow, &[OURS, ours, foreign]),
            Err(Refusal::Foreign)
        );
    }

    #[test]
    fn other_pages_may_be_left_for_ours_and_no_more() {
        let from = |site, mode, dest| {
            let headers = [
                OURS,
                ("sec-fetch-site", site),
                ("sec-fetch-mode", mode),
                ("sec-fetch-dest", dest),
            ];
            check(Wish::Read, &headers).is_ok()
        };
        assert!(from("none", "navigate", "document"));
        assert!(from("same-origin", "no-cors", "image"));
        assert!(from("cross-site", "navigate", "document"));
        assert!(!from("cross-site", "no-cors", "image"));
        assert!(!from("same-site", "no-cors", "script"));
        assert!(!from("cross-site", "navigate", "iframe"));
        assert!(!from("cross-site", "cors", "document"));
        assert!(!from("anything", "cors", "empty"));
    }

    #[test]
    fn a_request_carries_nothing_but_its_path() {
        assert_eq!(
            request(Method::POST, "/a.md", Wish::Read, &[OURS]),
            Err(Refusal::Method)
        );
        assert_eq!(
            check(Wish::Read, &[OURS, ("content-length", "3")]),
            Err(Refusal::Form)
        );
        assert_eq!(
            check(Wish::Read, &[OURS, ("transfer-encoding", "chunked")]),
            Err(Refusal::Form)
        );
        assert_eq!(
            request(Method::GET, "http://evil.example/a.md", Wish::Read, &[OURS]),
            Err(Refusal::Form)
        );
        assert!(request(Method::HEAD, "/a.md", Wish::Read, &[OURS]).is_ok());
    }
}
