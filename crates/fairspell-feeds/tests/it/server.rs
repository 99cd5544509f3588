//! A local server that replays answers, one for each request, and remembers what it was asked.

use std::{
    io::{Read, Write},
    net::{TcpListener, TcpStream},
    sync::{Arc, Mutex},
    thread,
};

/// One answer.
#[derive(Clone)]
pub(crate) enum Reply {
    /// These bytes, then the connection is closed.
    Raw(Vec<u8>),
    /// Nothing at all, with the connection held open.
    Hang,
}

pub(crate) struct Server {
    pub(crate) port: u16,
    asked: Arc<Mutex<Vec<String>>>,
}

impl Server {
    /// Answers requests in order; the last answer is given again and again.
    pub(crate) fn new(replies: Vec<Reply>) -> Server {
        Server::naming_itself(|_| replies)
    }

    /// The same, for answers that name the server's own port.
    pub(crate) fn naming_itself(replies: impl FnOnce(u16) -> Vec<Reply>) -> Server {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let replies = replies(port);
        let asked = Arc::new(Mutex::new(Vec::new()));
        let remembered = Arc::clone(&asked);
        thread::spawn(move || {
            let mut held = Vec::new();
            for stream in listener.incoming() {
                let Ok(mut stream) = stream else { continue };
                let request = request(&mut stream);
                let count = {
                    let mut asked = remembered.lock().unwrap();
                    asked.push(request);
                    asked.len()
                };
                let reply = replies.get(count - 1).or(replies.last()).unwrap();
                match reply {
                    // A client that has heard enough hangs up.
                    Reply::Raw(bytes) => drop(stream.write_all(bytes)),
                    Reply::Hang => held.push(stream),
                }
            }
        });
        Server { port, asked }
    }

    pub(crate) fn address(&self, path: &str) -> String {
        format!("http://127.0.0.1:{}{path}", self.port)
    }

    /// The heads of the requests so far.
    pub(crate) fn asked(&self) -> Vec<String> {
        self.asked.lock().unwrap().clone()
    }
}

fn request(stream: &mut TcpStream) -> String {
    let mut bytes = Vec::new();
    let mut part = [0; 1024];
    while !bytes.windows(4).any(|end| end == b"\r\n\r\n") {
        match stream.read(&mut part) {
            Ok(0) | Err(_) => break,
            Ok(count) => bytes.extend_from_slice(&part[..count]),
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// An answer from recorded header lines, with the length that its body really has.
pub(crate) fn recorded(head: &str, body: &[u8]) -> Reply {
    let belongs_to_the_body = |line: &&str| {
        let line = line.to_lowercase();
        line.starts_with("content-length:") || line.starts_with("connection:")
    };
    let lines: Vec<&str> = head.lines().filter(|line| !belongs_to_the_body(line)).collect();
    let mut bytes = lines.join("\r\n").into_bytes();
    let length = body.len();
    bytes.extend(format!("\r\nConnection: close\r\nContent-Length: {length}\r\n\r\n").bytes());
    bytes.extend_from_slice(body);
    Reply::Raw(bytes)
}

/// An answer of status 200 with no more than the length of its body.
pub(crate) fn plain(body: &[u8]) -> Reply {
    recorded("HTTP/1.1 200 OK", body)
}
