//! One HTTP/1.1 exchange over a plain connection: enough for the browser's driver and for fetching a file from our pages.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;

/// What came back.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: Vec<u8>,
}

/// Sends one request to this machine and reads the answer to its end.
///
/// # Errors
/// A sentence with the request in it.
pub(crate) fn exchange(port: u16, method: &str, path: &str, body: Option<&str>) -> Result<Answer, String> {
    let fault = |what: &dyn std::fmt::Display| format!("{method} {path} on port {port}: {what}");
    let mut stream = TcpStream::connect(("127.0.0.1", port)).map_err(|e| fault(&e))?;
    stream.set_read_timeout(Some(Duration::from_secs(60))).map_err(|e| fault(&e))?;
    let body = body.unwrap_or("");
    let request = format!(
        "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\nContent-Type: application/json; charset=utf-8\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    );
    stream.write_all(request.as_bytes()).map_err(|e| fault(&e))?;
    let mut bytes = Vec::new();
    let mut part = [0; 65536];
    loop {
        if let Some(answer) = whole(&bytes, false) {
            return Ok(answer);
        }
        match stream.read(&mut part).map_err(|e| fault(&e))? {
            0 => return whole(&bytes, true).ok_or_else(|| fault(&"the answer broke off")),
            n => bytes.extend_from_slice(&part[..n]),
        }
    }
}

/// The answer, if the bytes hold all of it. `closed`: nothing more will come.
fn whole(bytes: &[u8], closed: bool) -> Option<Answer> {
    let end = bytes.windows(4).position(|w| w == b"\r\n\r\n")?;
    let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
    let status = head.split_whitespace().nth(1)?.parse().ok()?;
    let rest = &bytes[end + 4..];
    let field = |name: &str| {
        let lines = head.lines().filter_map(|line| line.split_once(':'));
        lines.filter(|(key, _)| key.eq_ignore_ascii_case(name)).map(|(_, value)| value.trim().to_owned()).next()
    };
    let body = if let Some(length) = field("content-length") {
        rest.get(..length.parse().ok()?)?.to_vec()
    } else if field("transfer-encoding").is_some_and(|way| way.eq_ignore_ascii_case("chunked")) {
        dechunk(rest)?
    } else if closed {
        rest.to_vec()
    } else {
        return None;
    };
    Some(Answer { status, head, body })
}

fn dechunk(mut rest: &[u8]) -> Option<Vec<u8>> {
    let mut body = Vec::new();
    loop {
        let line = rest.windows(2).position(|w| w == b"\r\n")?;
        let size = std::str::from_utf8(&rest[..line]).ok()?.split(';').next()?.trim();
        let size = usize::from_str_radix(size, 16).ok()?;
        rest = &rest[line + 2..];
        if size == 0 {
            return Some(body);
        }
        body.extend_from_slice(rest.get(..size)?);
        rest = rest.get(size + 2..)?;
    }
}

#[test]
fn answers_are_read_whole() {
    assert!(whole(b"HTTP/1.1 200 OK\r\nContent-Length: 3\r\n\r\nab", false).is_none());
    assert_eq!(whole(b"HTTP/1.1 200 OK\r\nContent-Length: 3\r\n\r\nabc", false).unwrap().body, b"abc");
    let chunked = b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n2\r\nab\r\n1\r\nc\r\n0\r\n\r\n";
    assert_eq!(whole(chunked, false).unwrap().body, b"abc");
}
