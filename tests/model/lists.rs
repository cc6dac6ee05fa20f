//! The lists of models agree with each other.

use couchside::hear::model::catalogue::{default_model, models};

#[test]
fn one_model_is_the_default() {
    assert_eq!(models().iter().filter(|model| model.default).count(), 1);
    assert_eq!(default_model().name, "tiny.en-joints");
}

#[test]
fn pip_is_given_the_wheels_of_the_catalogue_and_no_others() {
    for model in models().iter().filter(|model| model.adapted.is_none()) {
        let path = format!("{}/models-readme/{}.txt", env!("CARGO_MANIFEST_DIR"), model.name);
        let pins = std::fs::read_to_string(&path).unwrap();
        let pinned: Vec<&str> = pins.lines().filter(|line| !line.starts_with('#')).collect();
        let listed: Vec<String> = model
            .package
            .iter()
            .map(|package| {
                format!(
                    "{}=={} --hash=sha256:{}",
                    package.name, package.version, package.wheel_sha256
                )
            })
            .collect();
        assert_eq!(pinned, listed, "{path}");
    }
}

#[test]
fn the_page_names_every_model_with_its_digest() {
    let page = include_str!("../../models-readme/README.md");
    for model in models() {
        let row = page
            .lines()
            .find(|line| line.starts_with(&format!("| `{}`", model.name)))
            .unwrap();
        assert!(row.contains(&model.sha1), "{}", model.name);
        assert!(
            row.contains(&format!("{:.1} MB", model.bytes as f64 / 1e6)),
            "{}",
            model.name
        );
        assert!(row.contains(&model.licence), "{}", model.name);
        assert_eq!(
            model.package.is_empty(),
            model.adapted.is_some(),
            "{}",
            model.name
        );
        for package in &model.package {
            assert!(
                page.contains(&format!("`{}` {}", package.name, package.version)),
                "{}",
                package.name
            );
        }
    }
}
