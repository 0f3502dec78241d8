//! A two-dimensional code (QR, ISO/IEC 18004) as squares on a page.

use super::page::{self, Page};
use crate::palette::LIGHT;
use qrcode::{Color, EcLevel, QrCode};

/// Modules of clear space around a code (ISO/IEC 18004, quiet zone).
const QUIET: f64 = 4.0;

/// Puts a code into a square of `size` pt; nothing where the text is too long for any code.
pub fn put(text: &str, at: (f64, f64), size: f64, onto: &mut Page) {
    let Ok(code) = QrCode::with_error_correction_level(text.as_bytes(), EcLevel::M) else { return };
    let width = code.width();
    let step = size / (width as f64 + 2.0 * QUIET);
    let colours = code.to_colors();
    for (row, line) in colours.chunks(width.max(1)).enumerate() {
        let mut x = 0;
        while x < line.len() {
            let run = line[x..].iter().take_while(|c| **c == Color::Dark).count();
            if run > 0 {
                let left = at.0 + (QUIET + x as f64) * step;
                let top = at.1 + (QUIET + row as f64) * step;
                onto.shape(page::rounded(left, top, run as f64 * step, step, 0.0), Some(LIGHT.ink), None);
            }
            x += run.max(1);
        }
    }
}
