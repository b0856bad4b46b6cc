//! Single kinds of block.

use super::sample::running;
use super::{flow_text, printed};
use crate::paper::{
    Align, Block, BlockKind, Column, ColumnWidth, Document, Drawing, ItemKind, Laid, Mm, PaperError,
    PaperWarning, Picture, Pt, Rect, Role, Row, Shape, Sheet, Span, Text, TextSize, lay_out,
};

fn document(blocks: Vec<Block>) -> Document {
    Document { sheet: Sheet::A4, running: running(), cover: None, blocks }
}

fn laid(blocks: Vec<Block>) -> Laid {
    lay_out(&document(blocks)).unwrap()
}

fn lines(count: usize) -> Vec<Block> {
    (0..count).map(|_| Block::paragraph("one line")).collect()
}

#[test]
fn an_empty_document_has_a_page() {
    assert_eq!(laid(vec![]).pages.len(), 1);
}

#[test]
fn a_link_without_its_place_and_a_name_used_twice_are_errors() {
    let blocks = vec![
        Block::paragraph(Span::link("lost", "nowhere")),
        Block::paragraph("a").anchored("twice"),
        Block::paragraph("b").anchored("twice"),
    ];
    let wanted = PaperError::Anchors { missing: vec!["nowhere".into()], doubled: vec!["twice".into()] };
    assert_eq!(lay_out(&document(blocks)).unwrap_err(), wanted);
}

#[test]
fn an_anchor_on_a_block_without_text_still_resolves() {
    let blocks =
        vec![Block::paragraph(Span::link("to the end", "end")), Block::paragraph("").anchored("end")];
    assert!(laid(blocks).anchors.contains_key("end"));
}

#[test]
fn a_tables_row_can_be_led_to() {
    let row = Row { anchor: Some("row".into()), ..Row::new(vec!["x".into()]) };
    let columns = vec![Column::text("Head", ColumnWidth::Auto)];
    let mut blocks = lines(80);
    blocks.push(Block::table(columns, vec![row]));
    blocks.push(Block::paragraph(Span::page_of("row")));
    let laid = laid(blocks);
    let page = laid.anchors.get("row").unwrap().page;
    assert!(page > 1 && printed(&laid.pages).ends_with(&page.to_string()));
}

fn page_with(laid: &Laid, words: &str) -> usize {
    let holds = |page: &&crate::paper::LaidPage| printed(std::slice::from_ref(page)).contains(words);
    laid.pages.iter().position(|page| holds(&page)).unwrap()
}

/// Words that lead to a table stay with its head and its first two rows.
#[test]
fn a_table_does_not_begin_at_the_foot_of_a_page() {
    let row = |words: &'static str| Row::new(vec![words.into()]);
    for before in 15..45 {
        let mut blocks = lines(before);
        blocks.push(Block::heading(1, "Things"));
        blocks.push(Block::paragraph("They are listed."));
        let columns = vec![Column::text("Head", ColumnWidth::Auto)];
        blocks.push(Block::table(columns, ["alpha", "beta", "gamma", "delta"].map(row).into()));
        let laid = laid(blocks);
        let page = page_with(&laid, "Things");
        assert_eq!([page; 3], ["listed", "alpha", "beta"].map(|words| page_with(&laid, words)), "{before}");
    }
}

#[test]
fn a_heading_goes_over_with_its_text() {
    for before in 20..40 {
        let mut blocks = lines(before);
        blocks.push(Block::heading(2, "heading"));
        blocks.push(Block::paragraph("text\ntext\ntext\ntext"));
        let laid = laid(blocks);
        for page in &laid.pages {
            let texts = flow_text(page);
            let (last, _) = texts.last().unwrap();
            assert_eq!(last.role, Role::Flow, "{before} lines before");
        }
    }
}

#[test]
fn a_paragraph_leaves_two_lines_on_either_page() {
    for before in 20..40 {
        let mut blocks = lines(before);
        blocks.push(Block::paragraph("p\np\np\np\np\np"));
        let laid = laid(blocks);
        for page in &laid.pages {
            let texts = flow_text(page);
            let own = texts.iter().filter(|(_, run)| run.text == "p").count();
            assert_ne!(own, 1, "{before} lines before");
            assert_ne!(own, 5, "{before} lines before");
        }
    }
}

#[test]
fn a_tables_head_repeats_on_each_page_and_its_rows_stay_whole() {
    let columns =
        vec![Column::number("HEAD", ColumnWidth::Auto), Column::text("OTHER", ColumnWidth::Fraction(1.0))];
    let rows = (0..120).map(|row| Row::new(vec![row.to_string().into(), "a\nb".into()]));
    let laid = laid(vec![Block::table(columns, rows.collect())]);
    assert!(laid.pages.len() > 3);
    for page in &laid.pages {
        let texts = flow_text(page);
        let count = |wanted: &str| texts.iter().filter(|(_, run)| run.text == wanted).count();
        assert_eq!(count("HEAD"), 1);
        assert_eq!(count("a"), count("b"));
        assert_eq!(texts.first().unwrap().1.text, "HEAD");
    }
}

