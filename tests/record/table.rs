//! `show` as a person reads it.

use couchside::finding::{Arc, Degrees, Finding, Kind, Mode, Pain, Side};
use couchside::record::{Case, Kept, Visit};
use couchside::review::case_table;

fn finding(kind: Kind, change: impl FnOnce(&mut Finding)) -> Finding {
    let mut finding = Finding::new(kind);
    change(&mut finding);
    finding
}

fn movement(
    side: Option<Side>,
    joint: &str,
    movement: &str,
    to: i32,
    change: impl FnOnce(&mut Finding),
) -> Finding {
    finding(Kind::Movement, |f| {
        f.side = side;
        f.joint = Some(joint.to_owned());
        f.movement = Some(movement.to_owned());
        f.mode = Some(Mode::Active);
        f.degrees = Some(Degrees { from: None, to });
        change(f);
    })
}

fn drawn(findings: Vec<Finding>) -> String {
    let kept = |(n, finding)| Kept {
        amended: None,
        id: n,
        finding,
        heard: "unseen".to_owned(),
        at: "unseen".to_owned(),
    };
    let findings = (100..).zip(findings).map(kept).collect();
    let visits = vec![
        Visit {
            number: 1,
            opened: String::new(),
            signed: None,
            amended: None,
            details: Default::default(),
            date: "2025-11-25".to_owned(),
            findings,
            to_review: Vec::new(),
        },
        Visit {
            number: 1,
            opened: String::new(),
            signed: None,
            amended: None,
            details: Default::default(),
            date: "2025-12-02".to_owned(),
            findings: Vec::new(),
            to_review: Vec::new(),
        },
    ];
    case_table(&Case {
        client: "P-12".to_owned(),
        visits,
    })
}

#[test]
fn left_stands_beside_right() {
    let pain = |score, when: &str| {
        Some(Pain {
            felt: true,
            score,
            when: Some(when.to_owned()),
            arc: None,
        })
    };
    let (left, right) = (Some(Side::Left), Some(Side::Right));
    let text = drawn(vec![
        movement(right, "hip", "flexion", 110, |_| ()),
        movement(right, "hip", "internal rotation", 20, |f| {
            f.mode = Some(Mode::Passive);
            f.end_feel = Some("firm".to_owned());
            f.pain = pain(Some(6), "end range");
        }),
        movement(left, "hip", "flexion", 115, |f| {
            f.signs = vec!["clicking".to_owned()]
        }),
        movement(left, "hip", "flexion", 118, |_| ()),
        movement(Some(Side::Both), "knee", "extension", -5, |f| {
            f.pain = Some(Pain {
                felt: false,
                score: None,
                when: None,
                arc: None,
            });
        }),
        movement(None, "lumbar spine", "flexion", 60, |f| {
            f.degrees = Some(Degrees {
                from: Some(10),
                to: 60,
            });
            f.pain = Some(Pain {
                felt: true,
                score: None,
                when: None,
                arc: Some(Arc { from: 30, to: 50 }),
            });
        }),
        finding(Kind::Muscle, |f| {
            f.side = left;
            f.muscle = Some("quadriceps".to_owned());
            f.strength = Some("4+".to_owned());
        }),
        finding(Kind::Test, |f| {
            f.side = right;
            f.test = Some("Lachman".to_owned());
            f.result = Some("positive".to_owned());
            f.laxity = Some(2);
        }),
        finding(Kind::Girth, |f| {
            f.side = left;
            f.level = Some("mid thigh".to_owned());
            f.girth_cm = Some(42.5);
        }),
        finding(Kind::Note, |f| {
            f.text = Some("stairs hurt \u{1b}[31m most".to_owned())
        }),
    ]);
    assert_eq!(
        text,
        "\
Client P-12

Visit of 25 November 2025: 10 findings

Hip
                              left             right
                              value  signs     value  end feel  pain
  flexion            active   115°   clicking  110°
  flexion            active   118°
  internal rotation  passive                   20°    firm      6 out of 10, end range

Knee
                     left         right
                     value  pain  value  pain
  extension  active  -5°    none  -5°    none

Lumbar spine
                   no side
                   value       pain
  flexion  active  10° to 60°  yes, arc 30° to 50°

Muscle
              left
              value
  quadriceps  strength 4+

Test
           right
           value
  Lachman  positive, laxity 2

Girth
             left
             value
  mid thigh  42.5 cm

Notes
  stairs hurt  [31m most

Visit of 2 December 2025: nothing was recorded
"
    );
}

#[test]
fn an_empty_case_says_so() {
    assert_eq!(
        drawn(Vec::new()),
        "Client P-12\n\nNothing has been recorded for this client yet.\n"
    );
}
