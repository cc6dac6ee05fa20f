//! Findings that were recorded, found by their fields, their numbers and their words.

use rusqlite::types::Value as Sql;
use rusqlite::{Row, params_from_iter};
use serde::Serialize;
use serde_json::{Map, Value};

use super::project::from_json;
use super::{Record, RecordError};
use crate::finding::{Finding, Kind, Side, word_of};

/// What findings must be like; all of it holds.
#[derive(Clone, Debug, Default)]
pub struct Wanted {
    /// What is set in it must be the same, and a list hold these among others; the kind counts only where it is another than that
    /// of a movement.
    pub finding: Option<Finding>,
    pub limits: Vec<Limit>,
    /// Words and phrases of what was heard or noted; words count in every form and as beginnings.
    pub texts: Vec<String>,
    /// A client's code.
    pub client: Option<String>,
    /// Local dates of the visit, ISO 8601; both are within.
    pub from: Option<String>,
    pub to: Option<String>,
}

/// A number that must be below, above or at a value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    pub of: Measure,
    pub is: Comparison,
    pub value: f64,
}

/// What number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// The end of the range, in degrees.
    Degrees,
    /// Pain, 0 to 10.
    Score,
    /// Strength, 0 to 5; a plus is a third more, a minus a third less.
    Grade,
    /// In centimetres.
    Girth,
    /// Degrees between this side and the other, of the same movement in the same visit.
    Difference,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Comparison {
    Below,
    AtMost,
    Equal,
    AtLeast,
    Above,
}

/// A finding that was found. The serialised form is what `couchside search --json` prints.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Hit {
    /// The client's code.
    pub client: String,
    /// Local date of the visit, ISO 8601.
    pub date: String,
    /// The finding's number in the record.
    pub id: i64,
    pub finding: Finding,
    /// The words that it was read from.
    pub heard: String,
    /// The same with what was looked for as text between `[` and `]`.
    pub marked: String,
    /// When it was confirmed: UTC, RFC 3339.
    pub at: String,
}

const COLUMNS: &str = "SELECT f.id, c.code, v.id, v.date, f.finding, f.heard, f.at";
const JOINED: &str = "JOIN visits AS v ON v.id = f.visit JOIN clients AS c ON c.id = v.client
     WHERE f.withdrawn IS NULL AND (?1 IS NULL OR c.id = (SELECT coalesce(merged, id) FROM clients WHERE code = ?1))
       AND (?2 IS NULL OR v.date >= ?2) AND (?3 IS NULL OR v.date <= ?3)";

impl Record {
    /// Everything that is as wanted: what fits the words best first, else the latest first.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn search(&self, wanted: &Wanted) -> Result<Vec<Hit>, RecordError> {
        // One reading transaction: the other side is of the same moment.
        let tx = self.conn.unchecked_transaction()?;
        let fields = fields(wanted.finding.as_ref());
        let mut values: Vec<Sql> = [&wanted.client, &wanted.from, &wanted.to]
            .into_iter()
            .map(|value| value.clone().map_or(Sql::Null, Sql::Text))
            .collect();
        let subject = by_subject(&fields, &wanted.limits, &mut values);
        let by_words = match subject.is_empty() {
            true => terms(&fields, &wanted.texts),
            false => terms(&Map::new(), &wanted.texts),
        };
        let sql = match by_words.is_empty() {
            true => format!(
                "{COLUMNS}, f.heard FROM findings AS f {JOINED} {subject} ORDER BY f.at DESC, f.id DESC"
            ),
            false => {
                values.push(Sql::Text(by_words));
                format!(
                    "{COLUMNS}, highlight(findings_words, 0, '[', ']') FROM findings_words AS w JOIN findings AS f ON f.id = w.rowid
                     {JOINED} {subject} AND findings_words MATCH ?{} ORDER BY {}",
                    values.len(),
                    if wanted.texts.is_empty() { "f.at DESC, f.id DESC" } else { "w.rank, f.at DESC, f.id DESC" }
                )
            }
        };
        let mut statement = tx.prepare(&sql)?;
        let mut rows = statement.query(params_from_iter(values))?;
        let mut hits = Vec::new();
        while let Some(row) = rows.next()? {
            let (visit, hit) = hit(row)?;
            let value = serde_json::to_value(&hit.finding).unwrap_or_default();
            let has_fields = fields
                .iter()
                .all(|(name, asked)| value.get(name).is_some_and(|kept| holds(name, kept, asked)));
            let mut within = has_fields;
            for limit in wanted.limits.iter().filter(|_| has_fields) {
                within &= self
                    .measured(limit.of, visit, &hit.finding)?
                    .is_some_and(|number| limit.allows(number));
            }
            if within {
                hits.push(hit);
            }
        }
        Ok(hits)
    }

    fn measured(&self, of: Measure, visit: i64, finding: &Finding) -> Result<Option<f64>, RecordError> {
        let degrees = |finding: &Finding| finding.degrees.as_ref().map(|degrees| f64::from(degrees.to));
        Ok(match of {
            Measure::Degrees => degrees(finding),
            Measure::Score => finding.pain.as_ref().and_then(|pain| pain.score).map(f64::from),
            Measure::Grade => finding.strength.as_deref().and_then(grade),
            Measure::Girth => finding.girth_cm,
            Measure::Difference => {
                let (Some(here), Some(side)) = (degrees(finding), finding.side.and_then(Side::opposite))
                else {
                    return Ok(None);
                };
                let sql =
                    "SELECT finding FROM findings WHERE visit = ?1 AND withdrawn IS NULL ORDER BY id DESC";
                let mut others = self.conn.prepare_cached(sql)?;
                let mut rows = others.query([visit])?;
                let mut there = None;
                while let (None, Some(row)) = (there, rows.next()?) {
                    let other: Finding = from_json(&row.get::<_, String>(0)?)?;
                    let same = other.joint == finding.joint
                        && other.movement == finding.movement
                        && other.mode == finding.mode
                        && other.side == Some(side);
                    there = degrees(&other).filter(|_| same);
                }
                there.map(|there: f64| (here - there).abs())
            }
        })
    }
}

