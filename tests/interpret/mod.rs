//! Understanding text: cases as data, spoken numbers, properties, and the command that prints it.

mod cases;
mod command;
mod numbers;
mod properties;
mod render;

use std::sync::{Arc, OnceLock};

use couchside::grammar::Grammar;
use couchside::interpret::Interpreter;
use jsonschema::Validator;
use serde_json::Value;

/// The grammar that the program carries, loaded once.
fn grammar() -> Arc<Grammar> {
    static GRAMMAR: OnceLock<Arc<Grammar>> = OnceLock::new();
    let load = || Arc::new(Grammar::carried().unwrap_or_else(|error| panic!("{error}")));
    GRAMMAR.get_or_init(load).clone()
}

fn interpreter() -> Interpreter {
    Interpreter::new(grammar())
}

/// The published form of a finding.
fn schema() -> &'static Validator {
    static SCHEMA: OnceLock<Validator> = OnceLock::new();
    SCHEMA.get_or_init(|| {
        let schema: Value = serde_json::from_str(include_str!("../finding.schema.json")).unwrap();
        jsonschema::validator_for(&schema).unwrap()
    })
}

/// Every finding of an outcome follows the published form.
fn assert_valid(outcome: &Value, of: &str) {
    for finding in outcome["findings"].as_array().into_iter().flatten() {
        let faults: Vec<String> = schema()
            .iter_errors(finding)
            .map(|fault| fault.to_string())
            .collect();
        assert!(faults.is_empty(), "{of}: {finding}: {faults:?}");
    }
}
