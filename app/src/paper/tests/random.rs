//! Random documents. Their text has lower-case letters only, the heads of their tables, the
//! titles of signal blocks and every marker have none, so that letters can be counted.

use proptest::collection::vec;
use proptest::prelude::*;

use super::sample::running;
use crate::paper::{
    Align, Block, BlockKind, Colour, Column, ColumnWidth, Cover, Document, Drawing, Mm, Point, Pt, Rect, Row,
    Shape, Sheet, SignalWord, Signature, Span, Stroke, Text, TextSize,
};

/// Any document; it ends with two lines of text, so that no heading is its end.
pub(super) fn any_document() -> impl Strategy<Value = Document> {
    let sheet = prop_oneof![Just(Sheet::A4), Just(Sheet::Letter)];
    let cover = proptest::option::weighted(0.3, any_cover());
    (sheet, cover, vec(any_block(2), 0..28)).prop_map(|(sheet, cover, mut blocks)| {
        blocks.push(Block::paragraph("the end\nof it"));
        Document { sheet, running: running(), cover, blocks }
    })
}

fn any_cover() -> impl Strategy<Value = Cover> {
    (words(8), vec(any_block(1), 0..4), vec(any_block(0), 0..2)).prop_map(|(title, blocks, foot)| Cover {
        kind: "kind".into(),
        title,
        subtitle: "subtitle".into(),
        blocks,
        foot,
    })
}

/// Words of lower-case letters, some very long.
fn words(most: usize) -> impl Strategy<Value = String> {
    let word = prop_oneof![
        12 => "[a-zäéω]{1,12}",
        1 => "[a-z]{60,130}",
        1 => "[a-z]{2,9}[-/ ][a-z]{2,9}",
        1 => Just("≥ ² Ω − Δ °".to_owned()),
    ];
    vec(word, 0..=most).prop_map(|words| words.join(" "))
}

fn any_text(most: usize) -> impl Strategy<Value = Text> {
    let span = (words(most), 0..4_u8).prop_map(|(words, style)| match style {
        0 => Span::bold(words),
        1 => Span::soft(words),
        _ => Span::new(format!("{words} ")),
    });
    vec(span, 0..4).prop_map(Text)
}

/// The title of a signal block stands again where the block goes on upon another page, so its letters are not
/// counted.
fn in_capitals(mut title: Text) -> Text {
    title.0.iter_mut().for_each(|span| span.text = span.text.to_uppercase());
    title
}

fn any_block(depth: u32) -> BoxedStrategy<Block> {
    let leaf = prop_oneof![
        4 => (0..5_u8, words(7)).prop_map(|(level, text)| Block::heading(level, text)),
        6 => any_text(40).prop_map(Block::paragraph),
        1 => any_text(700).prop_map(Block::paragraph),
        2 => (any::<bool>(), vec(any_text(12), 0..14)).prop_map(|(numbered, items)| {
            Block::new(BlockKind::List { numbered, items })
        }),
        2 => (0..6_usize, vec((words(4), any_text(9)), 0..9)).prop_map(|(columns, pairs)| {
            let labelled = pairs.into_iter().map(|(label, value)| (format!("label {label}"), value));
            Block::key_values(columns, labelled.collect())
        }),
        3 => any_table(),
        2 => (words(3), any_text(12)).prop_map(|(figure, text)| Block::figure(figure, text)),
        2 => vec(words(9), 0..4).prop_map(signatures),
        1 => (-10.0..400.0_f64).prop_map(|height| Block::new(BlockKind::Space(Pt(height)))),
        1 => Just(Block::page_break()),
        2 => (1.0..900.0_f64, 1.0..1200.0_f64).prop_map(|(width, height)| drawing(width, height)),
        1 => words(4).prop_map(|text| Block::paragraph(text).kept_with_next()),
    ];
    if depth == 0 {
        return leaf.boxed();
    }
    let inner = || vec(any_block(depth - 1), 0..6);
    prop_oneof![
        12 => leaf,
        1 => (0..4_usize, any_text(9), inner()).prop_map(|(word, title, blocks)| {
            let all = [SignalWord::Danger, SignalWord::Warning, SignalWord::Caution];
            let word = all.get(word).copied().unwrap_or(SignalWord::Notice);
            Block::signal(word, in_capitals(title), blocks)
        }),
        1 => inner().prop_map(Block::note),
        1 => inner().prop_map(Block::together),
    ]
    .boxed()
}

