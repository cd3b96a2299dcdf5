//! Drawings as the pages of a PDF: signs as forms that are written once, letters in embedded
//! fonts that hold only what is used. The same pages give the same bytes.

use std::collections::{BTreeMap, BTreeSet};

use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use super::glyphs::Glyph;
use super::glyphs::outline::{Bounds, Outline, Segment};
use super::shape::{Drawing, Ink, Shape};
use super::text::{Face, Font, Text};

/// What a reader shows of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Info<'a> {
    /// The title.
    pub title: &'a str,
    /// Who made it.
    pub author: Option<&'a str>,
}

/// Why there is no PDF.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PdfError {
    /// A font that the program carries cannot be cut down.
    #[error("the font {0} cannot be embedded")]
    Font(String),
    /// More pages than a file can number.
    #[error("there are too many pages")]
    TooLong,
}

/// Pages of one size as a file. `space` is the size of a staff space in points.
///
/// # Errors
/// See [`PdfError`]; both are out of reach for what a lesson holds.
pub fn pdf(pages: &[Drawing], space: f64, info: Info<'_>) -> Result<Vec<u8>, PdfError> {
    let mut file = File { pdf: Pdf::new(), next: 1 };
    let (catalog, tree, about) = (file.reference(), file.reference(), file.reference());
    let used = Used::of(pages);
    let glyphs: BTreeMap<Glyph, Ref> =
        used.glyphs.iter().map(|glyph| (*glyph, file.glyph(*glyph))).collect();
    let mut fonts: BTreeMap<Face, Ref> = BTreeMap::new();
    for (face, letters) in &used.letters {
        fonts.insert(*face, file.font(*face, letters)?);
    }
    let mut kids = Vec::new();
    for page in pages {
        kids.push(file.page(page, space, tree, &glyphs, &fonts));
    }
    file.pdf.catalog(catalog).pages(tree);
    let count = i32::try_from(kids.len()).map_err(|_| PdfError::TooLong)?;
    file.pdf.pages(tree).kids(kids).count(count);
    let mut document = file.pdf.document_info(about);
    document.title(TextStr(info.title));
    if let Some(author) = info.author {
        document.author(TextStr(author));
    }
    document.creator(TextStr(concat!("countoff ", env!("CARGO_PKG_VERSION"))));
    document.finish();
    Ok(file.pdf.finish())
}

/// What the pages draw with.
#[derive(Default)]
struct Used {
    glyphs: BTreeSet<Glyph>,
    letters: BTreeMap<Face, BTreeMap<u16, char>>,
}

impl Used {
    fn of(pages: &[Drawing]) -> Used {
        let mut used = Used::default();
        for shape in pages.iter().flat_map(|page| &page.shapes) {
            match &shape.ink {
                Ink::Glyph { glyph, .. } => {
                    used.glyphs.insert(*glyph);
                }
                Ink::Text(text) => {
                    let letters = used.letters.entry(text.face).or_default();
                    letters
                        .extend(text.letters().map(|(character, glyph, _)| (glyph.0, character)));
                }
                Ink::Rectangle(_) | Ink::Fill(_) => {}
            }
        }
        used
    }
}

struct File {
    pdf: Pdf,
    next: i32,
}

impl File {
    fn reference(&mut self) -> Ref {
        let reference = Ref::new(self.next);
        self.next += 1;
        reference
    }

    /// A sign as a form, a thousand units to the space.
    fn glyph(&mut self, glyph: Glyph) -> Ref {
        let reference = self.reference();
        let mut content = Content::new();
        let drawing = glyph.drawing();
        fill(&mut content, &drawing.outline.placed(0.0, 0.0, 1.0));
        let data = packed(&content.finish());
        let bounds = drawing.bounds;
        let mut form = self.pdf.form_xobject(reference, &data);
        form.filter(Filter::FlateDecode);
        form.bbox(Rect::new(
            small(bounds.x0),
            small(bounds.y0),
            small(bounds.x1),
            small(bounds.y1),
        ));
        form.finish();
        reference
    }

    fn font(&mut self, face: Face, letters: &BTreeMap<u16, char>) -> Result<Ref, PdfError> {
        let failed = || PdfError::Font(format!("{face:?}"));
        let font = face.font().ok_or_else(failed)?;
        let ids: Vec<u16> = letters.keys().copied().collect();
        let whole = subsetter::subset(font.data, 0, subsetter::Profile::pdf(&ids));
        let whole = whole.map_err(|_| failed())?;
        let tables = ttf_parser::RawFace::parse(&whole, 0).map_err(|_| failed())?;
        let outlines = tables.table(ttf_parser::Tag::from_bytes(b"CFF ")).ok_or_else(failed)?;
        // Six letters before the name say that it is a part of a font.
        let name = format!("{}+LibertinusSerif-{face:?}", tag(&ids));
        let name = Name(name.as_bytes());
        let [whole, cid, about, file, cmap] = std::array::from_fn(|_| self.reference());
        let system =
            SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
        self.pdf
            .type0_font(whole)
            .base_font(name)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(cid)
            .to_unicode(cmap);
        let mut descendant = self.pdf.cid_font(cid);
        descendant.subtype(CidFontType::Type0).base_font(name).system_info(system);
        descendant.font_descriptor(about).default_width(0.0);
        let mut widths = descendant.widths();
        for id in &ids {
            let advance = font.advance(ttf_parser::GlyphId(*id)) * 1000.0;
            widths.consecutive(*id, [small(advance)]);
        }
        widths.finish();
        descendant.finish();
        self.descriptor(about, name, font, file);
        let data = packed(outlines);
        let mut stream = self.pdf.stream(file, &data);
        stream.filter(Filter::FlateDecode);
        stream.pair(Name(b"Subtype"), Name(b"CIDFontType0C"));
        stream.finish();
        let mut map = UnicodeCmap::new(Name(b"Letters"), system);
        for (id, character) in letters {
            map.pair(*id, *character);
        }
        self.pdf.cmap(cmap, &map.finish());
        Ok(whole)
    }

