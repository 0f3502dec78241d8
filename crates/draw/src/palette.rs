//! Colours of both themes, and the contrast that they must keep (WCAG 2.2, 1.4.3 and 1.4.11).

/// A colour in sRGB.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Colour(pub u8, pub u8, pub u8);

impl Colour {
    /// `#RRGGBB`.
    pub fn hex(self) -> String {
        format!("#{:02X}{:02X}{:02X}", self.0, self.1, self.2)
    }
    /// Linear light of the three channels (IEC 61966-2-1).
    pub fn linear(self) -> [f64; 3] {
        [self.0, self.1, self.2].map(|c| {
            let c = f64::from(c) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        })
    }
    fn luminance(self) -> f64 {
        let [r, g, b] = self.linear();
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }
    /// Contrast ratio, from 1 to 21 (WCAG 2.2, definition of contrast ratio).
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }
}

/// What a colour says. Lightness differs from tone to tone, so that no two meet for a colour-blind eye.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Tone {
    Ok,
    Note,
    Slower,
    Wrong,
    Unsupported,
    Empty,
}

impl Tone {
    /// All, with the word in their class names.
    pub const ALL: [(Self, &'static str); 6] = [
        (Self::Ok, "ok"),
        (Self::Note, "note"),
        (Self::Slower, "slower"),
        (Self::Wrong, "wrong"),
        (Self::Unsupported, "unsupported"),
        (Self::Empty, "empty"),
    ];
    /// The word in its class names.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(t, _)| *t == self).map_or("", |(_, w)| w)
    }
}

/// The colours of one theme.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Theme {
    pub page: Colour,
    /// Text.
    pub ink: Colour,
    /// Lesser text.
    pub muted: Colour,
    /// Lines that help the eye and say nothing.
    pub grid: Colour,
    edges: [Colour; 6],
    tints: [Colour; 6],
}

impl Theme {
    /// Edges, marks and lines.
    pub fn edge(&self, tone: Tone) -> Colour {
        self.edges[tone as usize]
    }
    /// The ground inside a slot.
    pub fn tint(&self, tone: Tone) -> Colour {
        self.tints[tone as usize]
    }
}

/// On white.
pub const LIGHT: Theme = Theme {
    page: Colour(0xFF, 0xFF, 0xFF),
    ink: Colour(0x14, 0x18, 0x1D),
    muted: Colour(0x45, 0x4C, 0x55),
    grid: Colour(0xD5, 0xD9, 0xDE),
    edges: [
        Colour(0x3F, 0x97, 0x8C),
        Colour(0x0B, 0x3C, 0x8C),
        Colour(0xCC, 0x6E, 0x00),
        Colour(0x8E, 0x0A, 0x0A),
        Colour(0x2A, 0x05, 0x30),
        Colour(0x5E, 0x64, 0x6C),
    ],
    tints: [
        Colour(0xEA, 0xF6, 0xF4),
        Colour(0xE4, 0xEC, 0xF8),
        Colour(0xFD, 0xF2, 0xE3),
        Colour(0xFA, 0xE6, 0xE4),
        Colour(0xF3, 0xE9, 0xF8),
        Colour(0xFF, 0xFF, 0xFF),
    ],
};

/// On near black.
pub const DARK: Theme = Theme {
    page: Colour(0x14, 0x18, 0x1D),
    ink: Colour(0xF3, 0xF5, 0xF7),
    muted: Colour(0xBF, 0xC7, 0xD0),
    grid: Colour(0x36, 0x3D, 0x46),
    edges: [
        Colour(0x6E, 0xC6, 0xBE),
        Colour(0x5E, 0x86, 0xD6),
        Colour(0xF6, 0xC3, 0x14),
        Colour(0xE5, 0x55, 0x4F),
        Colour(0xA5, 0x4B, 0x87),
        Colour(0xEF, 0xF5, 0xFD),
    ],
    tints: [
        Colour(0x1B, 0x2F, 0x2E),
        Colour(0x1C, 0x26, 0x38),
        Colour(0x33, 0x2B, 0x14),
        Colour(0x3A, 0x1F, 0x20),
        Colour(0x1C, 0x15, 0x1F),
        Colour(0x14, 0x18, 0x1D),
    ],
};

