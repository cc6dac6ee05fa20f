//! What hands do while the program listens: words that are touched or typed reach the visit as if they had been said.

use std::sync::mpsc::{Receiver, Sender, channel};

/// Where touched words come out.
pub struct Hands(Option<Receiver<String>>);

impl Hands {
    /// Nothing can be touched.
    pub fn none() -> Hands {
        Hands(None)
    }

    /// Words that are sent come out in order.
    pub fn new() -> (Sender<String>, Hands) {
        let (touch, touched) = channel();
        (touch, Hands(Some(touched)))
    }

    /// What was touched next, if anything was.
    pub fn touched(&self) -> Option<String> {
        self.0.as_ref()?.try_recv().ok()
    }
}
