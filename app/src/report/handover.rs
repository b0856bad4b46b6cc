//! The page that is signed: acceptance, signatures with their ink, fingerprint and QR code; and what
//! the electrician answered.

use deadfront_rules::Assessment;
use deadfront_rules::finding::Finding;
use deadfront_rules::house::{Index, describe};
use deadfront_rules::say;
use deadfront_rules::survey::{Answer, Ink, Role, Signature as Signed, Survey};
use deadfront_rules::words::word;

use super::words::check_title;
use super::{Numbered, qr};
use crate::paper::{
    Block, BlockKind, Column, ColumnWidth, Drawing, Point, Pt, Row, Shape, Signature, Span, Stroke, Text,
};
use crate::sign::{fingerprint, key_fingerprint};

/// What stands in the head of every page.
pub(super) fn revision_words(survey: &Survey) -> String {
    match survey.frozen_by() {
        Some(first) => say!(
            "Revision {}, signed {}",
            survey.revision.to_string(),
            (first.when.format("%Y-%m-%d")).to_string()
        )
        .to_string(),
        None => say!("Revision {}, draft, not signed", survey.revision.to_string()).to_string(),
    }
}

/// What the electrician answered, finding by finding.
pub(super) fn answers(survey: &Survey, assessment: &Assessment, numbered: &[Numbered<'_>]) -> Vec<Block> {
    if survey.answers.is_empty() {
        return Vec::new();
    }
    let index = Index::of(survey);
    let rows = survey.answers.iter().map(|answer| {
        let (_, name) = describe(survey, &index, &answer.item);
        let mut said = vec![Span::bold(answer.answer.words())];
        if !answer.reason.is_empty() {
            said.push(Span::new(format!(": {}", answer.reason)));
        }
        Row::new(vec![
            numbers(answer, numbered),
            check_title(&answer.check).into(),
            Text::from([Span::new(name), Span::soft(format!("  {}", answer.item))]),
            Text::from(said),
            format!("{}, {}", answer.by, answer.when.format("%Y-%m-%d")).into(),
        ])
    });
    let columns = vec![
        Column::text("No.", ColumnWidth::Auto),
        Column::text("Finding", ColumnWidth::Fraction(0.25)),
        Column::text("Where", ColumnWidth::Fraction(0.25)),
        Column::text("Answer", ColumnWidth::Fraction(0.5)),
        Column::text("By", ColumnWidth::Auto),
    ];
    vec![
        Block::heading(1, "What the electrician answers"),
        Block::paragraph(open_words(survey, assessment)),
        Block::table(columns, rows.collect()),
    ]
}

/// The numbers of the findings that an answer holds for, each leading there; none where it is about
/// something that could not be told.
fn numbers(answer: &Answer, numbered: &[Numbered<'_>]) -> Text {
    let meant =
        |one: &&Numbered<'_>| one.finding.check == answer.check && one.finding.subject.id == answer.item;
    let mut spans = Vec::new();
    for one in numbered.iter().filter(meant) {
        if !spans.is_empty() {
            spans.push(Span::new(", "));
        }
        spans.push(Span::link(one.number.to_string(), one.anchor()));
    }
    Text::from(spans)
}

/// `12 of 40 findings that ask for action are answered; 28 are not.`
fn open_words(survey: &Survey, assessment: &Assessment) -> String {
    let answered = |finding: &&Finding| survey.answer_to(finding.check, &finding.subject.id).is_some();
    let open = assessment.open().count();
    let done = assessment.open().filter(answered).count();
    say!(
        "{} of {} findings that ask for action are answered; {} are not. An answer holds for \
         everything that its check found at its item.",
        done.to_string(),
        open.to_string(),
        (open - done).to_string()
    )
    .to_string()
}

/// The page of acceptance.
pub(super) fn acceptance(survey: &Survey) -> Vec<Block> {
    let mut blocks = vec![
        Block::page_break(),
        Block::heading(1, "Acceptance and signatures").anchored(super::ACCEPTANCE),
        Block::paragraph(
            "The surveyor signs for what was seen, the owner for having read it, the licensed electrician for \
             having taken it over with the answers given above. No signature gives permission to work.",
        ),
        Block::key_values(1, seal_facts(survey)),
        Block::new(BlockKind::Signatures(places(survey))),
    ];
    blocks.extend(how_to_verify(survey));
    blocks
}

fn seal_facts(survey: &Survey) -> Vec<(String, Text)> {
    let mut facts = vec![
        (word("Revision").to_owned(), revision_words(survey).into()),
        (word("Fingerprint of its content (SHA-256)").to_owned(), fingerprint(survey).into()),
    ];
    for signature in &survey.signatures {
        if let Some(key) = signature.key.as_ref().and_then(key_fingerprint) {
            facts.push((
                say!("Tablet's key that confirms {} (SHA-256)", &signature.name).to_string(),
                key.into(),
            ));
        }
    }
    facts
}

/// Each signature that was set, then the places still empty.
fn places(survey: &Survey) -> Vec<Signature> {
    let mut places: Vec<Signature> = survey.signatures.iter().map(signed).collect();
    let open = |role: &&Role| !survey.signatures.iter().any(|signature| signature.role == **role);
    places.extend(Role::ALL.iter().filter(open).map(|role| empty(*role)));
    places
}

fn signed(signature: &Signed) -> Signature {
    let licence = match signature.licence.as_str() {
        "" => String::new(),
        number => say!(", licence {}", number.to_string()).to_string(),
    };
    Signature {
        role: format!("{}{licence}", capital(signature.role.words())),
        name: signature.name.clone(),
        signed: signature.when.format("%Y-%m-%d %H:%M %:z").to_string(),
        ink: signature.ink.as_ref().map(drawn),
    }
}

fn empty(role: Role) -> Signature {
    let licence = match role {
        Role::Electrician => format!(", {}", word("licence number")),
        _ => String::new(),
    };
    Signature {
        role: say!("{}{}, name and date", capital(role.words()).to_string(), licence).to_string(),
        name: String::new(),
        signed: String::new(),
        ink: None,
    }
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Ink in lines, in the proportions of the field in which it was drawn.
fn drawn(ink: &Ink) -> Drawing {
    /// Width of the drawing; the page scales it to its place [pt].
    const WIDTH: f64 = 240.0;
    /// A pen's line, at that width [pt].
    const PEN: f64 = 1.4;
    let scale = WIDTH / f64::from(deadfront_rules::survey::INK_UNITS);
    let at = |x: u16, y: u16| Point::new(f64::from(x) * scale, f64::from(y) * scale);
    let stroke = |points: &deadfront_rules::survey::Stroke| {
        let mut points: Vec<Point> = points.0.iter().map(|point| at(point.x, point.y)).collect();
        // A dot is drawn as a short line.
        if let [dot] = points[..] {
            points.push(Point { x: dot.x + Pt(PEN), y: dot.y });
        }
        Shape::Polyline { points, stroke: Stroke::ink(PEN) }
    };
    Drawing {
        width: Pt(WIDTH),
        height: Pt(f64::from(ink.height) * scale),
        shapes: ink.strokes.iter().filter(|stroke| !stroke.0.is_empty()).map(stroke).collect(),
    }
}

fn how_to_verify(survey: &Survey) -> Vec<Block> {
    let words = "This PDF carries the survey it was made from as an attached file. \u{201c}deadfront verify\u{201d} with \
                 this PDF tells whether paper, survey and signatures still belong together; \u{201c}deadfront open\u{201d} \
                 opens the survey in it.";
    let mut blocks = vec![Block::paragraph(words)];
    if let Some(code) = survey.frozen_by().and_then(|_| qr::code(survey)) {
        let about = "The code holds revision, fingerprint, and the id and key of signatures that a tablet's key \
                     confirms.";
        blocks.push(Block::together(vec![
            Block::paragraph(about).kept_with_next(),
            Block::new(BlockKind::Drawing(code)),
        ]));
    }
    blocks
}
