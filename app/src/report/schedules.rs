//! What was seen: supplies, panel schedules, runs, loads, readings, remarks.

use deadfront_rules::drawing;
use deadfront_rules::house::House;
use deadfront_rules::say;
use deadfront_rules::survey::{Panel, Run, Survey, Way};
use deadfront_rules::words::word;

use super::words::{cell, conductor, device, inline};
use super::{Report, scene};
use crate::paper::{Block, BlockKind, Column, ColumnWidth, Row, Span, Text};

/// What is to be known of the faces.
const ON_THE_WALL: &str = "Each panel is drawn as it is on the wall with its door open. Beside each way stands the worst that \
                           the checks say of it, of its wires and of what hangs on them, of the inlet or source at their \
                           other end and of the interlocks that hold it, as a sign and a word.";

pub(super) fn section(report: &Report<'_>) -> Vec<Block> {
    let survey = report.survey;
    panels(survey, &faces(report))
}

fn auto(head: &'static str) -> Column {
    Column::text(head, ColumnWidth::Auto)
}

fn number(head: &'static str) -> Column {
    Column::number(head, ColumnWidth::Auto)
}

fn share(head: &'static str, share: f64) -> Column {
    Column::text(head, ColumnWidth::Fraction(share))
}

/// The supplies in a table; it stands behind the sheet on which they are drawn.
pub(super) fn supplies(survey: &Survey) -> Vec<Block> {
    if survey.supplies.is_empty() {
        return vec![Block::heading(2, "Supplies"), Block::paragraph("No supply has been entered.")];
    }
    let rows = survey.supplies.iter().map(|supply| {
        Row::new(vec![
            supply.id.to_string().into(),
            supply.name.clone().into(),
            supply.kind.words().into(),
            cell(&supply.output),
            cell(&supply.continuous_power),
            cell(&supply.neutral_bond),
        ])
    });
    let columns = vec![
        auto("Id"),
        share("Name", 0.5),
        auto("Kind"),
        share("Gives", 0.5),
        number("Continuous"),
        auto("Neutral bond"),
    ];
    vec![Block::heading(2, "Supplies"), Block::table(columns, rows.collect())]
}

/// The face of each panel, as it is on the wall.
fn faces(report: &Report<'_>) -> Vec<Block> {
    let house = House::new(report.survey);
    let marks = drawing::marks(report.assessment);
    let face = |at| {
        let face = scene::with_letters(|letters| drawing::panel_face_on_paper(&house, at, &marks, letters));
        Block::new(BlockKind::Diagram(scene::drawing(&face)))
    };
    (0..report.survey.panels.len()).map(face).collect()
}

fn panels(survey: &Survey, faces: &[Block]) -> Vec<Block> {
    let mut blocks = Vec::new();
    let title = Block::heading(1, "Panel schedules");
    if survey.panels.is_empty() {
        return vec![title, Block::paragraph("No panel has been entered.")];
    }
    let mut face_of = vec![title, Block::paragraph(ON_THE_WALL)];
    for (panel, face) in survey.panels.iter().zip(faces) {
        // What is to be known stands on the page of the first face.
        face_of.push(Block::heading(2, format!("{} ({})", panel.name, panel.id)));
        face_of.push(face.clone());
        // Where face and schedule do not fit on one page, the schedule says by itself whose it is.
        let whose = say!("Schedule of {}", format!("{} ({})", panel.name, panel.id)).to_string();
        blocks.push(Block::together(vec![
            Block::together(std::mem::take(&mut face_of)),
            Block::paragraph(Span::bold(whose)).kept_with_next(),
            Block::together(vec![Block::key_values(3, panel_facts(panel))]).kept_with_next(),
            schedule(survey, panel),
        ]));
    }
    blocks
}

