//! Findings that were recorded, found by their fields, their numbers and their words.

use std::ops::ControlFlow;

use rusqlite::types::Value as Sql;
use rusqlite::{Connection, OptionalExtension, Row, Transaction, TransactionBehavior, params_from_iter};
use serde::Serialize;
use serde_json::{Map, Value};

use super::project::from_json;
use super::{Record, RecordError, index};
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

/// More matches than this are not ranked but given latest first: to rank them all would be waited for.
const RANKED: i64 = 200;

/// A finding that may be a hit, unless its client, date or whether it was taken back speak against it.
const CANDIDATE: &str = "SELECT f.id, c.code, v.id, v.date, f.finding, f.heard, f.at
     FROM findings AS f JOIN visits AS v ON v.id = f.visit JOIN clients AS c ON c.id = v.client
     WHERE f.id = ?1 AND f.withdrawn IS NULL AND (?2 IS NULL OR v.date >= ?2) AND (?3 IS NULL OR v.date <= ?3)";
const OF_CLIENT: &str = "SELECT f.id AS id FROM visits AS v JOIN findings AS f ON f.visit = v.id
     WHERE v.client = (SELECT coalesce(merged, id) FROM clients WHERE code = ?)";

impl Record {
    /// Hands everything that is as wanted to `each`, until that has enough: what fits the words best first, unless that is very
    /// much, else what was recorded last first.
    ///
    /// # Errors
    /// The record cannot be read, or what is new cannot be taken into its index.
    pub fn search(
        &self,
        wanted: &Wanted,
        mut each: impl FnMut(Hit) -> ControlFlow<()>,
    ) -> Result<(), RecordError> {
        if index::is_behind(&self.conn)? {
            let tx = Transaction::new_unchecked(&self.conn, TransactionBehavior::Immediate)?;
            index::catch_up(&tx)?;
            tx.commit()?;
        }
        // One reading transaction: the other side is of the same moment.
        let tx = self.conn.unchecked_transaction()?;
        let fields = fields(wanted.finding.as_ref());
        let (sql, values) = candidates(&tx, wanted, &fields)?;
        let mut candidates = tx.prepare_cached(&sql)?;
        let mut candidates = candidates.query(params_from_iter(values))?;
        let mut candidate = tx.prepare_cached(CANDIDATE)?;
        while let Some(row) = candidates.next()? {
            let (id, marked): (i64, Option<String>) = (row.get(0)?, row.get(1)?);
            let found = candidate
                .query_row((id, &wanted.from, &wanted.to), |row| Ok(hit(row)))
                .optional()?
                .transpose()?;
            let Some((visit, mut hit)) = found else { continue };
            hit.marked = marked.unwrap_or_else(|| hit.heard.clone());
            if self.is_wanted(wanted, &fields, visit, &hit.finding)? && each(hit).is_break() {
                break;
            }
        }
        Ok(())
    }

    fn is_wanted(
        &self,
        wanted: &Wanted,
        fields: &Map<String, Value>,
        visit: i64,
        finding: &Finding,
    ) -> Result<bool, RecordError> {
        let value = serde_json::to_value(finding).unwrap_or_default();
        let has_fields = fields
            .iter()
            .all(|(name, asked)| value.get(name).is_some_and(|kept| holds(name, kept, asked)));
        let mut within = has_fields;
        for limit in wanted.limits.iter().filter(|_| has_fields) {
            within &= self
                .measured(limit.of, visit, finding)?
                .is_some_and(|number| limit.allows(number));
        }
        Ok(within)
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
            marked: String::new(),
            at: row.get(6)?,
        },
    ))
}

/// The numbers of what may be a hit, in order, each with its words marked where words are looked for. It leaves out nothing that is
/// wanted.
fn candidates(
    conn: &Connection,
    wanted: &Wanted,
    fields: &Map<String, Value>,
) -> Result<(String, Vec<Sql>), RecordError> {
    let mut values = Vec::new();
    let subject = by_subject(fields, &wanted.limits, &mut values);
    let mut among =
        subject.map(|conditions| format!("SELECT finding AS id FROM subjects WHERE {conditions}"));
    if let Some(code) = &wanted.client {
        values.push(Sql::Text(code.clone()));
        among = Some(match among {
            Some(among) => format!("{among} AND finding IN ({OF_CLIENT})"),
            None => OF_CLIENT.to_owned(),
        });
    }
    let by_words = match values.is_empty() || !wanted.texts.is_empty() {
        true => terms(
            &if among.is_some() {
                Map::new()
            } else {
                fields.clone()
            },
            &wanted.texts,
        ),
        false => String::new(),
    };
    if by_words.is_empty() {
        let sql = match among {
            Some(among) => format!("SELECT id, NULL FROM ({among}) ORDER BY id DESC"),
            None => "SELECT id, NULL FROM findings ORDER BY id DESC".to_owned(),
        };
        return Ok((sql, values));
    }
    let many = "SELECT count(*) FROM (SELECT 1 FROM findings_words WHERE findings_words MATCH ?1 LIMIT ?2)";
    let ranked = !wanted.texts.is_empty()
        && conn
            .prepare_cached(many)?
            .query_row((&by_words, RANKED), |row| row.get::<_, i64>(0))?
            < RANKED;
    let order = if ranked { "rank, rowid DESC" } else { "rowid DESC" };
    let among = among.map_or(String::new(), |among| format!(" AND rowid IN ({among})"));
    values.push(Sql::Text(by_words));
    let sql = format!(
        "SELECT rowid, highlight(findings_words, 0, '[', ']') FROM findings_words
         WHERE findings_words MATCH ?{}{among} ORDER BY {order}",
        values.len()
    );
    Ok((sql, values))
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

/// What was examined, as a condition on the table `subjects`; none if that is not asked for.
fn by_subject(fields: &Map<String, Value>, limits: &[Limit], values: &mut Vec<Sql>) -> Option<String> {
    let text = |name: &str| fields.get(name)?.as_str().map(str::to_owned);
    let subject = ["movement", "muscle", "test", "structure"]
        .into_iter()
        .find_map(text)?;
    let mut conditions = vec!["subject = ?1".to_owned()];
    values.push(Sql::Text(subject));
    let mut also = |condition: &str, value: Sql| {
        values.push(value);
        conditions.push(condition.replace('?', &format!("?{}", values.len())));
    };
    for name in ["joint", "mode"] {
        if let Some(value) = text(name) {
            also(&format!("{name} = ?"), Sql::Text(value));
        }
    }
    if let Some(side) = text("side") {
        also(
            &format!("side IN (?, '{}')", word_of(Side::Both)),
            Sql::Text(side),
        );
    }
    if let Some(felt) = fields.get("pain").and_then(|pain| pain.get("felt")?.as_bool()) {
        also("painful = ?", Sql::Integer(i64::from(felt)));
    }
    for limit in limits.iter().filter(|limit| limit.of == Measure::Degrees) {
        let is = match limit.is {
            Comparison::Below => "<",
            Comparison::AtMost => "<=",
            Comparison::Equal => "=",
            Comparison::AtLeast => ">=",
            Comparison::Above => ">",
        };
        also(&format!("degrees {is} ?"), Sql::Real(limit.value));
    }
    Some(conditions.join(" AND "))
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
