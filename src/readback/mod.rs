//! Reading → confirmed finding: each finding is said back, and only a spoken confirmation lets it into the record.

mod settle;

pub use settle::{Confirmed, Proposal, Settle, Step};
