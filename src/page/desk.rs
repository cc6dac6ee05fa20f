//! What the page works on: the record while it is open, the vocabulary, and who may come in.

use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};
use std::time::{Duration, Instant};

use super::answer::Refusal;
use super::{Ears, Live};
use crate::error::{Error, Result};
use crate::finding::Finding;
use crate::grammar::Grammar;
use crate::learn::{ByHand, Lesson};
use crate::record::{Passphrase, Record, RecordError};
use crate::settings::Settings;

/// The page locks when nobody has touched it for so long; `page.js` and `unlock.html` say the same.
pub const IDLE: Duration = Duration::from_secs(10 * 60);

/// Shared by everything that answers.
pub struct Desk {
    pub grammar: Arc<Grammar>,
    home: PathBuf,
    settings: Settings,
    /// Opens the page once: it stands in the address that is printed.
    pub token: String,
    /// What the browser shows from then on.
    pub cookie: String,
    /// What is listened to now, or was last.
    live: Mutex<Option<Arc<Live>>>,
    /// What listens when the page asks for it; held while it begins.
    ears: Mutex<Option<Box<dyn Ears>>>,
    idle: Duration,
    open: Mutex<Open>,
    by_hand: OnceLock<ByHand>,
}

/// What is on the desk while it is unlocked.
#[derive(Default)]
pub struct Open {
    record: Option<Record>,
    passphrase: Option<Passphrase>,
    used: Option<Instant>,
    /// The last change that was made here, so that it can be undone.
    pub last: Option<Change>,
}

/// A change that can be undone.
#[derive(Clone)]
pub enum Change {
    /// A finding had this value before.
    Changed { id: i64, before: Finding, heard: String },
    /// It was taken back from the visit of this client.
    TakenBack {
        client: String,
        visit: i64,
        before: Finding,
        heard: String,
    },
    /// It was added.
    Added { id: i64 },
}

impl Desk {
    /// Locked, with a token that nobody knows yet.
    ///
    /// # Errors
    /// The system gives no random numbers.
    pub fn new(home: PathBuf, settings: Settings, grammar: Arc<Grammar>) -> Result<Desk> {
        Ok(Desk {
            grammar,
            home,
            settings,
            token: random()?,
            cookie: random()?,
            live: Mutex::default(),
            ears: Mutex::default(),
            idle: IDLE,
            open: Mutex::default(),
            by_hand: OnceLock::new(),
        })
    }

    /// Locks after another time of idleness.
    #[must_use]
    pub fn locking_after(self, idle: Duration) -> Desk {
        Desk { idle, ..self }
    }

    /// Shows what is listened to.
    #[must_use]
    pub fn with_live(self, live: Arc<Live>) -> Desk {
        Desk {
            live: Mutex::new(Some(live)),
            ..self
        }
    }

    /// Can begin to listen.
    #[must_use]
    pub fn with_ears(self, ears: impl Ears + 'static) -> Desk {
        Desk {
            ears: Mutex::new(Some(Box::new(ears))),
            ..self
        }
    }