/// The colours as custom properties of a page's stylesheet, for light and dark.
pub fn tokens() -> String {
    let of = |theme: &Theme| {
        let mut out = format!(
            "--page:{};--ink:{};--muted:{};--grid:{}",
            theme.page.hex(),
            theme.ink.hex(),
            theme.muted.hex(),
            theme.grid.hex()
        );
        for (tone, word) in Tone::ALL {
            out.push_str(&format!(
                ";--edge-{word}:{};--tint-{word}:{}",
                theme.edge(tone).hex(),
                theme.tint(tone).hex()
            ));
        }
        out
    };
    format!(":root{{{}}}\n@media screen and (prefers-color-scheme:dark){{:root{{{}}}}}\n", of(&LIGHT), of(&DARK))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_and_edges_keep_their_contrast_in_both_themes() {
        for theme in [LIGHT, DARK] {
            for ground in theme.tints.into_iter().chain([theme.page]) {
                assert!(theme.ink.contrast(ground) >= 7.0, "ink on {}", ground.hex());
                assert!(theme.muted.contrast(ground) >= 7.0, "muted on {}", ground.hex());
            }
            for (tone, word) in Tone::ALL {
                let edge = theme.edge(tone);
                assert!(edge.contrast(theme.page) >= 3.0, "{word} on the page");
                assert!(edge.contrast(theme.tint(tone)) >= 3.0, "{word} on its tint");
            }
        }
    }

    #[test]
    fn grid_lines_are_seen_and_stay_behind() {
        for theme in [LIGHT, DARK] {
            let contrast = theme.grid.contrast(theme.page);
            assert!((1.3..2.5).contains(&contrast), "{contrast:.2}");
        }
    }

    #[test]
    fn a_pages_tokens_are_the_colours_of_the_drawings() {
        let tokens = tokens();
        let (light, dark) = tokens.split_once("@media screen and (prefers-color-scheme:dark)").unwrap();
        for (theme, part) in [(LIGHT, light), (DARK, dark)] {
            for (tone, word) in Tone::ALL {
                assert!(part.contains(&format!("--edge-{word}:{};", theme.edge(tone).hex())), "{word}");
                assert!(part.contains(&format!("--tint-{word}:{}", theme.tint(tone).hex())), "{word}");
            }
            for (name, colour) in
                [("page", theme.page), ("ink", theme.ink), ("muted", theme.muted), ("grid", theme.grid)]
            {
                assert!(part.contains(&format!("--{name}:{};", colour.hex())), "{name}");
            }
        }
    }

    /// What eyes see: all cones, or without long, middle or short ones (Machado, Oliveira, Fernandes 2009, severity 1).
    const EYES: [[[f64; 3]; 3]; 4] = [
        [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
    ];

    /// OKLab (Ottosson 2020) of a colour as an eye sees it, times 100.
    fn seen(colour: Colour, eye: &[[f64; 3]; 3]) -> [f64; 3] {
        let dot = |m: &[f64; 3], v: &[f64; 3]| m[0] * v[0] + m[1] * v[1] + m[2] * v[2];
        let rgb = colour.linear();
        let rgb = [0, 1, 2].map(|i| dot(&eye[i], &rgb).clamp(0.0, 1.0));
        let lms = [
            [0.412_221_470_8, 0.536_332_536_3, 0.051_445_992_9],
            [0.211_903_498_2, 0.680_699_545_1, 0.107_396_956_6],
            [0.088_302_461_9, 0.281_718_837_6, 0.629_978_700_5],
        ]
        .map(|m| dot(&m, &rgb).cbrt());
        [
            [0.210_454_255_3, 0.793_617_785_0, -0.004_072_046_8],
            [1.977_998_495_1, -2.428_592_205_0, 0.450_593_709_9],
            [0.025_904_037_1, 0.782_771_766_2, -0.808_675_766_0],
        ]
        .map(|m| 100.0 * dot(&m, &lms))
    }

    #[test]
    fn no_two_tones_meet_for_any_eye() {
        for theme in [LIGHT, DARK] {
            for (at, (a, first)) in Tone::ALL.into_iter().enumerate() {
                for (b, second) in Tone::ALL.into_iter().skip(at + 1) {
                    for eye in &EYES {
                        let (x, y) = (seen(theme.edge(a), eye), seen(theme.edge(b), eye));
                        let apart = (0..3).map(|i| (x[i] - y[i]).powi(2)).sum::<f64>().sqrt();
                        assert!(apart >= 10.0, "{first} and {second}: {apart:.1}");
                    }
                }
            }
        }
    }
}
