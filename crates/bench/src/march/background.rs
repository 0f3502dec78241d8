//! Data backgrounds of a word: with ceil(log2 B) + 1 of them every pair of its B bits holds both equal and unlike values
//! (Tlili, van de Goor, IEEE Trans. Computers 52(10), 2003; the count is derived).

/// The seven backgrounds of a 64-bit word: all alike, then stripes of 1, 2, 4 … 32 bits.
pub const BACKGROUNDS: [u64; 7] = [
    0x0000_0000_0000_0000,
    0xAAAA_AAAA_AAAA_AAAA,
    0xCCCC_CCCC_CCCC_CCCC,
    0xF0F0_F0F0_F0F0_F0F0,
    0xFF00_FF00_FF00_FF00,
    0xFFFF_0000_FFFF_0000,
    0xFFFF_FFFF_0000_0000,
];

/// Operations a word, in units of n/B, of the complete test of coupling inside a word of `bits` bits: 1 + 28 log2 B
/// (Hamdioui, van de Goor, Rodgers, VTS 2003, seen). `bits` is a power of two.
pub fn intra_word_factor(bits: u32) -> u32 {
    1 + 28 * bits.max(1).ilog2()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pair_of_bits_is_unlike_in_one_of_them() {
        let bit = |word: u64, i: u32| word >> i & 1;
        for a in 0..64 {
            for b in 0..a {
                assert!(BACKGROUNDS.iter().any(|w| bit(*w, a) != bit(*w, b)), "{a} {b}");
            }
        }
    }
}
