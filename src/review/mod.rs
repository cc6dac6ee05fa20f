//! Record → people: the case drawn for reading, and what they search for.

pub mod amendment;
mod case_table;
pub mod compare;
pub mod document;
pub mod draw;
pub mod fhir;
mod fields;
pub mod hints;
mod history;
pub mod progress;
mod query;
pub mod report;
pub mod rows;
pub mod sftr;
pub mod table;

pub use case_table::{case_table, day, visit_text};
pub use fields::fields;
pub use history::{history_text, when};
pub use query::{limit_in_words, query};
