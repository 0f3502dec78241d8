//! The loops that move data. Stores go past the caches where the processor has such stores and `Wide` asks for them: then no
//! line is read before it is written, and memory moves what the program moves.

/// How a loop moves data.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Wide {
    /// What the compiler makes of a plain loop; stores go through the caches.
    Plain,
    /// 32 bytes at once, stores past the caches.
    Avx2,
    /// 64 bytes at once, stores past the caches.
    Avx512,
}

impl Wide {
    /// The widest that this processor has.
    pub fn best() -> Self {
        Self::all().last().copied().unwrap_or(Self::Plain)
    }
    /// All that this processor has, the narrowest first.
    pub fn all() -> Vec<Self> {
        #[cfg(target_arch = "x86_64")]
        {
            let mut all = vec![Self::Plain];
            if is_x86_feature_detected!("avx2") {
                all.push(Self::Avx2);
            }
            if is_x86_feature_detected!("avx512f") {
                all.push(Self::Avx512);
            }
            all
        }
        #[cfg(not(target_arch = "x86_64"))]
        vec![Self::Plain]
    }
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Plain => "plain loop",
            Self::Avx2 => "32 bytes at once, stores past the caches",
            Self::Avx512 => "64 bytes at once, stores past the caches",
        }
    }
}

/// Words that every loop takes at once; slices are cut to whole multiples.
const STEP: usize = 32;
/// The factor of the triad.
const FACTOR: f64 = 3.0;

/// Is there a wide loop for this? On other processors only the plain one.
macro_rules! choose {
    ($wide:expr, $avx512:expr, $avx2:expr, $plain:expr) => {
        match $wide {
            // SAFETY: `usable` has found the instructions; the slices are of one length, a multiple of STEP, and start on
            // the boundary that the stores need.
            #[cfg(target_arch = "x86_64")]
            Wide::Avx512 => unsafe { $avx512 },
            // SAFETY: as above.
            #[cfg(target_arch = "x86_64")]
            Wide::Avx2 => unsafe { $avx2 },
            _ => $plain,
        }
    };
}

/// The asked loop where the processor has it and the slices start on a line's boundary, else the plain one.
fn usable(wide: Wide, slices: &[*const f64]) -> Wide {
    let even = slices.iter().all(|s| s.addr() % 64 == 0);
    if even && Wide::all().contains(&wide) { wide } else { Wide::Plain }
}

/// Sums the words; what comes out is of no use but that the loads are done.
pub fn read(wide: Wide, from: &[f64]) -> f64 {
    let from = &from[..from.len() / STEP * STEP];
    choose!(usable(wide, &[from.as_ptr()]), x86::read512(from), x86::read256(from), plain_read(from))
}

/// Fills with a value.
pub fn write(wide: Wide, to: &mut [f64], value: f64) {
    let whole = to.len() / STEP * STEP;
    let to = &mut to[..whole];
    choose!(usable(wide, &[to.as_ptr()]), x86::write512(to, value), x86::write256(to, value), to.fill(value));
}

/// Copies.
pub fn copy(wide: Wide, to: &mut [f64], from: &[f64]) {
    let whole = to.len().min(from.len()) / STEP * STEP;
    let (to, from) = (&mut to[..whole], &from[..whole]);
    let wide = usable(wide, &[to.as_ptr(), from.as_ptr()]);
    choose!(wide, x86::copy512(to, from), x86::copy256(to, from), plain_copy(to, from));
}

/// `to = b + 3 c`.
pub fn triad(wide: Wide, to: &mut [f64], b: &[f64], c: &[f64]) {
    let whole = to.len().min(b.len()).min(c.len()) / STEP * STEP;
    let (to, b, c) = (&mut to[..whole], &b[..whole], &c[..whole]);
    let wide = usable(wide, &[to.as_ptr(), b.as_ptr(), c.as_ptr()]);
    choose!(wide, x86::triad512(to, b, c), x86::triad256(to, b, c), plain_triad(to, b, c));
}

fn plain_read(from: &[f64]) -> f64 {
    let mut sums = [0.0; 8];
    for part in from.chunks_exact(8) {
        for (sum, word) in sums.iter_mut().zip(part) {
            *sum += word;
        }
    }
    sums.iter().sum()
}

// Not `copy_from_slice`: that calls the C library, which has a mind of its own about stores.
#[allow(clippy::manual_memcpy)]
fn plain_copy(to: &mut [f64], from: &[f64]) {
    for (to, from) in to.iter_mut().zip(from) {
        *to = std::hint::black_box(*from);
    }
}

fn plain_triad(to: &mut [f64], b: &[f64], c: &[f64]) {
    for ((to, b), c) in to.iter_mut().zip(b).zip(c) {
        *to = b + FACTOR * c;
    }
}

#[cfg(target_arch = "x86_64")]
mod x86 {
    //! The wide loops. Each takes slices of one length, a multiple of STEP, that start on a 64-byte boundary.

    use super::{FACTOR, STEP};
    use std::arch::x86_64::*;

