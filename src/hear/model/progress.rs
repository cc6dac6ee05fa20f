//! How far a long piece of work has come, for whoever wants to show it.

/// Told about work on files of many megabytes. `()` is told and shows nothing.
pub trait Progress {
    /// A piece of work of `bytes` bytes begins; `doing` is what is done, such as "converting".
    fn begin(&mut self, doing: &str, bytes: u64);
    /// `bytes` more are done.
    fn advance(&mut self, bytes: u64);
    /// The piece of work is over.
    fn end(&mut self);
}

impl Progress for () {
    fn begin(&mut self, _doing: &str, _bytes: u64) {}
    fn advance(&mut self, _bytes: u64) {}
    fn end(&mut self) {}
}
