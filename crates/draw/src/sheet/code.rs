//! A two-dimensional code (QR, ISO/IEC 18004) as squares on a page.

use super::page::{self, Page};
use crate::palette::LIGHT;
use qrcode::{Color, EcLevel, QrCode};

/// Modules of clear space around a code (ISO/IEC 18004, quiet zone).
pub const QUIET: usize = 4;

/// Dark squares side by side, counted from the upper left corner of the code.
pub struct Run {
    pub left: usize,
    pub top: usize,
    pub length: usize,
}

/// Squares on a side, and the dark runs of every row; nothing where the text is too long for any code.
pub fn runs(text: &str) -> Option<(usize, Vec<Run>)> {
    let code = QrCode::with_error_correction_level(text.as_bytes(), EcLevel::M).ok()?;
    let width = code.width();
    let colours = code.to_colors();
    let mut runs = Vec::new();
    for (top, line) in colours.chunks(width.max(1)).enumerate() {
        let mut left = 0;
        while left < line.len() {
            let length = line[left..].iter().take_while(|c| **c == Color::Dark).count();
            if length > 0 {
                runs.push(Run { left, top, length });
            }
            left += length.max(1);
        }
    }
    Some((width, runs))
}

/// Puts a code into a square of `size` pt; nothing where the text is too long for any code.
pub fn put(text: &str, at: (f64, f64), size: f64, onto: &mut Page) {
    let Some((width, runs)) = runs(text) else { return };
    let step = size / (width + 2 * QUIET) as f64;
    for run in runs {
        let left = at.0 + (QUIET + run.left) as f64 * step;
        let top = at.1 + (QUIET + run.top) as f64 * step;
        onto.shape(page::rounded(left, top, run.length as f64 * step, step, 0.0), Some(LIGHT.ink), None);
    }
}