impl Limit {
    fn allows(&self, number: f64) -> bool {
        match self.is {
            Comparison::Below => number < self.value,
            Comparison::AtMost => number <= self.value,
            Comparison::Equal => number == self.value,
            Comparison::AtLeast => number >= self.value,
            Comparison::Above => number > self.value,
        }
    }
}

fn hit(row: &Row<'_>) -> Result<(i64, Hit), RecordError> {
    Ok((
        row.get(2)?,
        Hit {
            id: row.get(0)?,
            client: row.get(1)?,
            date: row.get(3)?,
            finding: from_json(&row.get::<_, String>(4)?)?,
            heard: row.get(5)?,
            at: row.get(6)?,
            marked: row.get(7)?,
        },
    ))
}

fn fields(finding: Option<&Finding>) -> Map<String, Value> {
    let value = finding.and_then(|finding| serde_json::to_value(finding).ok());
    let Some(Value::Object(mut fields)) = value else {
        return Map::new();
    };
    if finding.is_some_and(|finding| finding.kind == Kind::Movement) {
        fields.remove("kind");
    }
    fields
}

/// What was examined, in the terms of the index `findings_by_subject`; nothing if that is not asked for. It lets through no less
/// than what is wanted.
fn by_subject(fields: &Map<String, Value>, limits: &[Limit], values: &mut Vec<Sql>) -> String {
    let text = |name: &str| fields.get(name)?.as_str().map(str::to_owned);
    let Some(subject) = ["movement", "muscle", "test", "structure"]
        .into_iter()
        .find_map(text)
    else {
        return String::new();
    };
    let mut sql = String::new();
    let mut also = |condition: &str, value: Sql| {
        values.push(value);
        sql += &format!(" AND {}", condition.replace('?', &format!("?{}", values.len())));
    };
    let of = |name: &str| format!("json_extract(f.finding, '$.{name}')");
    let examined = ["movement", "muscle", "test", "structure"].map(of).join(", ");
    also(&format!("coalesce({examined}) = ?"), Sql::Text(subject));
    for name in ["joint", "mode"] {
        if let Some(value) = text(name) {
            also(&format!("{} = ?", of(name)), Sql::Text(value));
        }
    }
    if let Some(side) = text("side") {
        also(
            &format!("{} IN (?, '{}')", of("side"), word_of(Side::Both)),
            Sql::Text(side),
        );
    }
    for limit in limits.iter().filter(|limit| limit.of == Measure::Degrees) {
        let is = match limit.is {
            Comparison::Below => "<",
            Comparison::AtMost => "<=",
            Comparison::Equal => "=",
            Comparison::AtLeast => ">=",
            Comparison::Above => ">",
        };
        also(&format!("{} {is} ?", of("degrees.to")), Sql::Real(limit.value));
    }
    sql
}

/// What the index must hold, in FTS5's language; it lets through no less than what is wanted.
fn terms(fields: &Map<String, Value>, texts: &[String]) -> String {
    let quoted = |text: &str| format!("\"{}\"", text.replace('"', "\"\""));
    let mut terms = Vec::new();
    for (name, value) in fields {
        for text in strings(value) {
            terms.push(match name.as_str() {
                // A finding of both sides is one of each.
                "side" => format!("finding : ({} OR {})", quoted(text), quoted(&word_of(Side::Both))),
                _ => format!("finding : {}", quoted(text)),
            });
        }
    }
    terms.extend(texts.iter().map(|text| format!("{} *", quoted(text))));
    terms.join(" AND ")
}

fn strings(value: &Value) -> Vec<&str> {
    match value {
        Value::String(text) => vec![text],
        Value::Array(items) => items.iter().flat_map(strings).collect(),
        Value::Object(fields) => fields.values().flat_map(strings).collect(),
        _ => Vec::new(),
    }
}

/// Whether what was kept is what is asked for, or holds it among others.
fn holds(name: &str, kept: &Value, asked: &Value) -> bool {
    match (kept, asked) {
        (Value::Object(kept), Value::Object(asked)) => asked
            .iter()
            .all(|(name, asked)| kept.get(name).is_some_and(|kept| holds(name, kept, asked))),
        (Value::Array(kept), Value::Array(asked)) => asked.iter().all(|one| kept.contains(one)),
        _ => kept == asked || (name == "side" && *kept == word_of(Side::Both)),
    }
}

/// A grade of strength as a number.
fn grade(grade: &str) -> Option<f64> {
    let whole: f64 = grade.trim_end_matches(['+', '-']).parse().ok()?;
    Some(match grade.chars().last() {
        Some('+') => whole + 1.0 / 3.0,
        Some('-') => whole - 1.0 / 3.0,
        _ => whole,
    })
}
