//! How sure a share is.

/// The 97.5 % point of the standard normal distribution: what cuts off 95 % in the middle.
const Z: f64 = 1.959_963_984_540_054;

/// The 95 % score interval of a share, both ends from 0 to 1 (E. B. Wilson, Journal of the American Statistical
/// Association 22, 1927, pages 209 to 212); `None` if nothing was counted.
///
/// It takes each of the `of` for independent of the others. Utterances that share a voice or a text are not quite, so
/// that the true uncertainty is somewhat larger.
pub fn wilson(count: usize, of: usize) -> Option<(f64, f64)> {
    if of == 0 {
        return None;
    }
    let n = of as f64;
    let share = count as f64 / n;
    let middle = share + Z * Z / (2.0 * n);
    let reach = Z * (share * (1.0 - share) / n + Z * Z / (4.0 * n * n)).sqrt();
    let scale = 1.0 + Z * Z / n;
    // Where nothing or everything was counted the end is exact; rounding could put it a hair beyond.
    let low = if count == 0 { 0.0 } else { (middle - reach) / scale };
    let high = if count == of {
        1.0
    } else {
        (middle + reach) / scale
    };
    Some((low, high))
}
