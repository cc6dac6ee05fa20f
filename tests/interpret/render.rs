//! A finding → how it may be said, with the first wording that the vocabulary has for each value.

use std::fs;
use std::path::Path;

use couchside::finding::{Finding, Pain};
use serde_json::Value;

/// A file of the grammar.
fn file(name: &str) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("grammars").join(name);
    toml::from_str(&fs::read_to_string(path).unwrap()).unwrap()
}

fn text(value: &Value) -> String {
    value.as_str().unwrap().to_string()
}

/// The values of a list and the first wording of each; `slot` picks a list of a file that has several.
pub fn values(name: &str, slot: Option<&str>) -> Vec<(String, String)> {
    let file = file(name);
    let lists = file["list"].as_array().into_iter().flatten();
    let list = match slot {
        Some(slot) => lists.clone().find(|list| list["slot"] == slot).unwrap(),
        None => &file,
    };
    let values = list["value"].as_array().unwrap().iter();
    values
        .map(|value| (text(&value["is"]), text(&value["said"][0])))
        .collect()
}

/// A joint's movements: name, first wording, reach.
pub fn movements(joint: &str) -> Vec<(String, String, [i32; 2])> {
    let file = file(&format!("joints/{joint}.toml"));
    let movements = file["movement"].as_array().unwrap().iter();
    let reach = |movement: &Value| [0, 1].map(|at| movement["reach"][at].as_i64().unwrap() as i32);
    movements
        .map(|m| (text(&m["is"]), text(&m["said"][0]), reach(m)))
        .collect()
}

/// The words of the filler file.
pub fn fillers() -> Vec<String> {
    let file = file("fillers.toml");
    ["heard", "words"]
        .iter()
        .flat_map(|key| file[key].as_array().unwrap().iter().map(text))
        .collect()
}

fn wording(name: &str, slot: Option<&str>, value: &str) -> String {
    let found = values(name, slot).into_iter().find(|(is, _)| is == value);
    found.unwrap_or_else(|| panic!("{name} has no value {value}")).1
}

fn signed(number: i32) -> String {
    if number < 0 {
        format!("minus {}", -number)
    } else {
        number.to_string()
    }
}

/// The fragments that say the finding, in any order.
pub fn fragments(finding: &Finding) -> Vec<String> {
    let json = serde_json::to_value(finding).unwrap();
    let mut said = Vec::new();
    let mut list = |field: &str, file: &str, frame: &str| {
        if let Some(value) = json[field].as_str() {
            said.push(frame.replace("{}", &wording(file, None, value)));
        }
    };
    list("side", "sides.toml", "{}");
    list("mode", "modes.toml", "{}");
    list("range", "ranges.toml", "{} range");
    list("power", "powers.toml", "{}");
    list("end_feel", "end-feels.toml", "{} end feel");
    said.extend(finding.joint.clone());
    if let (Some(joint), Some(name)) = (&finding.joint, &finding.movement) {
        said.extend(
            movements(joint)
                .into_iter()
                .filter(|(is, ..)| is == name)
                .map(|(_, first, _)| first),
        );
    }
    if let Some(degrees) = &finding.degrees {
        let from = degrees
            .from
            .map_or(String::new(), |from| format!("{} to ", signed(from)));
        said.push(format!("{from}{} degrees", signed(degrees.to)));
    }
    if let Some(grade) = &finding.strength {
        said.push(format!(
            "grade {}",
            grade.replace('+', " plus").replace('-', " minus")
        ));
    }
    said.extend(finding.pain.as_ref().map(pain));
    said.extend(finding.signs.iter().map(|sign| wording("signs.toml", None, sign)));
    said
}

/// Pain is said in one piece: "throughout" beside a sign would be the sign's.
fn pain(pain: &Pain) -> String {
    let mut said = vec![if pain.felt {
        "painful".to_string()
    } else {
        "pain free".to_string()
    }];
    if let Some(arc) = &pain.arc {
        said = vec![format!(
            "painful arc {} to {} degrees",
            signed(arc.from),
            signed(arc.to)
        )];
    }
    said.extend(pain.score.map(|score| format!("{score} out of ten")));
    said.extend(
        pain.when
            .as_ref()
            .map(|when| wording("pain.toml", Some("pain when"), when)),
    );
    said.join(" ")
}
