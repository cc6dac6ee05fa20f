//! The columns: what each holds, as what, and in which unit. The same for every form of table.

use crate::finding::{Finding, word_of};
use crate::record::Whole;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Datatype {
    /// Words of people: guarded against being taken for a formula.
    Text,
    /// A word of the vocabulary.
    Word,
    Integer,
    Decimal,
    /// `true` or `false`.
    Boolean,
    /// ISO 8601.
    Date,
    /// UTC, RFC 3339.
    Moment,
}

/// A column.
pub struct Column {
    pub name: &'static str,
    pub datatype: Datatype,
    /// What it means.
    pub about: &'static str,
    /// A UCUM code.
    pub unit: Option<&'static str>,
    /// Each row has it.
    pub required: bool,
    /// Its value; absent: it was not said.
    pub value: fn(&Whole) -> Option<String>,
}

const fn column(
    name: &'static str,
    datatype: Datatype,
    about: &'static str,
    value: fn(&Whole) -> Option<String>,
) -> Column {
    Column {
        name,
        datatype,
        about,
        unit: None,
        required: false,
        value,
    }
}

const fn always(column: Column) -> Column {
    Column {
        required: true,
        ..column
    }
}

const fn in_unit(unit: &'static str, column: Column) -> Column {
    Column {
        unit: Some(unit),
        ..column
    }
}

/// A field of the finding that is a word.
macro_rules! word {
    ($name:literal, $field:ident, $about:literal) => {
        column($name, Datatype::Word, $about, |row| row.finding.$field.clone())
    };
}

fn pain<T>(finding: &Finding, part: impl Fn(&crate::finding::Pain) -> Option<T>) -> Option<T> {
    finding.pain.as_ref().and_then(part)
}

/// All of them, in order.
pub const COLUMNS: [Column; 31] = [
    always(column(
        "finding",
        Datatype::Integer,
        "Number of the finding in its record",
        |row| Some(row.id.to_string()),
    )),
    always(column(
        "visit",
        Datatype::Integer,
        "Number of the visit in its record",
        |row| Some(row.visit.to_string()),
    )),
    always(column("client", Datatype::Word, "Code of the client", |row| {
        Some(row.client.clone())
    })),
    always(column("date", Datatype::Date, "Local date of the visit", |row| {
        Some(row.date.clone())
    })),
    always(column(
        "recorded_at",
        Datatype::Moment,
        "When the present value was confirmed",
        |row| Some(row.at.clone()),
    )),
    always(column(
        "status",
        Datatype::Word,
        "preliminary until the visit is signed off, then final, or amended if it was changed after that",
        |row| {
            Some(match (row.signed, row.amended) {
                (false, _) => "preliminary".to_owned(),
                (true, false) => "final".to_owned(),
                (true, true) => "amended".to_owned(),
            })
        },
    )),
    always(column("kind", Datatype::Word, "What sort of finding", |row| {
        Some(word_of(row.finding.kind))
    })),
    column("side", Datatype::Word, "left, right or both", |row| {
        row.finding.side.map(word_of)
    }),
    word!("joint", joint, "Joint"),
    word!("movement", movement, "Movement of the joint"),
    column("mode", Datatype::Word, "How it was moved", |row| {
        row.finding.mode.map(word_of)
    }),
    word!("muscle", muscle, "Muscle or group that was tested"),
    word!("test", test, "Test, by its name"),
    word!("structure", structure, "What was palpated"),
    word!(
        "level",
        level,
        "Where a girth was taken, or the level of a finding"
    ),
    in_unit(
        "deg",
        column(
            "degrees_from",
            Datatype::Integer,
            "Where the movement begins, from the neutral position",
            |row| {
                row.finding
                    .degrees
                    .as_ref()?
                    .from
                    .map(|degrees| degrees.to_string())
            },
        ),
    ),
    in_unit(
        "deg",
        column(
            "degrees",
            Datatype::Integer,
            "How far it goes, from the neutral position in the direction that is named; negative: short of neutral",
            |row| Some(row.finding.degrees.as_ref()?.to.to_string()),
        ),
    ),
    word!("range", range, "The range in words"),
    column("painful", Datatype::Boolean, "Whether pain was felt", |row| {
        pain(&row.finding, |pain| Some(pain.felt.to_string()))
    }),
    in_unit(
        "{score}",
        column(
            "pain_score",
            Datatype::Integer,
            "0 to 10, numeric rating",
            |row| pain(&row.finding, |pain| Some(pain.score?.to_string())),
        ),
    ),
    column(
        "pain_when",
        Datatype::Word,
        "When in the movement it hurts",
        |row| pain(&row.finding, |pain| pain.when.clone()),
    ),
    in_unit(
        "deg",
        column(
            "pain_arc_from",
            Datatype::Integer,
            "Where it begins to hurt",
            |row| pain(&row.finding, |pain| Some(pain.arc.as_ref()?.from.to_string())),
        ),
    ),
    in_unit(
        "deg",
        column(
            "pain_arc_to",
            Datatype::Integer,
            "Where it ceases to hurt",
            |row| pain(&row.finding, |pain| Some(pain.arc.as_ref()?.to.to_string())),
        ),
    ),
    word!("end_feel", end_feel, "End feel"),
    word!(
        "strength",
        strength,
        "Grade of manual muscle testing: order 0 to 5, a plus above and a minus below"
    ),
    word!("power", power, "Resisted movement in words"),
    word!("result", result, "Result of a test"),
    in_unit(
        "{score}",
        column(
            "laxity",
            Datatype::Integer,
            "Laxity of a ligament, 0 to 3",
            |row| row.finding.laxity.map(|grade| grade.to_string()),
        ),
    ),
    in_unit(
        "cm",
        column("girth", Datatype::Decimal, "Girth of a part", |row| {
            row.finding.girth_cm.map(|girth| girth.to_string())
        }),
    ),
    column(
        "signs",
        Datatype::Word,
        "Trick movements and other signs, apart by semicolons",
        |row| (!row.finding.signs.is_empty()).then(|| row.finding.signs.join("; ")),
    ),
    column(
        "words",
        Datatype::Text,
        "The text of a note, or else the words that it was read from",
        |row| Some(row.finding.text.clone().unwrap_or_else(|| row.heard.clone())),
    ),
];
