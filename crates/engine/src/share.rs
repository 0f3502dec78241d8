//! How sure a share is that was counted on few.

/// The two-sided 95 % normal quantile.
const Z: f64 = 1.959_963_984_540_054;

/// The range in which the true share lies, at 95 %, where `hits` of `of` were counted: the score interval of E. B. Wilson
/// (`wilson-1927` in the register). Both ends lie from 0 to 1; nothing counted says nothing, 0 to 1.
pub fn range(hits: u32, of: u32) -> (f64, f64) {
    if of == 0 {
        return (0.0, 1.0);
    }
    let (x, n) = (f64::from(hits.min(of)), f64::from(of));
    let share = x / n;
    let square = Z * Z;
    let middle = share + square / (2.0 * n);
    let half = Z * (share * (1.0 - share) / n + square / (4.0 * n * n)).sqrt();
    let scale = 1.0 + square / n;
    // The ends are exact where nothing or everything failed; rounding must not leave a trace there.
    let low = if hits == 0 { 0.0 } else { ((middle - half) / scale).max(0.0) };
    let high = if hits >= of { 1.0 } else { ((middle + half) / scale).min(1.0) };
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::range;

    /// `newcombe-1998` in the register: all four examples of its table I by method 3, the one that is used here.
    #[test]
    fn published_ranges_come_out() {
        for (hits, of, low, high) in
            [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)]
        {
            let (a, b) = range(hits, of);
            assert!((a - low).abs() < 0.000_051 && (b - high).abs() < 0.000_051, "{hits} of {of}: {a} {b}");
        }
        assert_eq!((range(0, 0), range(7, 7).1, range(0, 7).0), ((0.0, 1.0), 1.0, 0.0));
    }
}
