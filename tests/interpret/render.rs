//! A finding → how it may be said, with the first wording that the vocabulary has for each value.

use std::collections::HashMap;
use std::fs;
use std::path::Path;
use std::sync::{Mutex, OnceLock};

use couchside::finding::{Finding, Kind, Pain};
use serde_json::Value;

/// A file of the grammar; each is read once and kept.
fn file(name: &str) -> &'static Value {
    static READ: OnceLock<Mutex<HashMap<String, &'static Value>>> = OnceLock::new();
    let mut read = READ.get_or_init(Mutex::default).lock().unwrap();
    let parse = || -> &'static Value {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("grammars").join(name);
        Box::leak(Box::new(
            toml::from_str(&fs::read_to_string(path).unwrap()).unwrap(),
        ))
    };
    read.entry(name.to_string()).or_insert_with(parse)
}

/// The entries under `key` in every file of a folder.
fn entries(folder: &str, key: &str) -> &'static [&'static Value] {
    static READ: OnceLock<Mutex<HashMap<String, &'static [&'static Value]>>> = OnceLock::new();
    let mut read = READ.get_or_init(Mutex::default).lock().unwrap();
    let parse = || -> &'static [&'static Value] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("grammars")
            .join(folder);
        let mut names: Vec<String> = fs::read_dir(path)
            .unwrap()
            .map(|entry| format!("{folder}/{}", entry.unwrap().file_name().to_string_lossy()))
            .collect();
        names.sort();
        let all = names.iter().map(|name| file(name));
        let entries = all.flat_map(|file| match &file[key] {
            Value::Array(entries) => entries.iter().collect(),
            _ => vec![file],
        });
        Box::leak(entries.collect::<Vec<_>>().into_boxed_slice())
    };
    read.entry(folder.to_string()).or_insert_with(parse)
}

/// A text, or the words of a wording that has a weight.
fn text(value: &Value) -> String {
    let words = value.get("say").unwrap_or(value);
    words.as_str().unwrap().to_string()
}

/// The values of a list and the first wording of each; `slot` picks a list of a file that has several.
pub fn values(name: &str, slot: Option<&str>) -> Vec<(String, String)> {
    let file = file(name);
    let lists = file["list"].as_array().into_iter().flatten();
    let list = match slot {
        Some(slot) => lists.clone().find(|list| list["slot"] == slot).unwrap(),
        None => file,
    };
    let values = list["value"].as_array().unwrap().iter();
    values
        .map(|value| (text(&value["is"]), plain(&text(&value["said"][0]))))
        .collect()
}

/// A movement as the vocabulary has it.
#[derive(Clone, Debug)]
pub struct Movement {
    pub joint: String,
    pub name: String,
    pub reach: [i32; 2],
    pub sided: bool,
    pub tricks: Vec<String>,
}

/// Every movement of every joint.
pub fn movements() -> Vec<Movement> {
    let mut all = Vec::new();
    for joint in entries("joints", "joints") {
        for movement in joint["movement"].as_array().unwrap() {
            let sided = movement["sided"].as_bool().or(joint["sided"].as_bool());
            all.push(Movement {
                joint: text(&joint["joint"]),
                name: text(&movement["is"]),
                reach: [0, 1].map(|at| movement["reach"][at].as_i64().unwrap() as i32),
                sided: sided.unwrap(),
                tricks: movement["tricks"]
                    .as_array()
                    .into_iter()
                    .flatten()
                    .map(text)
                    .collect(),
            });
        }
    }
    all
}

/// A muscle or a test: its name, whether it has a side, what it is measured in.
#[derive(Clone, Debug)]
pub struct Named {
    pub name: String,
    pub sided: bool,
    pub scale: Option<String>,
}

/// Every muscle (`"muscles"`, `"muscle"`) or test (`"tests"`, `"test"`) that has a wording of its own: one that names no
/// other, nor begins the name of a thing of the other kind ("adductor squeeze", a muscle test and a named one).
pub fn named(folder: &str, key: &str) -> Vec<Named> {
    let all = entries(folder, key);
    let (other_folder, other_key) = if key == "test" {
        ("muscles", "muscle")
    } else {
        ("tests", "test")
    };
    let of_the_other = |said: &str| {
        let others = entries(other_folder, other_key).iter();
        others
            .flat_map(|other| wordings(other))
            .any(|other| other.starts_with(said) || said.starts_with(&other))
    };
    let own = |entry: &&&Value| {
        first_wording(entry).is_some_and(|said| {
            let same = |other: &&&Value| wordings(other).contains(&said);
            all.iter().filter(same).count() == 1 && !of_the_other(&said)
        })
    };
    all.iter()
        .filter(own)
        .map(|entry| Named {
            name: text(&entry["is"]),
            sided: entry["sided"].as_bool().unwrap_or(true),
            scale: entry["scale"].as_str().map(str::to_string),
        })
        .collect()
}

fn wordings(entry: &Value) -> Vec<String> {
    let lists = [&entry["said"], &entry["said_whole"]];
    lists
        .iter()
        .filter_map(|list| list.as_array())
        .flatten()
        .map(text)
        .collect()
}

fn first_wording(entry: &Value) -> Option<String> {
    wordings(entry).into_iter().next()
}

/// The plainest sentence of a wording: without what may be left out, the first of each choice.
fn plain(wording: &str) -> String {
    let (mut said, mut depth, mut choice) = (String::new(), 0, 0);
    for letter in wording.chars() {
        match letter {
            '[' => depth += 1,
            ']' => depth -= 1,
            '(' => choice = 1,
            ')' => choice = 0,
            '|' if choice > 0 => choice = 2,
            letter if depth == 0 && choice < 2 => said.push(letter),
            _ => {}
        }
    }
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// How the entry with this name is said.
fn said(folder: &str, key: &str, name: &str) -> String {
    let all = entries(folder, key);
    let found = all.iter().find(|entry| entry["is"] == name).unwrap();
    plain(&first_wording(found).unwrap())
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
    let mut said: Vec<String> = Vec::new();
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
    if let Some(name) = &finding.joint {
        let joints = entries("joints", "joints");
        let joint = joints.iter().find(|joint| joint["joint"] == *name).unwrap();
        said.push(text(&joint["said"][0]));
        let movements = joint["movement"].as_array().unwrap().iter();
        let named = movements.filter(|movement| Some(&text(&movement["is"])) == finding.movement.as_ref());
        said.extend(named.map(|movement| text(&movement["said"][0])));
    }
    said.extend(
        finding
            .muscle
            .as_ref()
            .map(|name| self::said("muscles", "muscle", name)),
    );
    said.extend(
        finding
            .test
            .as_ref()
            .map(|name| self::said("tests", "test", name)),
    );
    said.extend(
        finding
            .structure
            .as_ref()
            .map(|name| wording("structures.toml", None, name)),
    );
    said.extend(
        finding
            .result
            .as_ref()
            .map(|name| wording("results.toml", None, name)),
    );
    said.extend(finding.laxity.map(|grade| format!("grade {grade}")));
    if finding.kind == Kind::Girth {
        let (part, level) = finding.level.as_deref().unwrap().split_once(", ").unwrap();
        said.push(format!("{part} girth"));
        said.push(format!("at {}", level.replace("cm", "centimetres")));
        said.push(format!("{} centimetres", finding.girth_cm.unwrap()));
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
    said.extend(
        finding
            .signs
            .iter()
            .map(|sign| format!("with {}", wording("signs.toml", None, sign))),
    );
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
