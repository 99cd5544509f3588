//! A push service and a mail server of a few lines, each for one conversation at a time.

use std::{
    io::{BufRead, BufReader, Read, Write},
    net::{TcpListener, TcpStream},
    sync::mpsc::{Receiver, channel},
    thread,
};

/// A server on this machine and what it hears.
pub(crate) struct Server {
    pub(crate) port: u16,
    pub(crate) heard: Receiver<String>,
}

fn serve(mut talk: impl FnMut(TcpStream) -> String + Send + 'static) -> Server {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = listener.local_addr().unwrap().port();
    let (said, heard) = channel();
    thread::spawn(move || {
        for stream in listener.incoming() {
            // The test may have ended before it listened.
            let _ = said.send(talk(stream.unwrap()));
        }
    });
    Server { port, heard }
}

/// Answers every request with the same head: "201 Created\r\nLocation: ...".
pub(crate) fn http(answer: &'static str) -> Server {
    serve(move |mut stream| {
        let mut reader = BufReader::new(stream.try_clone().unwrap());
        let mut request = String::new();
        let mut length = 0;
        loop {
            let mut line = String::new();
            reader.read_line(&mut line).unwrap();
            if let Some(value) = line.to_lowercase().strip_prefix("content-length:") {
                length = value.trim().parse().unwrap();
            }
            request.push_str(&line);
            if line == "\r\n" || line.is_empty() {
                break;
            }
        }
        let mut body = vec![0; length];
        reader.read_exact(&mut body).unwrap();
        let head = format!("HTTP/1.1 {answer}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n");
        stream.write_all(head.as_bytes()).unwrap();
        format!("{request}[{length} bytes]")
    })
}

/// Speaks the least of RFC 5321, with one command answered as the test wants it.
///
/// - `command`: the command's first word: "AUTH", "RCPT", "MAIL", or "" for none.
/// - `answer`: the answer to it.
pub(crate) fn smtp(command: &'static str, answer: &'static str) -> Server {
    serve(move |mut stream| {
        let mut reader = BufReader::new(stream.try_clone().unwrap());
        let mut heard = String::new();
        let mut in_text = false;
        let mut say = |line: &str| stream.write_all(format!("{line}\r\n").as_bytes());
        say("220 mail.example ESMTP").unwrap();
        loop {
            let mut line = String::new();
            if reader.read_line(&mut line).unwrap_or(0) == 0 {
                return heard;
            }
            heard.push_str(&line);
            let word = line.split_whitespace().next().unwrap_or_default().to_uppercase();
            let reply = match word.as_str() {
                "." if in_text => {
                    in_text = false;
                    "250 taken"
                }
                _ if in_text => continue,
                word if word == command => answer,
                "EHLO" => "250-mail.example\r\n250-8BITMIME\r\n250 AUTH PLAIN LOGIN",
                "AUTH" => "235 welcome",
                "DATA" => {
                    in_text = true;
                    "354 go on"
                }
                "QUIT" => "221 goodbye",
                _ => "250 ok",
            };
            if say(reply).is_err() || word == "QUIT" {
                return heard;
            }
        }
    })
}
