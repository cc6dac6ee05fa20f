//! The live view: what is heard, what waits, what is recorded, while the program listens; and everything that voice can do, touched.

use std::convert::Infallible;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::Sender;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use askama::Template;
use axum::Form;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::sse::{Event as Sent, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use futures_util::stream::{Stream, unfold};
use serde::Deserialize;
use tokio::sync::watch::{self, Receiver};

use super::answer::{Answer, Refusal, page};
use super::board::{Board, Mood, drawn};
use super::desk::Desk;
use super::form::in_address;
use crate::event::Event;
use crate::finding::{Control, word_of};
use crate::grammar::Grammar;
use crate::record::{Kept, Record, RecordError};

/// What hands may touch, in the order in which it is shown.
const TOUCHED: [Control; 8] = [
    Control::Confirm,
    Control::Disregard,
    Control::SayAgain,
    Control::ReadBack,
    Control::ConfirmLast,
    Control::WhatRemains,
    Control::StandBy,
    Control::Resume,
];

/// What is shown, shared by the thread that listens and those that answer. Whoever reads slowly sees the latest, and holds up nobody.
pub struct Live {
    grammar: Arc<Grammar>,
    board: Mutex<Board>,
    shown: watch::Sender<Arc<str>>,
    level: watch::Sender<f32>,
    touch: Mutex<Sender<String>>,
    stop: Arc<AtomicBool>,
}

impl Live {
    /// Of a visit in which this is recorded so far. What is touched is sent to `touch`; `stop` ends the listening.
    pub fn new(
        grammar: Arc<Grammar>,
        client: &str,
        visit: (i64, &str),
        recorded: Vec<Kept>,
        touch: Sender<String>,
        stop: Arc<AtomicBool>,
    ) -> Live {
        let board = Board::new(client, visit, recorded);
        let drawn = drawn(&grammar, &board);
        Live {
            grammar,
            board: Mutex::new(board),
            shown: watch::Sender::new(drawn),
            level: watch::Sender::new(-100.0),
            touch: Mutex::new(touch),
            stop,
        }
    }

    /// Of the client's latest open visit.
    ///
    /// # Errors
    /// There is none, or the record can't be read.
    pub fn of(
        record: &Record,
        grammar: Arc<Grammar>,
        client: &str,
        touch: Sender<String>,
        stop: Arc<AtomicBool>,
    ) -> Result<Live, RecordError> {
        let mut visits = record.case(client)?.visits.into_iter();
        let visit = visits
            .rfind(|visit| visit.signed.is_none())
            .ok_or(RecordError::NoOpenVisit)?;
        let about = (visit.number, visit.date.as_str());
        Ok(Live::new(grammar, client, about, visit.findings, touch, stop))
    }

    /// The client who is listened to; `None` if that has ended.
    pub fn is_for(&self) -> Option<String> {
        let board = self.board();
        (board.mood != Mood::Ended).then(|| board.client.clone())
    }

    /// Shows an event. Never waits for whoever looks.
    pub fn event(&self, event: &Event) {
        self.change(|board| board.heed(event, &self.grammar.readback.answer));
    }

    /// Shows how loud the room is, in dB of full scale.
    pub fn level(&self, level_db: f32) {
        self.level.send_replace(level_db);
    }

    /// Shows what people should know.
    pub fn notice(&self, text: &str) {
        self.change(|board| board.notice = Some(text.to_owned()));
    }

    /// Shows that nobody listens any more, and why.
    pub fn broke_off(&self, why: &str) {
        self.change(|board| {
            board.mood = Mood::Ended;
            board.notice = Some(why.to_owned());
        });
    }

    /// Shows that nobody listens any more.
    pub fn ended(&self) {
        self.change(|board| board.mood = Mood::Ended);
    }

    fn board(&self) -> MutexGuard<'_, Board> {
        self.board.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn change(&self, change: impl FnOnce(&mut Board)) {
        let mut board = self.board();
        change(&mut board);
        self.shown.send_replace(drawn(&self.grammar, &board));
    }
}

#[derive(Template)]
#[template(path = "live.html")]
struct Page {
    live: Option<Shown>,
}

struct Shown {
    client: String,
    address: String,
    visit: i64,
    date: String,
    board: String,
    touched: Vec<String>,
}

/// Shows it.
pub async fn show(State(desk): State<Arc<Desk>>) -> Answer {
    let live = desk.live().map(|live| {
        let board = live.board();
        Shown {
            address: in_address(&board.client),
            client: board.client.clone(),
            visit: board.visit,
            date: board.date.clone(),
            board: live.shown.borrow().to_string(),
            touched: TOUCHED.map(word_of).into(),
        }
    });
    page(&Page { live })
}

/// Everything that changes, as server-sent events: `board` is the whole of what is shown, `level` how loud the room is.
pub async fn events(State(desk): State<Arc<Desk>>) -> Response {
    match desk.live() {
        Some(live) => Sse::new(changes(live.shown.subscribe(), live.level.subscribe()))
            .keep_alive(KeepAlive::new().interval(Duration::from_secs(15)))
            .into_response(),
        None => StatusCode::NO_CONTENT.into_response(),
    }
}

fn changes(
    mut shown: Receiver<Arc<str>>,
    level: Receiver<f32>,
) -> impl Stream<Item = Result<Sent, Infallible>> {
    // Whoever comes gets what is shown now, first.
    shown.mark_changed();
    unfold((shown, level), |(mut shown, mut level)| async move {
        let sent = tokio::select! {
            biased;
            changed = shown.changed() => {
                changed.ok()?;
                Sent::default().event("board").data(&*shown.borrow_and_update())
            }
            changed = level.changed() => {
                changed.ok()?;
                Sent::default().event("level").data(format!("{:.0}", *level.borrow_and_update()))
            }
        };
        Some((Ok(sent), (shown, level)))
    })
}

#[derive(Deserialize)]
pub struct Touch {
    words: String,
}

/// Does what is touched or typed as if it had been said.
pub async fn touch(State(desk): State<Arc<Desk>>, Form(touch): Form<Touch>) -> Answer {
    let live = desk.live().ok_or(Refusal::NotThere)?;
    let sender = live.touch.lock().map_err(|_| Refusal::Broken)?;
    sender
        .send(touch.words)
        .map_err(|_| Refusal::Said("Nobody listens any more.".to_owned()))?;
    Ok(super::answer::go_to("/live"))
}

/// Ends the listening; what was recorded is kept, and the page stays.
pub async fn stop(State(desk): State<Arc<Desk>>) -> Answer {
    let live = desk.live().ok_or(Refusal::NotThere)?;
    live.stop.store(true, Ordering::Relaxed);
    Ok(super::answer::go_to("/live"))
}
