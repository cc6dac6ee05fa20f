//! One program at a time listens for a client: two would both answer, and confirm what the other said back.

use std::fs::{File, TryLockError};

use super::{Record, RecordError, client, file};

/// As long as it is there no other program listens for the client. It ends with the program, however that ends.
#[derive(Debug)]
pub struct Alone(#[expect(dead_code, reason = "the lock goes with the file")] File);

impl Record {
    /// Keeps other programs from listening for this client, who is added if not there yet.
    ///
    /// # Errors
    /// Another program listens for the client, or the record cannot be written.
    pub fn listen_alone(&mut self, client_code: &str) -> Result<Alone, RecordError> {
        let client = self.write(|tx| client::find_or_add(tx, client_code))?;
        let path = self.conn.path().unwrap_or_default().to_owned();
        let home = file::folder_of(path.as_ref()).to_owned();
        let lock = File::options()
            .create(true)
            .truncate(false)
            .write(true)
            .open(home.join(format!(".listening-{client}")))
            .map_err(|source| RecordError::Folder { path: home, source })?;
        match lock.try_lock() {
            Ok(()) => Ok(Alone(lock)),
            Err(TryLockError::WouldBlock) => Err(RecordError::ListenedTo),
            // Where files can't be locked nobody is kept from listening.
            Err(TryLockError::Error(_)) => Ok(Alone(lock)),
        }
    }
}
