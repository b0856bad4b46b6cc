//! The content of a page (ISO 32000-1, 7.8.2), written straight as bytes: glyphs as two bytes each and places in
//! whole hundredths of a point, which is less to write and to compress than what a general writer makes.
//! Here, and in the links, y turns upwards.

use std::io::Write;

use flate2::Compression;
use flate2::write::ZlibEncoder;

use super::drawing::Stroke;
use super::faces::FaceId;
use super::laid::{Item, ItemKind, Laid, LaidPage, TextRun};
use super::pdf_faces::Codes;
use super::pdf_picture;
use super::tokens::Colour;
use super::units::{Point, Pt, Rect};

/// How hard content is pressed, 0 to 9. Above this it takes much longer for very little.
const LEVEL: u32 = 6;
/// Most threads that write pages.
const MOST_THREADS: usize = 4;

/// The compressed content of every page, in order. Pages do not hang on each other, so several are written at the
/// same time; the bytes are the same on every machine.
pub(super) fn contents(laid: &Laid, codes: &Codes) -> Vec<Vec<u8>> {
    let threads = std::thread::available_parallelism().map_or(1, usize::from).min(MOST_THREADS);
    let share = laid.pages.len().div_ceil(threads).max(1);
    let write = |pages: &[LaidPage]| pages.iter().map(|page| packed(&content(laid, page, codes))).collect();
    std::thread::scope(|scope| {
        let shares = laid.pages.chunks(share);
        let threads: Vec<_> =
            shares.map(|pages| (pages, scope.spawn(move || -> Vec<Vec<u8>> { write(pages) }))).collect();
        threads
            .into_iter()
            .flat_map(|(pages, thread)| thread.join().unwrap_or_else(|_| write(pages)))
            .collect()
    })
}

fn packed(content: &[u8]) -> Vec<u8> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::new(LEVEL));
    // Nothing fails on the way into memory.
    let _ = encoder.write_all(content);
    encoder.finish().unwrap_or_default()
}

fn content(laid: &Laid, page: &LaidPage, codes: &Codes) -> Vec<u8> {
    let mut writer = Writer::new(page.height, codes);
    for item in &page.items {
        writer.item(item, laid);
    }
    writer.end_text();
    writer.out
}

/// What was written so far, and what is set, so that nothing is set twice.
struct Writer<'a> {
    height: Pt,
    codes: &'a Codes,
    out: Vec<u8>,
    /// Inside of text: where its last run began, in hundredths.
    text: Option<(i64, i64)>,
    face: Option<(FaceId, i64)>,
    fill: Option<Colour>,
    stroke: Option<Stroke>,
}

impl<'a> Writer<'a> {
    fn new(height: Pt, codes: &'a Codes) -> Self {
        let out = Vec::with_capacity(16 * 1024);
        Self { height, codes, out, text: None, face: None, fill: None, stroke: None }
    }

    fn item(&mut self, item: &Item, laid: &Laid) {
        match &item.kind {
            ItemKind::Text(run) => self.run(item.rect.x, run),
            ItemKind::Polyline { points, stroke } => self.polyline(points, *stroke),
            ItemKind::Polygon { points, stroke, fill } => self.polygon(points, *stroke, *fill),
            ItemKind::Picture(index) => self.picture(laid.first_like(*index), item.rect),
            ItemKind::Link { .. } => {}
        }
    }

    fn run(&mut self, x: Pt, run: &TextRun) {
        if run.text.is_empty() {
            return;
        }
        self.fill(run.colour);
        let last = match self.text {
            Some(last) => last,
            None => {
                self.word("BT");
                (0, 0)
            }
        };
        let size = hundredths(run.size.points() * run.scale);
        if self.face != Some((run.face, size)) {
            self.face = Some((run.face, size));
            self.out.push(b'/');
            self.out.extend(run.face.resource().as_bytes());
            self.out.push(b' ');
            self.number(size);
            self.word("Tf");
        }
        let place = (hundredths(x), hundredths(self.height - run.baseline));
        self.number(place.0 - last.0);
        self.number(place.1 - last.1);
        self.word("Td");
        self.text = Some(place);
        self.string(run);
        self.word("Tj");
    }

    /// The glyphs of a run, two bytes each; what would end or change the string is marked (7.3.4.2).
    fn string(&mut self, run: &TextRun) {
        self.out.push(b'(');
        for character in run.text.chars() {
            for byte in self.codes.code(run.face, character).to_be_bytes() {
                match byte {
                    b'(' | b')' | b'\\' => self.out.extend([b'\\', byte]),
                    b'\r' => self.out.extend(br"\r"),
                    other => self.out.push(other),
                }
            }
        }
        self.out.push(b')');
    }

