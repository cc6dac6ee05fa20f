//! Closing a sound device that may not let itself be closed.

use std::sync::mpsc::channel;
use std::thread;
use std::time::Duration;

/// A device that is there is closed well within this time.
const PATIENCE: Duration = Duration::from_millis(500);

/// An open stream of sound. It is closed when this is dropped; a device that was pulled out, or whose sound server died, may take
/// for ever over that, and is not waited for.
pub struct OpenStream(Option<cpal::Stream>);

impl OpenStream {
    /// Takes care of closing it.
    pub fn new(stream: cpal::Stream) -> OpenStream {
        OpenStream(Some(stream))
    }
}

impl Drop for OpenStream {
    fn drop(&mut self) {
        let stream = self.0.take();
        let (closed, waits) = channel();
        let closing = thread::Builder::new().name("closing".into()).spawn(move || {
            drop(stream);
            let _ = closed.send(());
        });
        if closing.is_ok() {
            let _ = waits.recv_timeout(PATIENCE);
        }
    }
}
