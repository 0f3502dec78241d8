//! One face in a PDF: the glyphs that the pages use, their widths, and which text they stand for.

use super::packed;
use crate::sheet::{Face, Mark, Page};
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, Str};
use std::collections::BTreeMap;
use subsetter::GlyphRemapper;

/// A face and the glyphs of it that are used.
pub struct Font {
    face: Face,
    remapper: GlyphRemapper,
    /// New glyph number → width in thousandths, and the character it stands for.
    glyphs: BTreeMap<u16, (f64, char)>,
}

const ADOBE: SystemInfo<'static> = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

impl Font {
    /// The face as the pages use it; `None` where they do not.
    pub fn of(face: Face, pages: &[Page]) -> Option<Self> {
        let texts = pages.iter().flat_map(|p| &p.marks).filter_map(|m| match m {
            Mark::Text { text, face: own, .. } if *own == face => Some(text.as_str()),
            _ => None,
        });
        let mut used: Vec<(u16, char)> = texts.flat_map(str::chars).map(|c| (face.glyph(c), c)).collect();
        used.sort_unstable();
        used.dedup_by_key(|(glyph, _)| *glyph);
        if used.is_empty() {
            return None;
        }
        let mut remapper = GlyphRemapper::new();
        let glyphs = used.iter().map(|(old, c)| (remapper.remap(*old), (face.advance(*old), *c))).collect();
        Some(Self { face, remapper, glyphs })
    }
    /// A text as two-byte glyph numbers.
    pub fn encode(&self, text: &str) -> Vec<u8> {
        let new = |c: char| self.remapper.get(self.face.glyph(c)).unwrap_or(0);
        text.chars().flat_map(|c| new(c).to_be_bytes()).collect()
    }
    /// Writes it as a composite font.
    pub fn write(&self, id: Ref, ids: &mut impl FnMut() -> Ref, pdf: &mut Pdf) {
        let (cid, descriptor, file, cmap) = (ids(), ids(), ids(), ids());
        // Subsets are tagged by six letters (ISO 32000-1, 9.6.4); the same for all, since each document has one a face.
        let name = format!("SLOTWR+{}", self.face.name());
        let name = Name(name.as_bytes());
        let mut font = pdf.type0_font(id);
        font.base_font(name).encoding_predefined(Name(b"Identity-H")).descendant_font(cid).to_unicode(cmap);
        font.finish();
        let mut entry = pdf.cid_font(cid);
        entry.subtype(CidFontType::Type2).base_font(name).system_info(ADOBE).font_descriptor(descriptor);
        entry.default_width(0.0).cid_to_gid_map_predefined(Name(b"Identity"));
        let mut widths = entry.widths();
        for (glyph, (width, _)) in &self.glyphs {
            widths.same(*glyph, *glyph, *width as f32);
        }
        widths.finish();
        entry.finish();
        self.describe(descriptor, file, name, pdf);
        let subset =
            subsetter::subset(self.face.data(), 0, &self.remapper).unwrap_or_else(|_| self.face.data().to_vec());
        let length = subset.len() as i32;
        pdf.stream(file, &packed(&subset)).filter(Filter::FlateDecode).pair(Name(b"Length1"), length);
        let mut map = UnicodeCmap::new(Name(b"Custom"), ADOBE);
        for (glyph, (_, c)) in &self.glyphs {
            map.pair(*glyph, *c);
        }
        pdf.cmap(cmap, &map.finish());
    }
    fn describe(&self, id: Ref, file: Ref, name: Name<'_>, pdf: &mut Pdf) {
        let Some(face) = self.face.parsed() else { return };
        let scale = 1000.0 / f32::from(face.units_per_em().max(1));
        let bounds = face.global_bounding_box();
        let bounds = [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max].map(|v| f32::from(v) * scale);
        let capital = face.capital_height().unwrap_or_else(|| face.ascender());
        pdf.font_descriptor(id)
            .name(name)
            .flags(FontFlags::SYMBOLIC)
            .bbox(Rect::new(bounds[0], bounds[1], bounds[2], bounds[3]))
            .italic_angle(0.0)
            .ascent(f32::from(face.ascender()) * scale)
            .descent(f32::from(face.descender()) * scale)
            .cap_height(f32::from(capital) * scale)
            .stem_v(if self.face == Face::Bold { 140.0 } else { 80.0 })
            .font_file2(file);
    }
}
