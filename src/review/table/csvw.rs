//! What the columns of a CSV file mean, as CSV on the Web (W3C) describes it: a JSON file beside.

use serde_json::{Value, json};

use super::columns::{COLUMNS, Datatype};

/// The description of the table in the file `name`.
pub fn csvw(name: &str) -> Value {
    let columns = COLUMNS.iter().map(|column| {
        let mut described = json!({
            "name": column.name,
            "titles": column.name,
            "dc:description": column.about,
            "datatype": match column.datatype {
                Datatype::Text | Datatype::Word => "string",
                Datatype::Integer => "integer",
                Datatype::Decimal => "decimal",
                Datatype::Boolean => "boolean",
                Datatype::Date => "date",
                Datatype::Moment => "dateTime",
            },
            "required": column.required,
        });
        if let Some(unit) = column.unit {
            described["dc:format"] = json!(format!("UCUM unit {unit}"));
        }
        described
    });
    json!({
        "@context": ["http://www.w3.org/ns/csvw", { "@language": "en" }],
        "url": name,
        "dc:title": "Findings of joint examinations, one row each",
        "dialect": { "encoding": "utf-8", "lineTerminators": "\r\n", "header": true },
        "tableSchema": { "columns": columns.collect::<Vec<_>>(), "primaryKey": "finding" },
    })
}
