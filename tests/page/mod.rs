//! The page, as it is run: a plain HTTP client asks, with whatever headers a browser or somebody else would send.

mod begin;
mod guard;
mod hostile;
mod live;
mod locks;
mod writes;

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};

use couchside::record::{Passphrase, Record};
use tempfile::TempDir;

/// A raw key: from a passphrase one is made slowly on purpose.
fn words() -> String {
    format!("x'{}'", "0123456789abcdef".repeat(6))
}

/// The program that serves; it ends with this.
struct Served {
    program: Child,
    host: String,
    token: String,
    cookie: String,
    home: TempDir,
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

struct Answer {
    status: u16,
    head: String,
    body: String,
}

impl Answer {
    fn header(&self, name: &str) -> Option<&str> {
        let named = |line: &&str| {
            line.split_once(':')
                .is_some_and(|(this, _)| this.eq_ignore_ascii_case(name))
        };
        self.head
            .lines()
            .find(named)
            .and_then(|line| Some(line.split_once(':')?.1.trim()))
    }
}

/// Serves the record of `home`, unlocked if `unlocked`.
fn served(home: TempDir, unlocked: bool) -> Served {
    let mut command = Command::new(env!("CARGO_BIN_EXE_couchside"));
    command.env_remove("COUCHSIDE_PASSPHRASE");
    if unlocked {
        command.env("COUCHSIDE_PASSPHRASE", words());
    }
    serve(command, home)
}

/// Serves it by this program.
fn serve(mut command: Command, home: TempDir) -> Served {
    command
        .args(["page", "--no-open"])
        .env("COUCHSIDE_HOME", home.path())
        .env_remove("COUCHSIDE_PASSPHRASE_FILE")
        .stdout(Stdio::piped());
    let mut program = command.spawn().unwrap();
    let mut line = String::new();
    BufReader::new(program.stdout.take().unwrap())
        .read_line(&mut line)
        .unwrap();
    let address = line.trim().strip_prefix("http://").unwrap();
    let (host, token) = address.split_once("/enter?token=").unwrap();
    let mut served = Served {
        program,
        host: host.to_owned(),
        token: token.to_owned(),
        cookie: String::new(),
        home,
    };
    let entered = served.ask(&format!("GET /enter?token={token}"), &[], "");
    assert_eq!(entered.status, 303);
    let cookie = entered.header("set-cookie").unwrap();
    served.cookie = cookie.split(';').next().unwrap().to_owned();
    served
}

/// A record with a client and nothing more.
fn record() -> (TempDir, Record) {
    let home = tempfile::tempdir().unwrap();
    let mut record = Record::create(home.path(), &Passphrase::new(words()).unwrap()).unwrap();
    record.visit_for("P-12").unwrap();
    (home, record)
}

fn reopened(home: &Path) -> Record {
    Record::open(home, &Passphrase::new(words()).unwrap()).unwrap()
}

impl Served {
    /// Asks with exactly these headers, `Host` put before them unless one is among them.
    fn ask(&self, what: &str, headers: &[(&str, &str)], body: &str) -> Answer {
        let mut stream = TcpStream::connect(&self.host).unwrap();
        let mut request = format!("{what} HTTP/1.1\r\nConnection: close\r\n");
        if !headers.iter().any(|(name, _)| *name == "Host") {
            request += &format!("Host: {}\r\n", self.host);
        }
        for (name, value) in headers {
            request += &format!("{name}: {value}\r\n");
        }
        if !body.is_empty() {
            request += &format!(
                "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n",
                body.len()
            );
        }
        stream
            .write_all(format!("{request}\r\n{body}").as_bytes())
            .unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        let answer = String::from_utf8_lossy(&answer);
        let (head, body) = answer.split_once("\r\n\r\n").unwrap();
        Answer {
            status: head.split(' ').nth(1).unwrap().parse().unwrap(),
            head: head.to_owned(),
            body: body.to_owned(),
        }
    }

    /// As the opened page asks.
    fn get(&self, path: &str) -> Answer {
        self.ask(&format!("GET {path}"), &[("Cookie", &self.cookie)], "")
    }

    /// As a form of the page is sent.
    fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let encode = |text: &str| -> String { text.bytes().map(|byte| format!("%{byte:02X}")).collect() };
        let fields: Vec<String> = fields
            .iter()
            .map(|(name, value)| format!("{name}={}", encode(value)))
            .collect();
        let origin = format!("http://{}", self.host);
        let body = if fields.is_empty() {
            "-=".to_owned()
        } else {
            fields.join("&")
        };
        self.ask(
            &format!("POST {path}"),
            &[("Cookie", &self.cookie), ("Origin", &origin)],
            &body,
        )
    }
}