    fn descriptor(&mut self, reference: Ref, name: Name<'_>, font: &Font, file: Ref) {
        let face = &font.face;
        let unit = |number: i16| small(f64::from(number) * font.unit() * 1000.0);
        let bounds = face.global_bounding_box();
        let mut descriptor = self.pdf.font_descriptor(reference);
        let mut flags = FontFlags::SYMBOLIC | FontFlags::SERIF;
        flags.set(FontFlags::ITALIC, face.is_italic());
        descriptor
            .name(name)
            .flags(flags)
            .bbox(Rect::new(
                unit(bounds.x_min),
                unit(bounds.y_min),
                unit(bounds.x_max),
                unit(bounds.y_max),
            ))
            .italic_angle(face.italic_angle())
            .ascent(unit(face.ascender()))
            .descent(unit(face.descender()))
            .cap_height(unit(face.capital_height().unwrap_or(face.ascender())))
            .stem_v(if face.is_bold() { 120.0 } else { 80.0 })
            .font_file3(file);
    }

    fn page(
        &mut self,
        page: &Drawing,
        space: f64,
        tree: Ref,
        glyphs: &BTreeMap<Glyph, Ref>,
        fonts: &BTreeMap<Face, Ref>,
    ) -> Ref {
        let (reference, content) = (self.reference(), self.reference());
        let mut out = Content::new();
        // From staff spaces, downwards, to points, upwards.
        let (scale, height) = (small(space), small(page.height * space));
        out.transform([scale, 0.0, 0.0, -scale, 0.0, height]);
        for shape in &page.shapes {
            draw(&mut out, shape);
        }
        let data = packed(&out.finish());
        self.pdf.stream(content, &data).filter(Filter::FlateDecode);
        let mut entry = self.pdf.page(reference);
        entry.parent(tree).contents(content);
        entry.media_box(Rect::new(0.0, 0.0, small(page.width * space), height));
        let mut resources = entry.resources();
        let mut forms = resources.x_objects();
        for (glyph, form) in glyphs {
            forms.pair(Name(format!("{glyph:?}").as_bytes()), form);
        }
        forms.finish();
        let mut faces = resources.fonts();
        for (face, font) in fonts {
            faces.pair(Name(format!("{face:?}").as_bytes()), font);
        }
        faces.finish();
        resources.finish();
        entry.finish();
        reference
    }
}

fn draw(out: &mut Content, shape: &Shape) {
    match &shape.ink {
        Ink::Glyph { glyph, at, scale } => {
            out.save_state();
            out.transform([small(scale.0), 0.0, 0.0, -small(scale.1), small(at.x), small(at.y)]);
            out.x_object(Name(format!("{glyph:?}").as_bytes()));
            out.restore_state();
        }
        Ink::Rectangle(Bounds { x0, y0, x1, y1 }) => {
            out.rect(small(*x0), small(*y0), small(x1 - x0), small(y1 - y0)).fill_nonzero();
        }
        Ink::Fill(outline) => fill(out, outline),
        Ink::Text(text) => words(out, text),
    }
}

fn words(out: &mut Content, text: &Text) {
    let letters: Vec<u8> = text.letters().flat_map(|(_, glyph, _)| glyph.0.to_be_bytes()).collect();
    if letters.is_empty() {
        return;
    }
    out.begin_text();
    out.set_font(Name(format!("{:?}", text.face).as_bytes()), small(text.size));
    out.set_text_matrix([1.0, 0.0, 0.0, -1.0, small(text.at.x), small(text.at.y)]);
    out.show(Str(&letters));
    out.end_text();
}

fn fill(out: &mut Content, outline: &Outline) {
    for contour in &outline.contours {
        out.move_to(small(contour.start.x), small(contour.start.y));
        for segment in &contour.segments {
            match *segment {
                Segment::Line(end) => out.line_to(small(end.x), small(end.y)),
                Segment::Curve(one, two, end) => out.cubic_to(
                    small(one.x),
                    small(one.y),
                    small(two.x),
                    small(two.y),
                    small(end.x),
                    small(end.y),
                ),
            };
        }
        out.close_path();
    }
    out.fill_nonzero();
}

/// Numbers are written with three places, which is finer than any printer.
#[expect(clippy::cast_possible_truncation, reason = "lengths on a page")]
fn small(number: f64) -> f32 {
    ((number * 1000.0).round() / 1000.0) as f32
}

fn packed(bytes: &[u8]) -> Vec<u8> {
    miniz_oxide::deflate::compress_to_vec_zlib(bytes, 6)
}

/// Six letters after what is in the part.
fn tag(ids: &[u16]) -> String {
    let mut number =
        ids.iter().fold(17_u32, |sum, id| sum.wrapping_mul(31).wrapping_add(u32::from(*id)));
    let letters = (0..6).map(|_| {
        let letter = char::from(b'A' + u8::try_from(number % 26).unwrap_or(0));
        number /= 26;
        letter
    });
    letters.collect()
}