#[test]
fn a_row_higher_than_a_page_is_parted() {
    let columns = vec![
        Column::text("HEAD", ColumnWidth::Fixed(Mm(30.0))),
        Column::text("", ColumnWidth::Fraction(1.0)),
    ];
    let tall: Text = "word ".repeat(900).into();
    let rows = vec![Row::new(vec![tall, "beside".into()])];
    let laid = laid(vec![Block::table(columns, rows)]);
    assert!(laid.pages.len() > 1);
    assert_eq!(printed(&laid.pages).matches("word").count(), 900);
    assert_eq!(printed(&laid.pages).matches("HEAD").count(), laid.pages.len());
}

#[test]
fn numbers_stand_flush_right() {
    let columns =
        vec![Column::number("", ColumnWidth::Fixed(Mm(30.0))), Column::text("", ColumnWidth::Fraction(1.0))];
    let rows = ["1", "22", "333.3"].map(|number| Row::new(vec![number.into()]));
    let laid = laid(vec![Block::table(columns, rows.into())]);
    let edges: Vec<i64> = flow_text(laid.pages.first().unwrap())
        .iter()
        .map(|(item, _)| (item.rect.right().0 * 100.0).round() as i64)
        .collect();
    assert_eq!(edges.len(), 3);
    assert!(edges.iter().all(|edge| Some(edge) == edges.first()));
}

#[test]
fn blocks_kept_together_stand_on_one_page() {
    for before in 20..40 {
        let mut blocks = lines(before);
        let group = (0..12).map(|_| Block::paragraph("g")).collect();
        blocks.push(Block::together(group));
        let laid = laid(blocks);
        for page in &laid.pages {
            let texts = flow_text(page);
            let own = texts.iter().filter(|(_, run)| run.text == "g").count();
            assert!(own == 0 || own == 12, "{before} lines before");
        }
    }
}

#[test]
fn a_missing_character_is_reported_with_its_page() {
    let laid = laid(vec![Block::page_break(), Block::paragraph("before 中 after")]);
    assert_eq!(
        laid.warnings,
        [PaperWarning::NoGlyph { characters: vec!['中'], page: 1, near: "before \u{FFFD} after".into() }]
    );
}

#[test]
fn text_too_long_for_its_place_in_a_drawing_is_reported() {
    let words = "far too many words for a place this small";
    let drawing = Drawing {
        width: Pt(60.0),
        height: Pt(20.0),
        shapes: vec![Shape::Text {
            rect: Rect::new(Pt::ZERO, Pt::ZERO, Pt(60.0), Pt(12.0)),
            text: words.into(),
            size: TextSize::Small,
            align: Align::Left,
        }],
    };
    let laid = laid(vec![Block::new(BlockKind::Drawing(drawing))]);
    assert_eq!(laid.warnings, [PaperWarning::CutShort { text: words.into() }]);
    let drawn = laid.pages.iter().flat_map(|page| &page.items);
    let shortened = drawn.filter(|item| match &item.kind {
        ItemKind::Text(run) => item.role == Role::Drawing && run.text.ends_with('…'),
        _ => false,
    });
    assert_eq!(shortened.count(), 1);
}

#[test]
fn a_drawing_larger_than_the_page_is_shrunk_and_reported() {
    let drawing = Drawing { width: Pt(2000.0), height: Pt(100.0), shapes: vec![] };
    let laid = laid(vec![Block::new(BlockKind::Drawing(drawing))]);
    assert!(matches!(laid.warnings.as_slice(), [PaperWarning::Shrunk { percent }] if *percent < 30.0));
}

#[test]
fn a_picture_that_cannot_be_read_leaves_words_and_a_warning() {
    let picture = Picture {
        bytes: b"no picture".as_slice().into(),
        width: Mm(80.0),
        height: Mm(60.0),
        caption: "Panel 1".into(),
    };
    let laid = laid(vec![Block::new(BlockKind::Picture(picture))]);
    assert!(matches!(laid.warnings.as_slice(), [PaperWarning::UnreadablePicture { .. }]));
    assert!(printed(&laid.pages).contains("cannotberead"));
}

#[test]
fn lengths_that_are_no_numbers_do_no_harm() {
    let drawing = Drawing {
        width: Pt(f64::NAN),
        height: Pt(f64::INFINITY),
        shapes: vec![Shape::rect(Rect::new(Pt(f64::NAN), Pt(1.0), Pt(f64::INFINITY), Pt(-4.0)), None, None)],
    };
    let blocks = vec![
        Block::new(BlockKind::Drawing(drawing)),
        Block::new(BlockKind::Space(Pt(f64::NAN))),
        Block::table(
            vec![
                Column::text("a", ColumnWidth::Fraction(f64::NAN)),
                Column::text("b", ColumnWidth::Fixed(Mm(f64::NAN))),
            ],
            vec![Row::new(vec!["x".into(), "y".into()])],
        ),
        Block::paragraph("end"),
    ];
    let laid = laid(blocks);
    let finite = |value: Pt| value.0.is_finite();
    let items = laid.pages.iter().flat_map(|page| &page.items);
    for item in items {
        assert!(finite(item.rect.x) && finite(item.rect.y), "{item:?}");
        assert!(finite(item.rect.right()) && finite(item.rect.bottom()), "{item:?}");
    }
}
