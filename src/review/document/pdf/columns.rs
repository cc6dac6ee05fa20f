//! How wide the columns of a table are.

/// Of each column the width of its widest word, and the width that it would take on one line; both in points with
/// the space around. They fill `room`.
pub fn widths(columns: &[(f32, f32)], room: f32) -> Vec<f32> {
    let sum = |width: fn(&(f32, f32)) -> f32| columns.iter().map(width).sum::<f32>();
    if sum(|column| column.1) <= room {
        let more = room / sum(|column| column.1).max(1.0);
        columns.iter().map(|column| column.1 * more).collect()
    } else if sum(|column| column.0) <= room {
        // Narrow ones get what they would like, wide ones the same, but room for their words.
        limited(room, |limit| {
            columns
                .iter()
                .map(|(least, most)| most.min(limit).max(*least))
                .collect()
        })
    } else {
        // Words have to be broken: those of the wide columns first.
        limited(room, |limit| {
            columns.iter().map(|column| column.0.min(limit)).collect()
        })
    }
}

/// The widths under the limit with which they fill `room`, but for less than anybody sees.
fn limited(room: f32, widths: impl Fn(f32) -> Vec<f32>) -> Vec<f32> {
    let (mut low, mut high) = (0.0, room);
    for _ in 0..24 {
        let middle = (low + high) / 2.0;
        if widths(middle).iter().sum::<f32>() <= room {
            low = middle;
        } else {
            high = middle;
        }
    }
    widths(low)
}

#[cfg(test)]
mod tests {
    use super::widths;

    #[test]
    fn columns_fill_the_room_and_only_wide_ones_give_way() {
        let close = |widths: Vec<f32>, wanted: &[f32]| {
            let near = widths
                .iter()
                .zip(wanted)
                .all(|(one, other)| (one - other).abs() < 0.1);
            assert!(near && widths.len() == wanted.len(), "{widths:?}, not {wanted:?}");
        };
        close(widths(&[(10.0, 20.0), (10.0, 30.0)], 100.0), &[40.0, 60.0]);
        close(widths(&[(10.0, 20.0), (10.0, 900.0)], 100.0), &[20.0, 80.0]);
        close(widths(&[(60.0, 200.0), (10.0, 900.0)], 100.0), &[60.0, 40.0]);
        close(
            widths(&[(300.0, 300.0), (10.0, 900.0), (300.0, 300.0)], 100.0),
            &[45.0, 10.0, 45.0],
        );
        close(widths(&[(1.0, 1.0); 0], 100.0), &[]);
    }
}
