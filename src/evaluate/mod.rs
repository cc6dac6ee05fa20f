//! How well recorded speech is understood: cases with a known truth → verdicts, counts and intervals.
//!
//! ```text
//! folders ──► case ──► hear ──► align ──► verdict ──► tally ──► report
//!             truth    the path of `couchside hear`   counts    text or JSON
//! ```
//! Reading a case is lenient, judging it is strict. DEVELOPERS.md says what each verdict means.

mod align;
mod by_group;
mod case;
mod case_file;
mod claim;
mod content;
mod each;
mod error;
mod evidence;
mod fields;
mod find;
mod interval;
mod judged;
mod latency;
mod readers;
mod report;
mod run;
mod table;
mod tally;
mod teach;
mod text;
mod transcripts;
mod verdict;

pub use align::{Group, Span, align};
pub use case::{Case, Conditions, Truth};
pub use claim::Claim;
pub use content::{content, same};
pub use error::EvaluateError;
pub use evidence::Evidence;
pub use find::find;
pub use interval::wilson;
pub use judged::{Class, Judged, judge_case};
pub use report::Report;
pub use run::{HeardUtterance, Run, Unread, Watch, evaluate};
pub use teach::teach;
pub use transcripts::read_transcripts;
pub use verdict::{Judgement, Verdict, judge};
