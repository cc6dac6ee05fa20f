//! What waits survives the end of the program, however it ends.

use super::{events, lines, visit};

#[test]
fn what_waited_waits_again_and_can_be_corrected_and_confirmed() {
    let home = tempfile::tempdir().expect("a folder");
    let mut first = visit(home.path());
    events(&mut first, "right hip flexion active one ten");
    // Dropped without any farewell, as by a crash.
    drop(first);

    let mut second = visit(home.path());
    assert_eq!(
        lines(&second.begin()),
        [
            "proposed right hip flexion active: 110°",
            "said Waiting: right hip flexion, active, 110 degrees."
        ]
    );
    assert_eq!(
        events(&mut second, "correction one fifteen"),
        [
            "heard",
            "corrected right hip flexion active: 115°",
            "said Now right hip flexion, active, 115 degrees."
        ]
    );
    assert_eq!(
        events(&mut second, "confirm"),
        [
            "heard",
            "recorded right hip flexion active: 115°",
            "said Recorded."
        ]
    );
    drop(second);

    assert!(
        visit(home.path()).begin().is_empty(),
        "what is recorded does not wait"
    );
}
