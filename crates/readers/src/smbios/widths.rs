//! ECC bits from total and data width, which many machines state wrongly, together with the array's error correction.

use domain::module::Generation;

/// ECC bits per channel (DDR5: per sub-channel) and what does not fit, in words.
pub(super) fn ecc_bits(
    generation: Option<Generation>,
    widths: Option<(u16, u16)>,
    corrects: Option<bool>,
) -> (Option<u8>, Option<&'static str>) {
    let Some((total, data)) = widths else { return (None, None) };
    if generation == Some(Generation::Ddr5) {
        return ddr5(total, data, corrects);
    }
    match (total, data) {
        (72, 64) | (144, 128) => (Some(8), None),
        (64, 64) | (128, 128) | (32, 32) if corrects != Some(true) => (Some(0), None),
        (64, 64) | (128, 128) => (None, Some("no ECC bits by its widths, on an array that corrects errors")),
        (64, 72) => (Some(8), Some("total and data width are swapped")),
        (72, 72) | (144, 72) => (Some(8), Some("the data width counts the ECC bits too")),
        (128, 64) if corrects == Some(true) => (Some(8), Some("the total width is of two channels")),
        _ => (None, Some("widths that no module of its kind has")),
    }
}

fn ddr5(total: u16, data: u16, corrects: Option<bool>) -> (Option<u8>, Option<&'static str>) {
    match (total, data) {
        (80, 64) | (40, 32) => (Some(8), None),
        (72, 64) | (36, 32) => (Some(4), None),
        (64, 64) | (32, 32) if corrects != Some(true) => (Some(0), None),
        (64, 64) | (32, 32) => (None, Some("no ECC bits by its widths, on an array that corrects errors")),
        (64, 80) => (Some(8), Some("total and data width are swapped")),
        (64, 72) => (Some(4), Some("total and data width are swapped")),
        (80, 80) => (Some(8), Some("the data width counts the ECC bits too")),
        _ => (None, Some("widths that no module of its kind has")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn odd_widths_are_understood_with_the_array() {
        let bits = |g, w, c| ecc_bits(Some(g), Some(w), c).0;
        for (widths, corrects, expected) in [
            ((72, 64), Some(true), Some(8)),
            ((72, 72), Some(true), Some(8)),
            ((64, 72), Some(true), Some(8)),
            ((128, 64), Some(true), Some(8)),
            ((128, 64), Some(false), None),
            ((64, 64), Some(true), None),
            ((64, 64), Some(false), Some(0)),
            ((64, 64), None, Some(0)),
        ] {
            assert_eq!(bits(Generation::Ddr4, widths, corrects), expected, "{widths:?} {corrects:?}");
        }
        assert_eq!(bits(Generation::Ddr5, (80, 64), None), Some(8));
        assert_eq!(bits(Generation::Ddr5, (72, 64), None), Some(4));
        assert_eq!(ecc_bits(None, None, Some(true)), (None, None));
    }
}
