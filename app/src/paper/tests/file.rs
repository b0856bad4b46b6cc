//! The written file, read back.

use std::io::Cursor;

use super::sample::{document, meta, running};
use crate::paper::{Block, BlockKind, Document, Mm, Picture, Sheet, Written, lay_out, write};

fn written(document: &Document) -> Written {
    write(&lay_out(document).unwrap(), &meta()).unwrap()
}

fn read(bytes: &[u8]) -> lopdf::Document {
    lopdf::Document::load_mem(bytes).unwrap()
}

fn plain(blocks: Vec<Block>) -> Document {
    Document { sheet: Sheet::Letter, running: running(), cover: None, blocks }
}

fn holds(bytes: &[u8], wanted: &[u8]) -> bool {
    bytes.windows(wanted.len()).any(|window| window == wanted)
}

#[test]
fn the_same_document_gives_the_same_bytes() {
    let document = document(Sheet::A4, 2);
    assert_eq!(written(&document).bytes, written(&document).bytes);
}

#[test]
fn another_document_gets_another_name() {
    let name = |blocks| {
        let file = read(&written(&plain(blocks)).bytes);
        format!("{:?}", file.trailer.get(b"ID").unwrap())
    };
    let one = name(vec![Block::paragraph("one")]);
    assert_ne!(one, name(vec![Block::paragraph("two")]));
    assert!(!one.contains("0000000000000000"));
}

/// The same file with its small objects in the open.
fn unpacked(bytes: &[u8]) -> Vec<u8> {
    let mut open = Vec::new();
    read(bytes).save_to(&mut open).unwrap();
    open
}

#[test]
fn the_writer_has_nothing_to_report() {
    assert_eq!(written(&document(Sheet::Letter, 2)).warnings, []);
}

#[test]
fn the_trades_characters_are_read_back() {
    let text = "41.4 A ≥ 40 A, 2.5 mm², 0.4 Ω, −5 %, Δ 3 K, 60 °C, I₂, R → S";
    let bytes = written(&plain(vec![Block::paragraph(text)])).bytes;
    let found = read(&bytes).extract_text(&[1]).unwrap();
    for part in ["≥", "mm²", "Ω", "−5", "Δ", "°C", "I₂", "→"] {
        let part: String = part.to_owned();
        let joined = found.replace(['\n', ' '], "");
        assert!(joined.contains(&part), "{part} in {found}");
    }
}

#[test]
fn the_file_claims_no_standard_and_knows_its_dates() {
    let bytes = unpacked(&written(&document(Sheet::A4, 1)).bytes);
    for claim in ["PDFX", "OutputIntent", "pdfaid", "1970"] {
        assert!(!holds(&bytes, claim.as_bytes()), "{claim}");
    }
    assert!(holds(&bytes, b"D:20260131093000-05'00'"));
}

#[test]
fn bookmarks_have_levels() {
    let blocks = vec![
        Block::heading(1, "first"),
        Block::heading(2, "below"),
        Block::paragraph("text"),
        Block::heading(1, "second"),
        Block::paragraph("text"),
    ];
    let file = read(&written(&plain(blocks)).bytes);
    let contents = file.get_toc().unwrap();
    let seen: Vec<(usize, &str, usize)> =
        contents.toc.iter().map(|entry| (entry.level, entry.title.as_str(), entry.page)).collect();
    assert_eq!(seen, [(1, "first", 1), (2, "below", 1), (1, "second", 1)]);
}

#[test]
fn every_link_leads_to_a_page() {
    let file = read(&written(&document(Sheet::A4, 2)).bytes);
    let pages = file.get_pages();
    let mut links = 0;
    for page in pages.values() {
        for link in file.get_page_annotations(*page).unwrap() {
            let action = link.get(b"A").and_then(lopdf::Object::as_dict).unwrap();
            let target = action.get(b"D").and_then(lopdf::Object::as_array).unwrap();
            let target = target.first().unwrap().as_reference().unwrap();
            assert!(pages.values().any(|page| *page == target));
            links += 1;
        }
    }
    assert!(links > 8, "{links}");
}

#[test]
fn a_face_is_in_the_file_only_where_it_is_used() {
    let without = unpacked(&written(&plain(vec![Block::paragraph("plain")])).bytes);
    let with = unpacked(&written(&plain(vec![Block::paragraph("I₂")])).bytes);
    assert!(!holds(&without, b"DejaVu") && !holds(&without, b"NotoSans-Bold"));
    assert!(holds(&with, b"DejaVu"));
}

#[test]
fn forty_pages_take_less_than_four_hundred_kilobytes() {
    let document = document(Sheet::A4, 16);
    let pages = lay_out(&document).unwrap().pages.len();
    let bytes = written(&document).bytes.len();
    assert!(pages >= 38, "{pages}");
    assert!(bytes < 400_000, "{bytes}");
}

#[test]
fn a_picture_is_in_the_file() {
    let image = image::RgbImage::from_fn(64, 32, |x, y| image::Rgb([x as u8, y as u8, 9]));
    let mut bytes = Vec::new();
    let format = image::ImageFormat::Jpeg;
    image.write_to(&mut Cursor::new(&mut bytes), format).unwrap();
    let picture =
        Picture { bytes: bytes.into(), width: Mm(60.0), height: Mm(60.0), caption: "Panel 1".into() };
    let blocks = vec![Block::new(BlockKind::Picture(picture))];
    let file = read(&written(&plain(blocks)).bytes);
    let page = *file.get_pages().get(&1).unwrap();
    let images = file.get_page_images(page).unwrap();
    let sizes: Vec<(i64, i64)> = images.iter().map(|image| (image.width, image.height)).collect();
    assert_eq!(sizes, [(64, 32)]);
}
