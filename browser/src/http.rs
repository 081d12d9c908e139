//! Asks a bench without a browser: plain HTTP over one connection each, for load and for power cuts.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;

/// What a bench answered.
#[derive(Debug)]
pub struct Answer {
    /// The status.
    pub status: u16,
    /// Where else it points, if it does.
    pub location: String,
    /// The body as it came.
    pub body: Vec<u8>,
}

impl Answer {
    /// The body as text.
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
}

/// Asks one thing; an error when the bench is gone or goes before it has answered whole.
///
/// # Errors
///
/// When the connection cannot be made or breaks.
pub fn ask(
    address: &str,
    method: &str,
    path: &str,
    kind: &str,
    body: &[u8],
) -> std::io::Result<Answer> {
    send(address, method, path, "identity", kind, body)
}

/// A page as a browser asks for it: packed.
///
/// # Errors
///
/// As [`ask`].
pub fn packed(address: &str, path: &str) -> std::io::Result<Answer> {
    send(address, "GET", path, "gzip", "text/plain", b"")
}

/// A page as text.
///
/// # Errors
///
/// As [`ask`].
pub fn page(address: &str, path: &str) -> std::io::Result<String> {
    ask(address, "GET", path, "text/plain", b"").map(|a| a.text())
}

fn send(
    address: &str,
    method: &str,
    path: &str,
    packing: &str,
    kind: &str,
    body: &[u8],
) -> std::io::Result<Answer> {
    let host = address.trim_start_matches("http://");
    let mut stream = TcpStream::connect(host)?;
    stream.set_read_timeout(Some(Duration::from_secs(120)))?;
    // Who asks is in the cookie: 'R. Tan' in hex.
    let head = format!(
        "{method} {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\nAccept: text/html\r\nAccept-Encoding: {packing}\r\n\
         Cookie: seamproof-name=522e2054616e\r\nContent-Type: {kind}\r\nContent-Length: {}\r\n\r\n",
        body.len()
    );
    stream.write_all(head.as_bytes())?;
    stream.write_all(body)?;
    let mut all = Vec::new();
    stream.read_to_end(&mut all)?;
    parsed(&all).ok_or_else(|| std::io::Error::other("the answer broke off"))
}

/// Head and body; nothing when it is not whole.
fn parsed(all: &[u8]) -> Option<Answer> {
    let end = all.windows(4).position(|w| w == b"\r\n\r\n")?;
    let head = String::from_utf8_lossy(&all[..end]);
    let mut lines = head.lines();
    let status = lines.next()?.split_whitespace().nth(1)?.parse().ok()?;
    let of = |name: &str| {
        lines.clone().find_map(|l| {
            let (n, v) = l.split_once(':')?;
            n.eq_ignore_ascii_case(name).then(|| v.trim().to_owned())
        })
    };
    let mut body = all[end + 4..].to_vec();
    if of("transfer-encoding").is_some_and(|v| v == "chunked") {
        body = unchunked(&body)?;
    } else if let Some(long) = of("content-length").and_then(|v| v.parse::<usize>().ok())
        && body.len() < long
    {
        return None;
    }
    Some(Answer { status, location: of("location").unwrap_or_default(), body })
}

fn unchunked(mut rest: &[u8]) -> Option<Vec<u8>> {
    let mut out = Vec::new();
    loop {
        let line = rest.windows(2).position(|w| w == b"\r\n")?;
        let long =
            usize::from_str_radix(std::str::from_utf8(&rest[..line]).ok()?.trim(), 16).ok()?;
        if long == 0 {
            return Some(out);
        }
        out.extend(rest.get(line + 2..line + 2 + long)?);
        rest = rest.get(line + 4 + long..)?;
    }
}

/// A form with a photo, as a browser sends it: kind and body.
pub fn upload(fields: &[(&str, &str)], photo: &[u8]) -> (&'static str, Vec<u8>) {
    let mut body = Vec::new();
    for (name, value) in fields {
        body.extend(
            format!("--cut\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n")
                .bytes(),
        );
    }
    body.extend(
        b"--cut\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\nContent-Type: image/jpeg\r\n\r\n",
    );
    body.extend(photo);
    body.extend(b"\r\n--cut--\r\n");
    ("multipart/form-data; boundary=cut", body)
}