    fn end_text(&mut self) {
        if self.text.take().is_some() {
            self.word("ET");
        }
    }

    fn polyline(&mut self, points: &[Point], stroke: Stroke) {
        self.end_text();
        self.stroke(stroke);
        self.path(points);
        self.word("S");
    }

    fn polygon(&mut self, points: &[Point], stroke: Option<Stroke>, fill: Option<Colour>) {
        let paint = match (stroke, fill) {
            (None, None) => return,
            (Some(_), None) => "s",
            (None, Some(_)) => "f",
            (Some(_), Some(_)) => "b",
        };
        self.end_text();
        if let Some(stroke) = stroke {
            self.stroke(stroke);
        }
        if let Some(fill) = fill {
            self.fill(fill);
        }
        self.path(points);
        self.word(paint);
    }

    fn path(&mut self, points: &[Point]) {
        for (at, point) in points.iter().enumerate() {
            self.number(hundredths(point.x));
            self.number(hundredths(self.height - point.y));
            self.word(if at == 0 { "m" } else { "l" });
        }
    }

    fn picture(&mut self, index: usize, rect: Rect) {
        self.end_text();
        self.word("q");
        self.number(hundredths(rect.width));
        self.out.extend(b"0 0 ");
        self.number(hundredths(rect.height));
        self.number(hundredths(rect.x));
        self.number(hundredths(self.height - rect.bottom()));
        self.word("cm");
        self.out.push(b'/');
        self.out.extend(pdf_picture::id(index).0.as_bytes());
        self.out.push(b' ');
        self.word("Do");
        self.word("Q");
    }

    fn fill(&mut self, colour: Colour) {
        if self.fill != Some(colour) {
            self.fill = Some(colour);
            self.colour(colour);
            self.word("rg");
        }
    }

    fn stroke(&mut self, stroke: Stroke) {
        let set = self.stroke;
        if set.map(|set| set.colour) != Some(stroke.colour) {
            self.colour(stroke.colour);
            self.word("RG");
        }
        if set.map(|set| set.width) != Some(stroke.width) {
            self.number(hundredths(stroke.width));
            self.word("w");
        }
        if set.map(|set| set.dash).unwrap_or_default() != stroke.dash {
            self.out.push(b'[');
            if let Some((dash, gap)) = stroke.dash {
                self.number(hundredths(dash));
                self.number(hundredths(gap));
            }
            self.out.extend(b"] 0 ");
            self.word("d");
        }
        self.stroke = Some(stroke);
    }

    fn colour(&mut self, colour: Colour) {
        for part in colour.rgb() {
            self.decimal((i64::from(part) * 1000 + 127) / 255, 3);
        }
    }

    fn number(&mut self, hundredths: i64) {
        self.decimal(hundredths, 2);
    }

    /// A number with so many decimals, the last zeros left out, and a space.
    fn decimal(&mut self, value: i64, decimals: u32) {
        let unit = 10_u64.pow(decimals);
        let (whole, mut rest) = (value.unsigned_abs() / unit, value.unsigned_abs() % unit);
        if value < 0 {
            self.out.push(b'-');
        }
        let _ = write!(self.out, "{whole}");
        if rest > 0 {
            self.out.push(b'.');
        }
        let mut place = unit / 10;
        while rest > 0 {
            self.out.push(b'0' + u8::try_from(rest / place).unwrap_or(0));
            rest %= place;
            place = (place / 10).max(1);
        }
        self.out.push(b' ');
    }

    fn word(&mut self, operator: &str) {
        self.out.extend(operator.as_bytes());
        self.out.push(b'\n');
    }
}

/// Hundredths of a point: finer than any printer, and short in the file.
fn hundredths(length: Pt) -> i64 {
    (length.0 * 100.0).round() as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn decimal(value: i64, decimals: u32) -> String {
        let codes = Codes::default();
        let mut writer = Writer::new(Pt(800.0), &codes);
        writer.decimal(value, decimals);
        String::from_utf8(writer.out).unwrap()
    }

    #[test]
    fn numbers_are_short_and_exact() {
        let got = [(5102, 2), (-5, 2), (400, 2), (0, 2), (40, 2), (227, 3), (1000, 3), (-1250, 2)];
        let got = got.map(|(value, decimals)| decimal(value, decimals));
        assert_eq!(got, ["51.02 ", "-0.05 ", "4 ", "0 ", "0.4 ", "0.227 ", "1 ", "-12.5 "]);
    }
}
