//! Record → people: the case drawn for reading.

mod case_table;
mod fields;

pub use case_table::case_table;
pub use fields::fields;
