//! A client that keeps its connection, as a browser does, and takes the time of each answer.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// What came back.
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) body: Vec<u8>,
    /// From the first byte sent to the last byte received.
    pub(crate) took: Duration,
}

/// One client.
pub(crate) struct Client {
    port: u16,
    connection: Option<BufReader<TcpStream>>,
}

impl Client {
    pub(crate) fn new(port: u16) -> Self {
        Self { port, connection: None }
    }

    pub(crate) fn get(&mut self, path: &str) -> Answer {
        self.exchange("GET", path, "", &[])
    }

    pub(crate) fn post(&mut self, path: &str, kind: &str, body: &[u8]) -> Answer {
        self.exchange("POST", path, kind, body)
    }

    fn exchange(&mut self, method: &str, path: &str, kind: &str, body: &[u8]) -> Answer {
        let port = self.port;
        let mut request = format!(
            "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nAccept-Encoding: gzip\r\nSec-Fetch-Site: same-origin\r\n"
        );
        if method == "POST" {
            request += &format!("Content-Type: {kind}\r\nContent-Length: {}\r\n", body.len());
        }
        let mut bytes = (request + "\r\n").into_bytes();
        bytes.extend(body);
        let began = Instant::now();
        // A kept connection may have been closed by the server meanwhile: once more on a new one.
        let kept = self.connection.take().and_then(|mut old| Some((talk(&mut old, &bytes).ok()?, old)));
        let (answer, connection) = kept.unwrap_or_else(|| {
            let stream = TcpStream::connect(("127.0.0.1", port)).expect("a connection");
            stream.set_nodelay(true).expect("a socket option");
            stream.set_read_timeout(Some(Duration::from_secs(60))).expect("a socket option");
            let mut new = BufReader::with_capacity(1 << 16, stream);
            let answer = talk(&mut new, &bytes).unwrap_or_else(|e| panic!("{method} {path}: {e}"));
            (answer, new)
        });
        self.connection = Some(connection);
        Answer { took: began.elapsed(), ..answer }
    }
}

/// Listens to the news of the shop until the connection ends or the time is over; how many pieces came.
pub(crate) fn listen(port: u16, path: &str, until: Instant) -> usize {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).expect("a connection");
    stream.set_read_timeout(Some(Duration::from_secs(1))).expect("a socket option");
    write!(stream, "GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nAccept: text/event-stream\r\n\r\n").expect("sent");
    let (mut pieces, mut part) = (0, [0; 4096]);
    while Instant::now() < until {
        match stream.read(&mut part) {
            Ok(0) => break,
            Ok(n) => pieces += part[..n].windows(6).filter(|w| w == b"event:").count(),
            Err(e) if matches!(e.kind(), std::io::ErrorKind::WouldBlock | std::io::ErrorKind::TimedOut) => {}
            Err(_) => break,
        }
    }
    pieces
}

fn talk(connection: &mut BufReader<TcpStream>, request: &[u8]) -> std::io::Result<Answer> {
    let broken = |why: &str| std::io::Error::other(why.to_owned());
    connection.get_mut().write_all(request)?;
    let (mut status, mut length, mut chunked) = (0, None, false);
    let mut line = String::new();
    loop {
        line.clear();
        if connection.read_line(&mut line)? == 0 {
            return Err(broken("the answer broke off"));
        }
        let head = line.trim_end();
        if head.is_empty() {
            break;
        }
        if status == 0 {
            status = head.split(' ').nth(1).and_then(|s| s.parse().ok()).ok_or_else(|| broken("no status"))?;
        } else if let Some((name, value)) = head.split_once(':') {
            match name.to_ascii_lowercase().as_str() {
                "content-length" => length = value.trim().parse::<usize>().ok(),
                "transfer-encoding" => chunked = value.trim().eq_ignore_ascii_case("chunked"),
                _ => {}
            }
        }
    }
    let mut body = Vec::new();
    if chunked {
        loop {
            line.clear();
            connection.read_line(&mut line)?;
            let size = usize::from_str_radix(line.trim(), 16).map_err(|_| broken("no size of a chunk"))?;
            let at = body.len();
            body.resize(at + size, 0);
            connection.read_exact(&mut body[at..])?;
            line.clear();
            connection.read_line(&mut line)?;
            if size == 0 {
                break;
            }
        }
    } else {
        body.resize(length.unwrap_or(0), 0);
        connection.read_exact(&mut body)?;
    }
    Ok(Answer { status, body, took: Duration::ZERO })
}