fn panel_facts(panel: &Panel) -> Vec<(String, Text)> {
    let buses: Vec<String> = panel.buses.iter().map(|bus| inline(&bus.rating)).collect();
    let buses = if buses.is_empty() { "?".to_owned() } else { buses.join(", ") };
    vec![
        (word("Kind").to_owned(), cell(&panel.kind)),
        (word("Stands in").to_owned(), cell(&panel.room)),
        (word("Service equipment").to_owned(), cell(&panel.service_equipment)),
        (word("Main").to_owned(), device(&panel.main).into()),
        (word("Bus rating").to_owned(), buses.into()),
        (word("Neutral joined to enclosure").to_owned(), cell(&panel.neutral_bond)),
    ]
}

fn schedule(survey: &Survey, panel: &Panel) -> Block {
    let rows = panel.ways.iter().map(|way| {
        let run = run_of(survey, way);
        Row::new(vec![
            way.number().into(),
            device(&way.device).into(),
            cell(&way.leg),
            run.map_or_else(String::new, conductor).into(),
            run.map_or_else(String::new, |run| run.id.to_string()).into(),
            way.label.clone().into(),
        ])
    });
    let columns = vec![
        auto("Way"),
        share("Device", 0.45),
        auto("Leg"),
        share("Wire", 0.3),
        auto("Run"),
        share("Directory says", 0.55),
    ];
    Block::table(columns, rows.collect())
}

/// The first run that begins at a way.
fn run_of<'a>(survey: &'a Survey, way: &Way) -> Option<&'a Run> {
    survey.runs.iter().find(|run| run.from == way.id || run.also_from.as_ref() == Some(&way.id))
}

pub(super) fn loads(survey: &Survey) -> Vec<Block> {
    if survey.loads.is_empty() {
        return vec![Block::heading(1, "Loads"), Block::paragraph("No load has been entered.")];
    }
    let rows = survey.loads.iter().map(|load| {
        Row::new(vec![
            load.id.to_string().into(),
            load.name.clone().into(),
            load.kind.words().into(),
            load.on.to_string().into(),
            plate(load).into(),
        ])
    });
    let columns =
        vec![auto("Id"), share("Name", 0.35), share("Kind", 0.25), auto("Run"), share("Plate", 0.4)];
    vec![Block::heading(1, "Loads"), Block::table(columns, rows.collect())]
}

/// Everything that the plate gives, in the order of the model.
fn plate(load: &deadfront_rules::survey::Load) -> String {
    const PLATE: [&str; 10] = [
        "voltage",
        "power",
        "apparent_power",
        "current",
        "horsepower",
        "mca",
        "mocp",
        "rla",
        "lra",
        "code_letter",
    ];
    let short = |fact: &str| match fact {
        "mca" | "mocp" | "rla" | "lra" => format!("{} ", fact.to_uppercase()),
        "code_letter" => word("code ").to_owned(),
        _ => String::new(),
    };
    let lines: Vec<String> = load
        .facts()
        .into_iter()
        .filter(|(fact, _)| PLATE.contains(fact))
        .filter_map(|(fact, value)| value.known().map(|value| format!("{}{value}", short(fact))))
        .collect();
    let ratings = load.ratings.iter().map(|rating| {
        let value =
            rating.power.known().map(ToString::to_string).or(rating.current.known().map(ToString::to_string));
        say!("{} at {}", (value.unwrap_or_else(|| "?".to_owned())).to_string(), rating.voltage.to_string())
            .to_string()
    });
    lines.into_iter().chain(ratings).collect::<Vec<_>>().join(", ")
}

pub(super) fn notes(survey: &Survey) -> Vec<Block> {
    if survey.notes.is_empty() {
        return Vec::new();
    }
    let items = survey.notes.iter().map(|note| {
        let on = note.on.as_ref().map_or(word("the house").to_owned(), ToString::to_string);
        Text::from([Span::bold(format!("{on}  ")), Span::new(note.text.clone())])
    });
    vec![Block::heading(1, "Remarks of the surveyor"), Block::bullets(items.collect())]
}
