//! Who may ask: only the page that this board served, in the browser that was let in. Pure: headers in, a verdict out.

use axum::http::{HeaderMap, HeaderValue, Method, header};

/// What a request is measured by.
#[derive(Clone, Debug)]
pub(super) struct Guard {
    port: u16,
    cookie: String,
}

/// Why a request is turned away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Refusal {
    /// It was meant for another name than this machine's own: a foreign page may have pointed its name here.
    Host,
    /// Another page sent it.
    Origin,
    /// The browser was not let in, or its cookie is gone.
    Cookie,
}

/// What the page may load: its own files, and pictures it was given by hand.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; \
                      font-src 'self'; manifest-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'";

impl Guard {
    pub(super) fn new(port: u16, cookie: String) -> Guard {
        Guard { port, cookie }
    }

    /// The name of the cookie: boards on several ports share a host, and cookies know no ports.
    pub(super) fn cookie_name(&self) -> String {
        format!("hitchpress-{}", self.port)
    }

    /// The header that lets a browser in.
    pub(super) fn let_in(&self) -> String {
        format!("{}={}; Path=/; HttpOnly; SameSite=Strict", self.cookie_name(), self.cookie)
    }

    /// Host and origin, of every request.
    pub(super) fn place(&self, method: &Method, headers: &HeaderMap) -> Result<(), Refusal> {
        let names = ["127.0.0.1", "localhost"];
        let host = headers.get(header::HOST).and_then(|host| host.to_str().ok()).ok_or(Refusal::Host)?;
        let ours = names.iter().any(|name| host == format!("{name}:{}", self.port));
        if !ours || headers.get_all(header::HOST).iter().count() != 1 {
            return Err(Refusal::Host);
        }
        let origin = headers.get(header::ORIGIN);
        let own = format!("http://{host}");
        match origin {
            Some(origin) if origin.as_bytes() != own.as_bytes() => return Err(Refusal::Origin),
            // A browser says where a request that changes something comes from.
            None if method != Method::GET && method != Method::HEAD => return Err(Refusal::Origin),
            Some(_) | None => {}
        }
        let site = headers.get("sec-fetch-site").map(HeaderValue::as_bytes);
        match site {
            None | Some(b"same-origin" | b"none") => Ok(()),
            Some(_) => Err(Refusal::Origin),
        }
    }

    /// The cookie, of every request but the first.
    pub(super) fn known(&self, headers: &HeaderMap) -> Result<(), Refusal> {
        let name = self.cookie_name();
        let all = headers.get_all(header::COOKIE);
        let mut pairs = all.iter().filter_map(|value| value.to_str().ok()).flat_map(|value| value.split(';'));
        let known = pairs.any(|pair| {
            let (key, value) = pair.trim().split_once('=').unwrap_or_default();
            key == name && same(value, &self.cookie)
        });
        if known { Ok(()) } else { Err(Refusal::Cookie) }
    }
}

/// Compares in a time that does not tell where the first difference is.
pub(super) fn same(a: &str, b: &str) -> bool {
    a.len() == b.len() && a.bytes().zip(b.bytes()).fold(0, |differ, (a, b)| differ | (a ^ b)) == 0
}

/// What every answer carries.
pub(super) fn harden(headers: &mut HeaderMap) {
    for (name, value) in [
        ("content-security-policy", POLICY),
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "no-referrer"),
        ("cross-origin-resource-policy", "same-origin"),
        ("cross-origin-opener-policy", "same-origin"),
        ("cache-control", "no-store"),
    ] {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(pairs: &[(&'static str, &'static str)]) -> HeaderMap {
        let mut map = HeaderMap::new();
        for (name, value) in pairs {
            map.append(*name, HeaderValue::from_static(value));
        }
        map
    }

    #[test]
    fn only_this_machines_own_name_and_page_are_answered() {
        let guard = Guard::new(4040, "secret".to_owned());
        let told = |method: Method, pairs: &[(&'static str, &'static str)]| guard.place(&method, &headers(pairs));
        assert_eq!(told(Method::GET, &[("host", "127.0.0.1:4040")]), Ok(()));
        assert_eq!(told(Method::GET, &[("host", "localhost:4040"), ("sec-fetch-site", "none")]), Ok(()));
        let own = ("origin", "http://127.0.0.1:4040");
        assert_eq!(told(Method::POST, &[("host", "127.0.0.1:4040"), own]), Ok(()));
        for host in ["127.0.0.1:4041", "127.0.0.1", "evil.example.org:4040", "127.0.0.1:4040.example.org", ""] {
            assert_eq!(told(Method::GET, &[("host", host)]), Err(Refusal::Host), "{host}");
        }
        assert_eq!(told(Method::GET, &[]), Err(Refusal::Host));
        let twice = [("host", "127.0.0.1:4040"), ("host", "127.0.0.1:4040")];
        assert_eq!(told(Method::GET, &twice), Err(Refusal::Host));
        for origin in ["http://evil.example.org", "https://127.0.0.1:4040", "null", "http://127.0.0.1:4041"] {
            let pairs = [("host", "127.0.0.1:4040"), ("origin", origin)];
            assert_eq!(told(Method::GET, &pairs), Err(Refusal::Origin), "{origin}");
        }
        assert_eq!(told(Method::POST, &[("host", "127.0.0.1:4040")]), Err(Refusal::Origin));
        let cross = [("host", "127.0.0.1:4040"), ("sec-fetch-site", "cross-site")];
        assert_eq!(told(Method::GET, &cross), Err(Refusal::Origin));
    }

    #[test]
    fn a_browser_is_known_by_the_cookie_of_this_port_alone() {
        let guard = Guard::new(4040, "secret".to_owned());
        let known = |cookie: &'static str| guard.known(&headers(&[("cookie", cookie)]));
        assert_eq!(known("a=b; hitchpress-4040=secret"), Ok(()));
        for cookie in ["hitchpress-4041=secret", "hitchpress-4040=secre", "hitchpress-4040=secretx", "secret", ""] {
            assert_eq!(known(cookie), Err(Refusal::Cookie), "{cookie}");
        }
        assert_eq!(guard.known(&HeaderMap::new()), Err(Refusal::Cookie));
    }
}