    macro_rules! loops {
        ($feature:literal, $lanes:literal, $read:ident, $write:ident, $copy:ident, $triad:ident, $set:ident, $load:ident,
         $stream:ident, $add:ident, $mul:ident, $store:ident) => {
            #[target_feature(enable = $feature)]
            pub fn $read(from: &[f64]) -> f64 {
                let mut sums = [$set(0.0); STEP / $lanes];
                let base = from.as_ptr();
                for at in (0..from.len()).step_by(STEP) {
                    for (i, sum) in sums.iter_mut().enumerate() {
                        // SAFETY: at + STEP is within the slice, whose length is a multiple of STEP.
                        *sum = $add(*sum, unsafe { $load(base.add(at + i * $lanes)) });
                    }
                }
                let whole = sums.into_iter().fold($set(0.0), |a, b| $add(a, b));
                let mut lanes = [0.0; $lanes];
                // SAFETY: the array has exactly the lanes of a register; this store needs no boundary.
                unsafe { $store(lanes.as_mut_ptr(), whole) };
                lanes.iter().sum()
            }

            #[target_feature(enable = $feature)]
            pub fn $write(to: &mut [f64], value: f64) {
                let (length, base, value) = (to.len(), to.as_mut_ptr(), $set(value));
                for at in (0..length).step_by(STEP) {
                    for i in 0..STEP / $lanes {
                        // SAFETY: within the slice, as in reading; the place is on the boundary that the store needs.
                        unsafe { $stream(base.add(at + i * $lanes), value) };
                    }
                }
                _mm_sfence();
            }

            #[target_feature(enable = $feature)]
            pub fn $copy(to: &mut [f64], from: &[f64]) {
                let (length, base, from) = (to.len(), to.as_mut_ptr(), from.as_ptr());
                for at in (0..length).step_by(STEP) {
                    for i in 0..STEP / $lanes {
                        let place = at + i * $lanes;
                        // SAFETY: within both slices, which are of one length; boundaries as in writing.
                        unsafe { $stream(base.add(place), $load(from.add(place))) };
                    }
                }
                _mm_sfence();
            }

            #[target_feature(enable = $feature)]
            pub fn $triad(to: &mut [f64], b: &[f64], c: &[f64]) {
                let (length, base, b, c) = (to.len(), to.as_mut_ptr(), b.as_ptr(), c.as_ptr());
                let factor = $set(FACTOR);
                for at in (0..length).step_by(STEP) {
                    for i in 0..STEP / $lanes {
                        let place = at + i * $lanes;
                        // SAFETY: within all three slices, which are of one length; boundaries as in writing.
                        unsafe {
                            let sum = $add($load(b.add(place)), $mul(factor, $load(c.add(place))));
                            $stream(base.add(place), sum);
                        }
                    }
                }
                _mm_sfence();
            }
        };
    }

    loops!(
        "avx2",
        4,
        read256,
        write256,
        copy256,
        triad256,
        _mm256_set1_pd,
        _mm256_load_pd,
        _mm256_stream_pd,
        _mm256_add_pd,
        _mm256_mul_pd,
        _mm256_storeu_pd
    );
    loops!(
        "avx512f",
        8,
        read512,
        write512,
        copy512,
        triad512,
        _mm512_set1_pd,
        _mm512_load_pd,
        _mm512_stream_pd,
        _mm512_add_pd,
        _mm512_mul_pd,
        _mm512_storeu_pd
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::machine::{Block, Huge};

    fn floats(block: &mut Block) -> &mut [f64] {
        // SAFETY: any bits are a float; the block is borrowed alone, and floats need the words' own boundary.
        unsafe { std::slice::from_raw_parts_mut(block.words_mut().as_mut_ptr().cast(), 4096) }
    }

    #[test]
    fn every_loop_moves_the_same() {
        let mut blocks = [0; 3].map(|_| Block::new(4096 * 8, Huge::No, None).unwrap());
        let [a, b, c] = blocks.each_mut().map(floats);
        for wide in Wide::all() {
            // One word more than whole steps: it must stay as it was.
            let n = 1024 + 1;
            for (i, (b, c)) in b.iter_mut().zip(c.iter_mut()).enumerate() {
                (*b, *c) = (i as f64, (i * 2) as f64);
            }
            write(wide, &mut a[..n], 5.0);
            assert!(a[..1024].iter().all(|v| *v == 5.0), "{wide:?}");
            a[1024] = -1.0;
            copy(wide, &mut a[..n], &b[..n]);
            assert_eq!((&a[..1024], a[1024]), (&b[..1024], -1.0), "{wide:?}");
            triad(wide, &mut a[..n], &b[..n], &c[..n]);
            assert!(a[..1024].iter().enumerate().all(|(i, v)| *v == (i * 7) as f64), "{wide:?}");
            assert_eq!((a[1024], read(wide, &b[..n])), (-1.0, (0..1024).sum::<i32>().into()), "{wide:?}");
            // Off the boundary the plain loop stands in.
            copy(wide, &mut a[1..1025], &b[1..1025]);
            assert_eq!(a[1..1025], b[1..1025]);
        }
    }
}
