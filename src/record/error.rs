//! What can go wrong with the record, in words for a therapist. No message holds anything of a client's.

use std::path::PathBuf;

use rusqlite::ErrorCode;

/// Why the record could not be made, opened, read or written.
#[derive(Debug, thiserror::Error)]
pub enum RecordError {
    /// No passphrase, or one without a character.
    #[error("the passphrase is empty; choose one of several words that you will remember")]
    EmptyPassphrase,
    /// The passphrase is not text that can be typed again.
    #[error("the passphrase holds a character that is not text; use letters, digits, spaces and signs")]
    PassphraseNotText,
    /// The two entries for a new record are not the same.
    #[error("the two passphrases differ, so no record was made; start again")]
    PassphrasesDiffer,
    /// `COUCHSIDE_PASSPHRASE_FILE` names a file that cannot be read.
    #[error(
        "could not read the passphrase from {path}, the file that COUCHSIDE_PASSPHRASE_FILE names: {source}"
    )]
    PassphraseFile { path: PathBuf, source: std::io::Error },
    /// There is no terminal to ask at.
    #[error(
        "could not ask for the passphrase: {0}; name a file that holds it in COUCHSIDE_PASSPHRASE_FILE instead"
    )]
    Prompt(std::io::Error),
    /// The system names no data folder for this user.
    #[error("this computer names no data folder for you; name the record's folder in COUCHSIDE_HOME")]
    NoHome,
    /// There is no record in this folder.
    #[error("there is no record in {0} yet; make one with `couchside record new`")]
    NoRecord(PathBuf),
    /// A record is never overwritten.
    #[error(
        "there is a record in {0} already, and it is left as it is; name another folder in COUCHSIDE_HOME"
    )]
    RecordExists(PathBuf),
    /// A copy never takes the place of another file.
    #[error("there is a file {0} already, and it is left as it is; give the copy another name")]
    CopyExists(PathBuf),
    /// There is no copy under this name.
    #[error("there is no file {0}; check the name of the copy")]
    NoCopy(PathBuf),
    /// The copy cannot be written, or what is copied not be read.
    #[error("could not write the copy {path}: {source}; check the place and its free space")]
    Copy { path: PathBuf, source: std::io::Error },
    /// A line of what was exported cannot be taken in.
    #[error("could not make a record from {path}: line {line}: {why}; nothing was made")]
    Import { path: PathBuf, line: usize, why: String },
    /// The folder cannot be made or written in.
    #[error(
        "could not keep a record in {path}: {source}; choose a folder that you may write in with COUCHSIDE_HOME"
    )]
    Folder { path: PathBuf, source: std::io::Error },
    /// The first page cannot be decrypted.
    #[error(
        "the passphrase does not open this record; check it and try again. If it is surely right, the file's beginning is damaged: go back to a copy"
    )]
    WrongPassphrase,
    /// The file is a database, but nobody encrypted it.
    #[error("the file {0} is not encrypted, so it is not a record of this program; move it away")]
    NotEncrypted(PathBuf),
    /// This build of the program cannot encrypt.
    #[error(
        "this copy of couchside was built without encryption and will not keep a record; install it again"
    )]
    NoEncryption,
    /// Part of the file is missing.
    #[error("the record is incomplete: its file was only half written or cut short; go back to a copy")]
    Incomplete,
    /// Something in the file is not as it was written. `0` says what.
    #[error("the record is damaged: {0}; keep the file as it is and go back to a copy")]
    Damaged(String),
    /// The record was written by a newer program.
    #[error(
        "this record was written by a newer couchside (form {found}, this one knows up to {known}); install the newer one"
    )]
    Newer { found: u32, known: u32 },
    /// No room, while something other than a confirmation was written.
    #[error(
        "the disk is full: nothing confirmed before is lost, but what was said last is not kept; make room on the disk, then say it again"
    )]
    NoRoom,
    /// No room for a confirmed finding.
    #[error(
        "the disk is full: nothing confirmed before is lost, and this finding is still waiting, not yet recorded; make room on the disk, then try again"
    )]
    NoRoomToConfirm,
    /// The system could not read or write the file.
    #[error(
        "the disk failed while the record was used; it may be full. Nothing confirmed before is lost, and what was said last is not recorded; make room on the disk or check it, then try again"
    )]
    Disk,
    /// Another program holds the record.
    #[error("another program has held the record for more than five seconds; close it and try again")]
    Busy,
    /// The file may not be written.
    #[error("the record cannot be written; check that you may write in its folder")]
    NotWritable,
    /// A client's code has other characters or another length.
    #[error("a client code is 1 to 40 characters long: letters from a to z, digits, - and _, with no spaces")]
    ClientCode,
    /// No client has this code.
    #[error("no client has this code in the record; check the code")]
    NoClient,
    /// The code of a new client names another.
    #[error("there is a client of this code already; choose another code")]
    CodeTaken,
    /// A client cannot be merged with itself.
    #[error("both codes name the same client already")]
    SameClient,
    /// Two programs must not listen for one client.
    #[error("couchside listens for this client already, in another window; end that one first")]
    ListenedTo,
    /// No visit has this number.
    #[error("there is no such visit in the record")]
    NoVisit,
    /// The visit has been closed.
    #[error("this visit is signed off; what comes now belongs to a new one")]
    VisitClosed,
    /// Every visit of the client is signed, or there is none.
    #[error("this client has no visit that is not signed off")]
    NoOpenVisit,
    /// A visit in which something waits is not closed.
    #[error(
        "{0} of what was dictated in this visit still waits to be confirmed: confirm it with `couchside listen` first, or sign with --drop-waiting to leave it out"
    )]
    StillWaiting(usize),
    /// The proposal is not waiting any more, or never was.
    #[error("this finding is not waiting: it is recorded or disregarded already")]
    NotWaiting,
    /// What was confirmed is not what waits under its number.
    #[error("what was confirmed is not the finding that was waiting, so it is not recorded; say it again")]
    NotWhatWaits,
    /// No clip has this number any more.
    #[error("there is no sound of number {0}; it was erased, or never kept")]
    NoClip(i64),
    /// No finding has this number, or it is another client's.
    #[error("there is no such finding for this client")]
    NoFinding,
    /// No finding has this number.
    #[error("there is no finding of number {0}, or it was taken back; `couchside search` shows the numbers")]
    NoSuchFinding(i64),
    /// Anything else that the database reports.
    #[error("the record could not be used: {0}; try again, and if it stays so, go back to a copy")]
    Database(rusqlite::Error),
}

impl From<rusqlite::Error> for RecordError {
    fn from(error: rusqlite::Error) -> RecordError {
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => RecordError::NoRoom,
            Some(ErrorCode::SystemIoFailure) => RecordError::Disk,
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => RecordError::Busy,
            Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => {
                RecordError::NotWritable
            }
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
                RecordError::Damaged("a page of the file is not as it was written".to_owned())
            }
            _ => RecordError::Database(error),
        }
    }
}
