//! Record → people: the case drawn for reading.

mod case_table;

pub use case_table::case_table;
