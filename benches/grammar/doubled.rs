//! A vocabulary twice as large: every joint, muscle, test and value of an open list again under other words.

use std::path::Path;

use toml::Value;

/// Lists whose values have fixed names, and files that are no lists of names.
const KEPT: [&str; 8] = [
    "sides",
    "as-side",
    "other-side",
    "modes",
    "controls",
    "palpation",
    "end-feels",
    "ranges",
];

/// Writes the grammar of `from` into `to`, doubled.
pub fn write(from: &Path, to: &Path) {
    for entry in std::fs::read_dir(from).expect("the grammar is there") {
        let path = entry.expect("it can be read").path();
        let name = path.file_name().expect("a file has a name").to_os_string();
        if path.is_dir() {
            std::fs::create_dir_all(to.join(&name)).expect("a folder can be made");
            write(&path, &to.join(&name));
            continue;
        }
        // The rest, such as the pronouncing dictionary, is as large for any vocabulary.
        if path.extension().is_none_or(|kind| kind != "toml") {
            std::fs::copy(&path, to.join(&name)).expect("it can be copied");
            continue;
        }
        let text = std::fs::read_to_string(&path).expect("it is text");
        let stem = path
            .file_stem()
            .expect("a file has a name")
            .to_string_lossy()
            .into_owned();
        let mut file: Value = match toml::from_str(&text) {
            Ok(file) => file,
            Err(_) => continue,
        };
        let inside = |folder: &str| from.ends_with(folder);
        if inside("joints") {
            let twin = to.join(format!("{stem}-twin.toml"));
            let mut twice = file.clone();
            rename(&mut twice, "joint");
            std::fs::write(twin, toml::to_string(&twice).expect("it is TOML")).expect("it can be written");
        }
        for (list, name) in [("muscle", "is"), ("test", "is"), ("value", "is")] {
            if list == "value" && KEPT.contains(&stem.as_str()) {
                continue;
            }
            if let Some(entries) = file.get_mut(list).and_then(Value::as_array_mut) {
                let mut twins = entries.clone();
                twins.iter_mut().for_each(|twin| rename(twin, name));
                entries.extend(twins);
            }
        }
        std::fs::write(to.join(&name), toml::to_string(&file).expect("it is TOML"))
            .expect("it can be written");
    }
}

/// Another name, said in other words.
fn rename(entry: &mut Value, name: &str) {
    let Some(table) = entry.as_table_mut() else { return };
    if let Some(Value::String(name)) = table.get_mut(name) {
        name.push_str(" twin");
    }
    for key in ["said", "said_whole"] {
        if let Some(Value::Array(said)) = table.get_mut(key) {
            for wording in said {
                // Words, or words with a weight.
                let words = match wording {
                    Value::Table(weighted) => weighted.get_mut("say"),
                    words => Some(words),
                };
                if let Some(Value::String(words)) = words {
                    words.push_str(" twin");
                }
            }
        }
    }
    table.remove("wording");
    table.remove("finding_words");
}
