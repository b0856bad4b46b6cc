//! An invented document with every kind of block, of any length.

use crate::paper::{
    Align, Block, BlockKind, Colour, Column, ColumnWidth, Cover, Document, Drawing, Meta, Mm, Point, Pt,
    Rect, Row, Running, Shape, Sheet, SignalWord, Signature, Span, Stroke, Text, TextSize, Weight,
};

/// Head and foot of the invented document.
pub(crate) fn running() -> Running {
    Running {
        house: "Invented house, 12 Nowhere Lane".into(),
        revision: "Revision 3, signed 2026-01-31 09:30".into(),
        fingerprint: "7c1f 09ab 55d2 e001 9b3e 4f6a 81c7 20dd".into(),
        page_pattern: "page {page} of {pages}".into(),
    }
}

/// Title and dates of the invented document.
pub(crate) fn meta() -> Meta {
    let time = chrono::DateTime::parse_from_rfc3339("2026-01-31T09:30:00-05:00");
    let time = time.expect("a constant date");
    Meta {
        title: "Survey of an invented house".into(),
        author: "Nobody (invented)".into(),
        subject: "Invented example".into(),
        creator: "Deadfront".into(),
        language: "en-US".into(),
        created: time,
        modified: time,
    }
}

/// The invented document with its chapter printed `chapters` times.
pub(crate) fn document(sheet: Sheet, chapters: usize) -> Document {
    let mut blocks = vec![
        Block::heading(1, "What stands in this paper"),
        Block::new(BlockKind::Contents { deepest: 2, from: 0 }),
        Block::page_break(),
    ];
    for number in 0..chapters {
        blocks.extend(chapter(number));
    }
    blocks.push(Block::heading(1, "Signatures"));
    blocks.push(signatures());
    Document { sheet, running: running(), cover: Some(cover()), blocks }
}

fn cover() -> Cover {
    Cover {
        kind: "Survey before a second source is tied in".into(),
        title: "Invented house, 12 Nowhere Lane".into(),
        subtitle: "Revision 3 for the licensed electrician".into(),
        blocks: vec![
            Block::key_values(
                2,
                vec![
                    ("Surveyed by".into(), "Nobody, invented".into()),
                    ("On".into(), "2026-01-30 and 2026-01-31".into()),
                    ("Service".into(), "120/240\u{A0}V, 100\u{A0}A".into()),
                    ("To be tied in".into(), "Battery inverter, 5\u{A0}kW".into()),
                ],
            ),
            Block::signal(
                SignalWord::Danger,
                "Two sources can meet: utility and battery inverter",
                vec![Block::paragraph("One switch in the wrong position is enough.")],
            ),
        ],
        foot: vec![Block::note(vec![Block::paragraph(
            "This paper gives no permission. The local code, the authority having jurisdiction and a \
             licensed electrician decide.",
        )])],
    }
}

fn chapter(number: usize) -> Vec<Block> {
    let anchor = format!("derivation-{number}");
    vec![
        Block::heading(1, format!("Panel {}: what it feeds", number + 1)),
        Block::paragraph(Text::from([
            Span::new("Every run was followed to its load. "),
            Span::bold("Three runs were not seen whole"),
            Span::new(
                " because they vanish in a plastered wall; what is said about them is taken from \
                 both ends. The insulation is ",
            ),
            Span::soft("rubber, brittle"),
            Span::new(" at the ends (≥ 60 °C, 2.5 mm², 0.4 Ω, −5 %, Δ 3 K). How it follows is in "),
            Span::link("the derivation", anchor.clone()),
            Span::new(" on page "),
            Span::page_of(anchor.clone()),
            Span::new("."),
        ])),
        Block::signal(
            SignalWord::Danger,
            "Fuse larger than its wire on way 7",
            vec![
                Block::figure("30\u{A0}A", "fuse on a wire good for 20\u{A0}A: falls short"),
                Block::paragraph(
                    "The wire can grow hot before the fuse opens. Have the fuse changed by a licensed \
                     electrician before anything is tied in.",
                ),
            ],
        ),
        Block::signal(
            SignalWord::Warning,
            "No means to stop both sources from meeting",
            vec![Block::paragraph("A label forbids nothing.")],
        ),
        Block::signal(SignalWord::Caution, "Door of the panel does not shut", vec![]),
        Block::signal(SignalWord::Notice, "Way 12 has no label", vec![]),
        Block::heading(2, "Ways"),
        ways(),
        Block::heading(2, "Load on the busiest leg"),
        Block::figure("41.4\u{A0}A", "of 40\u{A0}A allowed: falls short by 3.5\u{A0}%"),
        Block::paragraph("Continuous loads count with one quarter more.").kept_with_next(),
        one_line(),
        Block::heading(3, "In which order"),
        Block::numbered(vec![
            "Open the main and prove the bus dead at the lugs.".into(),
            "Open the inverter's output device, then its battery device, and wait five minutes for \
             its capacitors."
                .into(),
            "Move the interlock.".into(),
        ]),
        Block::bullets(vec![
            "Not seen: the run to the garage.".into(),
            "Not measured: the loop impedance at the far end.".into(),
        ]),
        Block::heading(2, "Derivation").anchored(anchor),
        derivation(),
        Block::note(vec![
            Block::paragraph(Span::bold("What was not verified")),
            Block::paragraph(
                "The torque of the lugs. The rating of the bus, which is painted over. Whether the \
                 neutral of way 3 is shared with way 5.",
            ),
        ]),
    ]
}