fn any_table() -> impl Strategy<Value = Block> {
    let width = prop_oneof![
        Just(ColumnWidth::Auto),
        (0.0..4.0_f64).prop_map(ColumnWidth::Fraction),
        (0.0..90.0_f64).prop_map(|width| ColumnWidth::Fixed(Mm(width))),
    ];
    let align = prop_oneof![Just(Align::Left), Just(Align::Middle), Just(Align::Right)];
    let column = (width, align, 0..3_usize).prop_map(|(width, align, head)| Column {
        head: "HEAD ".repeat(head),
        width,
        align,
    });
    let cell = prop_oneof![8 => any_text(3), 1 => any_text(60)];
    // A row with nothing in it would look like the heading before it standing last.
    let row = (vec(cell, 0..8), any::<bool>()).prop_map(|(mut cells, strong)| {
        cells.insert(0, "way".into());
        Row { cells, strong, anchor: None }
    });
    (vec(column, 0..7), vec(row, 0..30)).prop_map(|(columns, rows)| Block::table(columns, rows))
}

fn signatures(roles: Vec<String>) -> Block {
    let place = |role: &String| Signature {
        role: role.clone(),
        name: "name".into(),
        signed: String::new(),
        ink: None,
    };
    Block::new(BlockKind::Signatures(roles.iter().map(place).collect()))
}

/// A drawing that reaches beyond its own border.
fn drawing(width: f64, height: f64) -> Block {
    let far = Point::new(width * 2.0, height * 1.5);
    let text = Rect::new(Pt(width * 0.8), Pt(height * 0.9), Pt(width), Pt(height));
    Block::new(BlockKind::Drawing(Drawing {
        width: Pt(width),
        height: Pt(height),
        shapes: vec![
            Shape::line(Point::new(-5.0, -5.0), far, Stroke::ink(1.0)),
            Shape::rect(text, None, Some(Colour::Tint)),
            Shape::Text { rect: text, text: "DRAWN".into(), size: TextSize::Body, align: Align::Left },
        ],
    }))
}

/// All text that must be printed.
pub(super) fn expected_letters(document: &Document) -> String {
    let mut text = String::new();
    if let Some(cover) = &document.cover {
        text.push_str(&format!("{}{}{}", cover.kind, cover.title, cover.subtitle));
        blocks_text(&cover.blocks, &mut text);
        blocks_text(&cover.foot, &mut text);
    }
    blocks_text(&document.blocks, &mut text);
    text
}

fn blocks_text(blocks: &[Block], all: &mut String) {
    for block in blocks {
        block_text(&block.kind, all);
    }
}

fn block_text(kind: &BlockKind, all: &mut String) {
    match kind {
        BlockKind::Heading { text, .. } | BlockKind::Paragraph(text) => all.push_str(&text.plain()),
        BlockKind::List { items, .. } => items.iter().for_each(|text| all.push_str(&text.plain())),
        BlockKind::KeyValues { pairs, .. } => {
            for (label, value) in pairs {
                all.push_str(label);
                all.push_str(&value.plain());
            }
        }
        BlockKind::Table(table) => {
            let cells = table.rows.iter().flat_map(|row| &row.cells);
            cells.for_each(|text| all.push_str(&text.plain()));
        }
        BlockKind::Signal { title, blocks, .. } => {
            all.push_str(&title.plain());
            blocks_text(blocks, all);
        }
        BlockKind::Figure { figure, words } => {
            all.push_str(figure);
            all.push_str(&words.plain());
        }
        BlockKind::Signatures(places) => {
            for place in places {
                all.push_str(&place.role);
                all.push_str(&place.name);
            }
        }
        BlockKind::Note(blocks) | BlockKind::Together(blocks) => blocks_text(blocks, all),
        _ => {}
    }
}
