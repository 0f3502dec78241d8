//! The boxes of slots and sockets: edges and tags by state, and what is written inside.

use super::{Sheet, chars_wide};
use crate::canvas::Canvas;
use crate::measure::{columns, cut, wrap};
use crate::state::{SlotState, SlotView, SocketView};

/// The letter of a state in brackets that show the shape of its mark.
pub fn tag(state: SlotState) -> Option<String> {
    let (open, close) = match state {
        SlotState::Wrong => ('[', ']'),
        SlotState::Unsupported => ('{', '}'),
        SlotState::Slower => ('/', '\\'),
        SlotState::Unproven => ('<', '>'),
        SlotState::Note => ('(', ')'),
        SlotState::Filled | SlotState::Empty | SlotState::Unusable => return None,
    };
    state.letter().map(|letter| format!("{open}{letter}{close}"))
}

/// Corner, level and upright of a box: upper left, upper right, lower left, lower right, level, upright.
pub fn edges(state: SlotState, unicode: bool) -> [char; 6] {
    let text = match (state, unicode) {
        (SlotState::Wrong, true) => "\u{250f}\u{2513}\u{2517}\u{251b}\u{2501}\u{2503}",
        (SlotState::Unsupported, true) => "\u{2554}\u{2557}\u{255a}\u{255d}\u{2550}\u{2551}",
        (SlotState::Slower, true) => "\u{250d}\u{2511}\u{2515}\u{2519}\u{2501}\u{2502}",
        (SlotState::Unproven, true) => "\u{250c}\u{2510}\u{2514}\u{2518}\u{2508}\u{250a}",
        (SlotState::Note, true) => "\u{256d}\u{256e}\u{2570}\u{256f}\u{2500}\u{2502}",
        (SlotState::Filled, true) => "\u{250c}\u{2510}\u{2514}\u{2518}\u{2500}\u{2502}",
        (SlotState::Empty, true) => "\u{250c}\u{2510}\u{2514}\u{2518}\u{254c}\u{254e}",
        (SlotState::Unusable, true) => "\u{2571}\u{2571}\u{2571}\u{2571}\u{2571}\u{2571}",
        (SlotState::Wrong, false) => "******",
        (SlotState::Unsupported, false) => "XXXX=H",
        (SlotState::Slower, false) => "++++=|",
        (SlotState::Unproven, false) => "????.:",
        (SlotState::Note, false) => "oooo-|",
        (SlotState::Filled, false) => "++++-|",
        (SlotState::Empty, false) => ".... :",
        (SlotState::Unusable, false) => "//////",
    };
    let mut chars = text.chars();
    std::array::from_fn(|_| chars.next().unwrap_or(' '))
}

impl Sheet<'_> {
    pub fn slot_lines(&self) -> usize {
        let more = [self.rows.tabs, self.rows.install, self.rows.regions, self.rows.origins]
            .into_iter()
            .filter(|r| *r)
            .count();
        self.label_lines + 2 + more
    }

    fn frame(&self, state: SlotState, picture: &mut Canvas, at: (usize, usize), size: (usize, usize)) {
        let [ul, ur, ll, lr, level, upright] = edges(state, self.style.unicode);
        let ((x, y), (wide, high)) = (at, size);
        let tone = Some(state.tone());
        let run: String = std::iter::repeat_n(level, wide - 2).collect();
        picture.put(x, y, &format!("{ul}{run}{ur}"), tone);
        picture.put(x, y + high - 1, &format!("{ll}{run}{lr}"), tone);
        for row in y + 1..y + high - 1 {
            picture.put(x, row, &upright.to_string(), tone);
            picture.put(x + wide - 1, row, &upright.to_string(), tone);
        }
    }

    pub fn slot(&self, view: &SlotView, picture: &mut Canvas, x: usize, y: usize) {
        let lines = self.slot_lines();
        let edge = if view.hatched && view.state == SlotState::Filled { SlotState::Unusable } else { view.state };
        self.frame(edge, picture, (x, y), (self.inner + 2, lines + 2));
        let most = self.inner as f64;
        let mut row = y + 1;
        if self.rows.tabs {
            if self.rows.deep {
                let count = usize::from(view.address.position.min(3)) + 1;
                picture.put(x + 1, row, &self.tab().repeat(count), None);
            }
            if let Some(tag) = tag(view.state) {
                picture.put(x + 1 + self.inner - columns(&tag), row, &tag, Some(view.state.tone()));
            }
            row += 1;
        }
        for (at, line) in self.label(view).iter().enumerate() {
            picture.put(x + 1, row + at, line, None);
        }
        row += self.label_lines;
        picture.put(x + 1, row, &self.plain(cut(&view.content, most, chars_wide)), None);
        picture.put(x + 1, row + 1, &self.plain(cut(&view.organisation, most, chars_wide)), None);
        row += 2;
        if self.rows.regions {
            if let Some(region) = view.region {
                picture.put(x + 1, row, &format!("reg {region}"), None);
            }
            row += 1;
        }
        if self.rows.install {
            if let Some(number) = view.install {
                picture.put(x + 1, row, &format!("#{number}"), None);
            }
            row += 1;
        }
        if let Some(origin) = view.origin {
            picture.put(x + 1, row, origin.word(), None);
        }
    }

    /// What stands for a slot's place in its channel, once, twice or three times.
    pub fn tab(&self) -> &'static str {
        if self.style.unicode { "\u{25ae}" } else { "'" }
    }

    pub fn label(&self, view: &SlotView) -> Vec<String> {
        let lines = wrap(&view.label, self.inner as f64, self.label_lines, chars_wide);
        lines.into_iter().map(|l| self.plain(l)).collect()
    }

    /// Without the ellipsis where only ASCII is wanted.
    pub fn plain(&self, text: String) -> String {
        if self.style.unicode { text } else { text.replace('\u{2026}', "~") }
    }

    pub fn socket(&self, view: &SocketView, picture: &mut Canvas, at: (usize, usize), size: (usize, usize)) {
        let state = if view.hatched { SlotState::Unusable } else { view.state };
        self.frame(state, picture, at, size);
        let most = (size.0 - 2) as f64;
        let (x, mut row) = (at.0 + 1, at.1 + 1);
        if let Some(tag) = tag(view.state) {
            picture.put(at.0 + size.0 - 1 - columns(&tag), row, &tag, Some(view.state.tone()));
        }
        if size.1 > 5 {
            picture.put(x, row, "socket", None);
            row += 1;
        }
        picture.put(x, row, &self.plain(cut(&view.name, most - 3.0, chars_wide)), None);
        let room = (at.1 + size.1).saturating_sub(row + 2).max(1);
        for (step, line) in wrap(&view.processor, most, room, chars_wide).into_iter().enumerate() {
            picture.put(x, row + 1 + step, &self.plain(line), None);
        }
    }

    /// A socket as wide as what lies above it.
    pub fn bar(&self, view: &SocketView, picture: &mut Canvas, line: usize) {
        let tag = tag(view.state).unwrap_or_default();
        let words = format!("socket {}: {}", view.name, view.processor);
        let wide = columns(&words) + columns(&tag) + 3;
        let wide = wide.max(picture.width()).min(self.style.columns).max(6);
        let state = if view.hatched { SlotState::Unusable } else { view.state };
        self.frame(state, picture, (0, line), (wide, 3));
        let room = wide.saturating_sub(columns(&tag) + 3);
        let words = self.plain(cut(&words, room as f64, chars_wide));
        picture.put(1, line + 1, &words, None);
        picture.put(wide - 1 - columns(&tag), line + 1, &tag, Some(view.state.tone()));
    }
}
