//! Labels to cut out and stick on: a code to the left, a few lines beside it.

use super::face::{self, Face};
use super::page::{self, Page, Stroke};
use super::{PER_MM, Sticker, code};
use crate::palette::LIGHT;

/// A sticker is 63 × 30 mm: three in a row on either paper, large enough for the code to be read by a phone.
pub const WIDTH: f64 = 60.0 * PER_MM;
pub const HEIGHT: f64 = 30.0 * PER_MM;
const CODE: f64 = 26.0 * PER_MM;
const SIZE: f64 = 8.0;
const LEAD: f64 = 10.0;

/// How many fit beside each other.
pub fn in_row(width: f64) -> usize {
    ((width / WIDTH).floor() as usize).max(1)
}

/// Puts one down with its upper left corner at a place.
pub fn put(sticker: &Sticker, at: (f64, f64), onto: &mut Page) {
    let cut = Stroke { dash: Some((2.0, 2.0)), ..Stroke::solid(LIGHT.muted, 0.5) };
    onto.shape(page::rounded(at.0, at.1, WIDTH, HEIGHT, 4.0), None, Some(cut));
    let inset = (HEIGHT - CODE) / 2.0;
    code::put(&sticker.code, (at.0 + inset, at.1 + inset), CODE, onto);
    let (left, room) = (at.0 + inset + CODE, WIDTH - CODE - 2.0 * inset);
    let mut y = at.1 + inset + SIZE;
    for (n, line) in sticker.lines.iter().enumerate() {
        let face = if n == 0 { Face::Bold } else { Face::Plain };
        for piece in face::lines(line, face, SIZE, room) {
            if y > at.1 + HEIGHT - 3.0 {
                return;
            }
            onto.text(left, y, &piece, face, SIZE, LIGHT.ink);
            y += LEAD;
        }
    }
}
