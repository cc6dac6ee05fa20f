//! The live view shows what happens as it happens, and nobody who looks can hold up the listening.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use couchside::event::Event;
use couchside::finding::{Degrees, Finding, Kind, Mode, Side};
use couchside::grammar::Grammar;
use couchside::page::{Desk, Live, Place};
use couchside::settings::Settings;

use super::*;

/// A page that shows what the test tells it.
struct Shown {
    live: Arc<Live>,
    touched: Receiver<String>,
    stop: Arc<AtomicBool>,
    served: Served,
}

fn shown() -> Shown {
    let grammar = Arc::new(Grammar::carried().unwrap());
    let home = tempfile::tempdir().unwrap();
    let (touch, touched) = channel();
    let stop = Arc::new(AtomicBool::new(false));
    let visit = (1, "2026-01-10");
    let live = Arc::new(Live::new(
        grammar.clone(),
        "P-12",
        visit,
        Vec::new(),
        touch,
        stop.clone(),
    ));
    let desk = Desk::new(home.path().to_owned(), Settings::default(), grammar).unwrap();
    let desk = desk.with_live(live.clone());
    let place = Place::take(0).unwrap();
    let address = place.address_of(&desk);
    let cookie = format!("couchside={}", desk.cookie);
    std::thread::spawn(move || place.serve(Arc::new(desk)));
    let (host, token) = address
        .strip_prefix("http://")
        .unwrap()
        .split_once("/enter?token=")
        .unwrap();
    // A program that only waits stands for the one that serves, which is this one.
    let program = Command::new("sleep").arg("600").spawn().unwrap();
    let served = Served {
        program,
        host: host.to_owned(),
        token: token.to_owned(),
        cookie,
        home,
    };
    Shown {
        live,
        touched,
        stop,
        served,
    }
}

impl Shown {
    /// A stream of what changes.
    fn stream(&self) -> TcpStream {
        let mut stream = TcpStream::connect(&self.served.host).unwrap();
        let request = format!(
            "GET /live/events HTTP/1.1\r\nHost: {}\r\nCookie: {}\r\n\r\n",
            self.served.host, self.served.cookie
        );
        stream.write_all(request.as_bytes()).unwrap();
        stream
    }
}

/// Reads a stream until this stands in it.
fn read_until(stream: &TcpStream, wanted: &str) -> String {
    stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    let (mut all, mut piece) = (Vec::new(), [0; 16_384]);
    let mut stream = stream;
    loop {
        let count = stream.read(&mut piece).expect(wanted);
        assert!(count > 0, "the stream ended before “{wanted}”");
        all.extend_from_slice(&piece[..count]);
        let text = String::from_utf8_lossy(&all);
        if text.contains(wanted) {
            return text.into_owned();
        }
    }
}

fn flexion(degrees: i32) -> Finding {
    let mut finding = Finding::new(Kind::Movement);
    finding.side = Some(Side::Left);
    finding.joint = Some("hip".into());
    finding.movement = Some("flexion".into());
    finding.mode = Some(Mode::Active);
    finding.degrees = Some(Degrees {
        from: None,
        to: degrees,
    });
    finding
}

#[test]
fn what_happens_is_shown() {
    let shown = shown();
    assert!(
        shown
            .served
            .get("/live")
            .body
            .contains("<strong>Listening</strong>")
    );
    let stream = shown.stream();
    read_until(&stream, "Dictate a finding");
    let finding = flexion(110);
    shown.live.event(&Event::Proposed {
        id: 1,
        finding: finding.clone(),
    });
    read_until(&stream, "Waits for you to confirm");
    let at = "2026-01-10T10:00:00.000Z".to_owned();
    shown.live.event(&Event::Recorded { id: 1, finding, at });
    let board = read_until(&stream, "<h2>Recorded</h2>");
    assert!(
        board.contains("Left hip flexion, active, 110 degrees."),
        "{board}"
    );
    shown.live.level(-31.0);
    read_until(&stream, "event: level\ndata: -31");
    shown.live.event(&Event::Notice {
        text: "<b>gone</b>".into(),
    });
    read_until(&stream, "&#60;b&#62;gone");
    shown.live.ended();
    read_until(&stream, "Not listening");
}

#[test]
fn it_can_be_touched_and_stopped() {
    let shown = shown();
    shown.served.post("/live/touch", &[("words", "confirm")]);
    assert_eq!(
        shown.touched.recv_timeout(Duration::from_secs(5)).unwrap(),
        "confirm"
    );
    assert!(!shown.stop.load(Ordering::Relaxed));
    shown.served.post("/live/stop", &[]);
    assert!(shown.stop.load(Ordering::Relaxed));
}

#[test]
fn without_listening_it_says_how_to_start() {
    let served = served(record().0, true);
    assert!(served.get("/live").body.contains("Choose a client"));
    assert_eq!(served.post("/live/touch", &[("words", "confirm")]).status, 404);
    assert_eq!(served.get("/live/events").status, 204);
}

/// A thousand that look and never read, and one that does: showing an event never waits, and the one sees the last.
#[test]
fn a_thousand_slow_readers_hold_up_nobody() {
    let shown = shown();
    let slow: Vec<TcpStream> = (0..1000).map(|_| shown.stream()).collect();
    let quick = shown.stream();
    read_until(&quick, "Dictate a finding");
    // More than all buffers between would hold if each had to be delivered.
    for degrees in 0..1000 {
        shown.live.event(&Event::Proposed {
            id: 1,
            finding: flexion(degrees % 100),
        });
        shown.live.level(-60.0 + (degrees % 50) as f32);
    }
    shown.live.event(&Event::Proposed {
        id: 1,
        finding: flexion(123),
    });
    read_until(&quick, "active, 123 degrees");
    assert_eq!(shown.served.get("/live").status, 200);
    drop(slow);
}
