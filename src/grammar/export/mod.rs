//! The grammar in the standard forms that other recognisers read: SRGS 1.0 (XML form) and JSGF 1.0.
//!
//! Both hold the same rules: one for each place of a finding, one for each kind of number, and a public rule that is a
//! control word or parts in any order. They say which words may follow each other. That no part is said twice, and
//! that a movement belongs to its joint, they do not say: neither form can without writing every order out.

mod jsgf;
mod rules;
mod srgs;

pub use jsgf::jsgf;
pub use srgs::srgs;

/// Why the public rule takes more than the program does, for the head of a file.
const REMARK: &str = "Parts may be said in any order; that no part is said twice is not written here. \
                      Numbers are spoken words; free words after a note are left out.";
