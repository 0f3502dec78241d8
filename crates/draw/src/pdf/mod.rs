//! Pages as PDF (ISO 32000-1): fonts embedded as subsets, text that can be searched, the same bytes for the same sheet.

mod font;

use crate::palette::Colour;
use crate::sheet::{self, Face, Mark, Op, Page, Paper, Sheet, Stroke};
use font::Font;
use pdf_writer::types::LineCapStyle;
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str, TextStr};
use std::collections::BTreeMap;

/// Prints a sheet on paper.
pub fn render(sheet: &Sheet, paper: Paper) -> Vec<u8> {
    let pages = sheet::pages(sheet, paper);
    let fonts: BTreeMap<Face, Font> = Face::ALL.into_iter().filter_map(|f| Some((f, Font::of(f, &pages)?))).collect();
    let mut next = Ref::new(1);
    let mut ids = || next.bump();
    let (catalogue, tree, info) = (ids(), ids(), ids());
    let page_ids: Vec<(Ref, Ref)> = pages.iter().map(|_| (ids(), ids())).collect();
    let font_ids: BTreeMap<Face, Ref> = fonts.keys().map(|f| (*f, ids())).collect();
    let mut pdf = Pdf::new();
    let mut root = pdf.catalog(catalogue);
    root.pages(tree).lang(TextStr(&sheet.language));
    root.viewer_preferences().display_doc_title(true);
    root.finish();
    pdf.pages(tree).kids(page_ids.iter().map(|(p, _)| *p)).count(pages.len() as i32);
    pdf.document_info(info).title(TextStr(&sheet.title)).producer(TextStr("slotwright"));
    for (page, (id, content)) in pages.iter().zip(&page_ids) {
        let mut entry = pdf.page(*id);
        entry.parent(tree).contents(*content);
        entry.media_box(Rect::new(0.0, 0.0, page.width as f32, page.height as f32));
        let mut resources = entry.resources();
        let mut names = resources.fonts();
        for (face, font) in &font_ids {
            names.pair(Name(face.name().as_bytes()), *font);
        }
        names.finish();
        resources.finish();
        entry.finish();
        let packed = packed(&print(page, &fonts));
        pdf.stream(*content, &packed).filter(pdf_writer::Filter::FlateDecode);
    }
    for (face, font) in &fonts {
        if let Some(id) = font_ids.get(face) {
            font.write(*id, &mut ids, &mut pdf);
        }
    }
    pdf.finish()
}

/// Compressed as PDF streams are (RFC 1950).
fn packed(bytes: &[u8]) -> Vec<u8> {
    miniz_oxide::deflate::compress_to_vec_zlib(bytes, 7)
}

fn print(page: &Page, fonts: &BTreeMap<Face, Font>) -> Vec<u8> {
    let mut content = Content::new();
    for mark in &page.marks {
        match mark {
            Mark::Text { x, y, text, face, size, ink, turned } => {
                let Some(font) = fonts.get(face) else { continue };
                let (x, y) = (*x as f32, (page.height - y) as f32);
                content.begin_text().set_font(Name(face.name().as_bytes()), *size as f32);
                fill(&mut content, *ink);
                let matrix = if *turned { [0.0, 1.0, -1.0, 0.0, x, y] } else { [1.0, 0.0, 0.0, 1.0, x, y] };
                content.set_text_matrix(matrix).show(Str(&font.encode(text))).end_text();
            }
            Mark::Path { ops, fill: ground, stroke } => {
                content.save_state();
                if let Some(ink) = ground {
                    fill(&mut content, *ink);
                }
                if let Some(stroke) = stroke {
                    pen(&mut content, stroke);
                }
                trace(&mut content, ops, page.height);
                match (ground, stroke) {
                    (Some(_), Some(_)) => content.fill_nonzero_and_stroke(),
                    (Some(_), None) => content.fill_nonzero(),
                    (None, Some(_)) => content.stroke(),
                    (None, None) => content.end_path(),
                };
                content.restore_state();
            }
        }
    }
    content.finish().into_vec()
}

fn parts(ink: Colour) -> [f32; 3] {
    [ink.0, ink.1, ink.2].map(|c| f32::from(c) / 255.0)
}

fn fill(content: &mut Content, ink: Colour) {
    let [r, g, b] = parts(ink);
    content.set_fill_rgb(r, g, b);
}

fn pen(content: &mut Content, stroke: &Stroke) {
    let [r, g, b] = parts(stroke.ink);
    content.set_stroke_rgb(r, g, b).set_line_width(stroke.width as f32);
    if stroke.round {
        content.set_line_cap(LineCapStyle::RoundCap).set_line_join(pdf_writer::types::LineJoinStyle::RoundJoin);
    }
    if let Some((dash, gap)) = stroke.dash {
        content.set_dash_pattern([dash as f32, gap as f32], 0.0);
    }
}

fn trace(content: &mut Content, ops: &[Op], height: f64) {
    let at = |x: &f64, y: &f64| (*x as f32, (height - y) as f32);
    for op in ops {
        match op {
            Op::Move(x, y) => {
                let (x, y) = at(x, y);
                content.move_to(x, y);
            }
            Op::Line(x, y) => {
                let (x, y) = at(x, y);
                content.line_to(x, y);
            }
            Op::Curve([a, b, c, d, x, y]) => {
                let ((a, b), (c, d), (x, y)) = (at(a, b), at(c, d), at(x, y));
                content.cubic_to(a, b, c, d, x, y);
            }
            Op::Close => {
                content.close_path();
            }
        }
    }
}
