//! An utterance on one line.

use std::fmt::{self, Display, Formatter};

use super::claim::Claim;
use super::content::line;
use super::report::UtteranceReport;
use super::table::{label, name, plain};

impl Display for UtteranceReport {
    /// One line: the case, the verdict, the words said and heard, what was meant and what was understood.
    fn fmt(&self, to: &mut Formatter<'_>) -> fmt::Result {
        let parts = [
            format!("{} {}", self.case, self.utterance),
            label(self.class, self.verdict),
            format!("said: {}", self.said),
            format!("heard: {}", self.heard.join(" / ")),
            format!("meant: {}", claim(&self.meant)),
            format!("understood: {}", claim(&self.understood)),
        ];
        write!(to, "{}", plain(&parts.join(" | ")))
    }
}

fn claim(claim: &Claim) -> String {
    let controls = claim.controls.iter().map(name);
    let findings = claim
        .findings
        .iter()
        .map(|finding| format!("[{}]", line(finding)));
    let unclear = claim.unclear.then(|| "say again?".to_string());
    let all: Vec<String> = controls.chain(findings).chain(unclear).collect();
    if all.is_empty() {
        "nothing".into()
    } else {
        all.join(" ")
    }
}
