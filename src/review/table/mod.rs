//! Findings as a table for other programs: one row each, columns that are described.

mod columns;
mod csv;
mod csvw;

pub use columns::{COLUMNS, Column, Datatype};
pub use csv::CsvFile;
pub use csvw::csvw;
