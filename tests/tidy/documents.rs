//! What the documents name is there.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;
use std::process::Command;

use regex::Regex;

use super::{root, under};

/// What is set as code in a Markdown text: in line, and in blocks.
fn code(text: &str) -> Vec<String> {
    let spans = Regex::new("`([^`\\n]+)`").unwrap();
    let mut code: Vec<String> = spans
        .captures_iter(text)
        .map(|span| span[1].to_string())
        .collect();
    code.extend(
        text.lines()
            .filter_map(|line| line.strip_prefix("    "))
            .map(str::to_string),
    );
    code
}

#[test]
fn every_path_that_the_documents_name_is_there() {
    let top: BTreeSet<String> = fs::read_dir(root())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into())
        .collect();
    let link = Regex::new(r"\]\(([^)#:]+)(?:#[^)]*)?\)").unwrap();
    let mut missing = Vec::new();
    let mut checked = 0;
    for (name, text) in under("", ".md") {
        let here = root().join(&name).parent().unwrap().to_path_buf();
        let mut named: Vec<PathBuf> = link
            .captures_iter(&text)
            .map(|link| here.join(&link[1]))
            .collect();
        for span in code(&text) {
            let path = span.trim_end_matches('/');
            let first = path.split('/').next().unwrap_or_default();
            let is_path = path.contains('/') && top.contains(first) && !path.contains([' ', '*', '<', '…']);
            if is_path && !["target", ".cache", ".tools"].contains(&first) {
                named.push(root().join(path));
            }
        }
        checked += named.len();
        missing.extend(
            named
                .into_iter()
                .filter(|path| !path.exists())
                .map(|path| format!("{name}: {path:?}")),
        );
    }
    assert!(checked > 50, "{checked} paths");
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}

#[test]
fn every_command_that_the_documents_name_is_there() {
    let help = |words: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_couchside"))
            .args(words)
            .arg("--help")
            .output()
            .unwrap();
        output
            .status
            .success()
            .then(|| String::from_utf8(output.stdout).unwrap())
    };
    let makefile = fs::read_to_string(root().join("Makefile")).unwrap();
    let ours =
        Regex::new(r"^(?:target/release/)?couchside ([a-z]+)(?: (new|verify|list|check|add|adapt|say|words|export|size|draw|show|edit|merge|remove|sign|due|backup|restore|rebuild|passphrase|import|play|save|erase|fhir|csv|read)\b)?([^|;&#]*)")
            .unwrap();
    let option = Regex::new(r"(?:^| )(--[a-z][a-z-]*)").unwrap();
    let made = Regex::new(r"^make ([a-z-]+)").unwrap();
    let mut checked = 0;
    for (name, text) in under("", ".md") {
        for span in code(&text) {
            if let Some(target) = made.captures(&span) {
                assert!(
                    makefile.contains(&format!("\n{}:", &target[1])),
                    "{name}: `{span}`: no such target"
                );
                checked += 1;
            }
            if let Some(command) = ours.captures(&span).filter(|command| &command[1] != "help") {
                let words: Vec<&str> = [command.get(1), command.get(2)]
                    .into_iter()
                    .flatten()
                    .map(|word| word.as_str())
                    .collect();
                let help = help(&words).unwrap_or_else(|| panic!("{name}: `{span}`: no such command"));
                for given in option
                    .captures_iter(&command[3])
                    .filter(|given| &given[1] != "--help")
                {
                    assert!(
                        help.contains(&given[1]),
                        "{name}: `{span}`: no option {}",
                        &given[1]
                    );
                }
                checked += 1;
            }
        }
    }
    assert!(checked > 20, "{checked} commands");
}