    /// What is listened to now, or was last.
    pub fn live(&self) -> Option<Arc<Live>> {
        self.live.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Begins to listen for a client. `sound`: the client allows that sound is kept.
    ///
    /// # Errors
    /// It listens already, it is locked, or why it can't listen.
    pub fn listen(&self, client: &str, sound: bool) -> std::result::Result<(), Refusal> {
        let ears = self.ears.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(client) = self.live().and_then(|live| live.is_for()) {
            return Err(Refusal::Said(format!(
                "couchside listens already, for {client}. Stop that first."
            )));
        }
        let ears = ears.as_ref().ok_or(Refusal::NotThere)?;
        let passphrase = self.hold().passphrase.clone().ok_or(Refusal::Locked)?;
        let begun = ears
            .open(client, &passphrase, sound)
            .map_err(|error| Refusal::Said(format!("couchside does not listen: {error}.")))?;
        *self.live.lock().unwrap_or_else(PoisonError::into_inner) = Some(begun);
        Ok(())
    }

    /// Whether there is a record to open.
    pub fn has_record(&self) -> bool {
        Record::exists(&self.home)
    }

    /// Opens the record.
    ///
    /// # Errors
    /// Those of [`Record::open`].
    pub fn unlock(&self, passphrase: &Passphrase) -> std::result::Result<(), RecordError> {
        let record = Record::open(&self.home, passphrase)?;
        self.keep(record, passphrase);
        Ok(())
    }

    /// Makes the first record.
    ///
    /// # Errors
    /// Those of [`Record::create`].
    pub fn make(&self, passphrase: &Passphrase) -> std::result::Result<(), RecordError> {
        let record = Record::create(&self.home, passphrase)?;
        self.keep(record, passphrase);
        Ok(())
    }

    /// Takes over a record that is open; the passphrase opens it again to listen.
    pub fn keep(&self, record: Record, passphrase: &Passphrase) {
        let mut open = self.hold();
        open.record = Some(record.acting_as(self.settings.therapist.clone()));
        open.passphrase = Some(passphrase.clone());
        open.used = Some(Instant::now());
    }

    /// Closes the record; its key and the passphrase are wiped with it.
    pub fn lock(&self) {
        *self.hold() = Open::default();
    }

    /// Does something with the record, away from the threads that answer.
    ///
    /// # Errors
    /// It is locked, or what `work` says.
    pub async fn with<T: Send + 'static>(
        self: &Arc<Desk>,
        work: impl FnOnce(&mut Record, &mut Option<Change>) -> std::result::Result<T, Refusal> + Send + 'static,
    ) -> std::result::Result<T, Refusal> {
        let desk = self.clone();
        let done = tokio::task::spawn_blocking(move || {
            let mut open = desk.hold();
            if open.used.is_none_or(|used| used.elapsed() > desk.idle) {
                *open = Open::default();
            }
            let Open {
                record, used, last, ..
            } = &mut *open;
            let record = record.as_mut().ok_or(Refusal::Locked)?;
            *used = Some(Instant::now());
            work(record, last)
        });
        done.await.unwrap_or(Err(Refusal::Broken))
    }

    /// What takes in lessons; made when it is first needed, because that takes a moment.
    pub fn by_hand(&self) -> &ByHand {
        self.by_hand
            .get_or_init(|| ByHand::new(self.grammar.clone(), self.home.clone()))
    }

    /// Takes in a lesson, away from the threads that answer.
    ///
    /// # Errors
    /// It can't be kept. What it was learnt from is recorded.
    pub async fn learn(self: &Arc<Desk>, lesson: Lesson) -> std::result::Result<(), Refusal> {
        let desk = self.clone();
        let taught = tokio::task::spawn_blocking(move || desk.by_hand().teach(&lesson)).await;
        taught
            .map_err(|_| Refusal::Broken)?
            .map_err(|error| Refusal::Said(format!("The finding is recorded. But {error}.")))
    }

    /// Locks it if nobody has touched it for long.
    pub fn lock_if_idle(&self) {
        let mut open = self.hold();
        if open.used.is_some_and(|used| used.elapsed() > self.idle) {
            *open = Open::default();
        }
    }

    fn hold(&self) -> MutexGuard<'_, Open> {
        // What a thread left behind that failed is closed rather than trusted.
        self.open.lock().unwrap_or_else(|poisoned| {
            self.open.clear_poison();
            let mut open = poisoned.into_inner();
            *open = Open::default();
            open
        })
    }
}

/// 256 random bits, in hexadecimal.
fn random() -> Result<String> {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes)
        .map_err(|error| Error::Failed(format!("the system gives no random numbers: {error}")))?;
    Ok(data_encoding::HEXLOWER.encode(&bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_locks_when_nobody_has_touched_it() {
        let home = tempfile::tempdir().unwrap();
        let passphrase = Passphrase::new(format!("x'{}'", "0123456789abcdef".repeat(6))).unwrap();
        let grammar = Arc::new(Grammar::carried().unwrap());
        let desk = Desk::new(home.path().to_owned(), Settings::default(), grammar).unwrap();
        let desk = Arc::new(desk.locking_after(Duration::from_millis(200)));
        desk.make(&passphrase).unwrap();
        let runtime = tokio::runtime::Builder::new_current_thread().build().unwrap();
        let asked = || runtime.block_on(desk.with(|record, _| Ok(record.clients()?.len())));
        assert!(matches!(asked(), Ok(0)));
        std::thread::sleep(Duration::from_millis(300));
        assert!(matches!(asked(), Err(Refusal::Locked)));
        // It stays so.
        assert!(matches!(asked(), Err(Refusal::Locked)));
        desk.unlock(&passphrase).unwrap();
        assert!(matches!(asked(), Ok(0)));
    }
}