fn ways() -> Block {
    let columns = vec![
        Column::number("Way", ColumnWidth::Auto),
        Column::number("Rating", ColumnWidth::Auto),
        Column::text("Wire", ColumnWidth::Auto),
        Column::text("Feeds", ColumnWidth::Fraction(2.0)),
        Column::text("Seen", ColumnWidth::Fraction(1.0)),
        Column::number("Load", ColumnWidth::Fixed(Mm(18.0))),
    ];
    let feeds = [
        "Kitchen range",
        "Water heater, 4.5 kW, with a timer that nobody has set since it was put in",
        "Hall and stairs",
        "Well pump",
    ];
    let mut rows: Vec<Row> = (1..=24)
        .map(|way| {
            let feed = feeds.get(way % feeds.len()).copied().unwrap_or_default();
            let seen = if way % 5 == 0 { "not seen yet" } else { "both ends" };
            Row::new(vec![
                way.to_string().into(),
                format!("{} A", 15 + 5 * (way % 4)).into(),
                "12 AWG copper".into(),
                feed.into(),
                seen.into(),
                format!("{}.{} A", way, way % 10).into(),
            ])
        })
        .collect();
    rows.push(Row::strong(vec![
        "".into(),
        "".into(),
        "".into(),
        "All ways".into(),
        "".into(),
        "41.4 A".into(),
    ]));
    Block::table(columns, rows)
}

fn derivation() -> Block {
    let columns = vec![
        Column::text("Symbol", ColumnWidth::Auto),
        Column::text("Meaning", ColumnWidth::Fraction(1.0)),
        Column::number("Value", ColumnWidth::Auto),
        Column::text("Unit", ColumnWidth::Auto),
        Column::text("From", ColumnWidth::Fraction(1.0)),
    ];
    let row = |cells: [&'static str; 5]| Row::new(cells.map(Text::from).into());
    let rows = vec![
        row(["I₀", "ampacity of the wire at 30 °C", "20", "A", "invented table, row 3"]),
        row(["kθ", "correction for 45 °C", "0.71", "–", "invented table, row 9"]),
        row(["n", "conductors that carry current together in one pipe", "4", "–", "reading, 2026-01-30"]),
        row(["kₙ", "correction for the pipe", "0.80", "–", "common practice"]),
        row(["I", "I₀ · kθ · kₙ", "11.4", "A", "calculated"]),
    ];
    Block::table(columns, rows)
}

fn one_line() -> Block {
    let ink = Stroke::ink(0.9);
    let label = |x: f64, y: f64, text: &'static str, weight| {
        let rect = Rect::new(Pt(x), Pt(y), Pt(110.0), Pt(24.0));
        Shape::label(rect, text, weight, Align::Left)
    };
    let shapes = vec![
        Shape::rect(
            Rect::new(Pt(0.0), Pt(0.0), Pt(420.0), Pt(150.0)),
            Some(Stroke::new(0.4, Colour::Rule)),
            None,
        ),
        Shape::circle(Point::new(60.0, 40.0), Pt(14.0), Some(ink), None),
        Shape::line(Point::new(60.0, 54.0), Point::new(60.0, 96.0), ink),
        Shape::rect(Rect::new(Pt(54.0), Pt(66.0), Pt(12.0), Pt(18.0)), Some(ink), Some(Colour::Paper)),
        Shape::line(Point::new(30.0, 96.0), Point::new(390.0, 96.0), Stroke::ink(2.4)),
        Shape::line(Point::new(240.0, 54.0), Point::new(240.0, 96.0), ink.dashed(3.0, 2.0)),
        Shape::Polygon {
            points: vec![
                Point::new(226.0, 26.0),
                Point::new(254.0, 26.0),
                Point::new(254.0, 54.0),
                Point::new(226.0, 54.0),
            ],
            stroke: Some(ink),
            fill: Some(Colour::Tint),
        },
        label(80.0, 28.0, "Utility 240 V", Weight::Regular),
        label(262.0, 28.0, "Inverter 5 kW", Weight::Bold),
        Shape::Text {
            rect: Rect::new(Pt(30.0), Pt(102.0), Pt(360.0), Pt(30.0)),
            text: "Bus, 100 A".into(),
            size: TextSize::Body,
            align: Align::Middle,
        },
    ];
    Block::new(BlockKind::Drawing(Drawing { width: Pt(420.0), height: Pt(150.0), shapes }))
}

#[expect(clippy::disallowed_methods, reason = "a curve to look at")]
fn signatures() -> Block {
    let ink = Drawing {
        width: Pt(120.0),
        height: Pt(40.0),
        shapes: vec![Shape::Polyline {
            points: (0..60)
                .map(|step| {
                    let step = f64::from(step);
                    Point::new(step * 2.0, 20.0 + 16.0 * (step / 4.0).sin())
                })
                .collect(),
            stroke: Stroke::ink(1.2),
        }],
    };
    let place = |role: &str, name: &str, signed: &str, ink| Signature {
        role: role.into(),
        name: name.into(),
        signed: signed.into(),
        ink,
    };
    Block::new(BlockKind::Signatures(vec![
        place("Surveyor", "Nobody, invented", "2026-01-31 09:30 −05:00", Some(ink)),
        place("Licensed electrician", "", "", None),
        place("Owner", "", "", None),
    ]))
}
