//! The cable that the planned runs take, for the quote.

use deadfront_rules::house::House;
use deadfront_rules::say;
use deadfront_rules::si::foot;
use deadfront_rules::sizing::{Uncounted, cable_list};
use deadfront_rules::survey::{ItemKind, Survey};

use super::words::fact_words;
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

pub(super) fn section(house: &House<'_>) -> Vec<Block> {
    let heading = Block::heading(1, "Cable list for the quote");
    if !has_planned(house.survey) {
        return vec![heading, Block::paragraph("No run is marked as planned, so there is no cable to buy.")];
    }
    let list = cable_list(house.survey, false);
    let intro = say!(
        "Cable of the planned runs. With waste means {} % more than measured. Prices are not part of the survey. Let the licensed electrician confirm kind and size before anything is bought.",
        list.waste.value
    );
    let mut blocks = vec![heading, Block::paragraph(intro.to_string())];
    let rows: Vec<Row> = list
        .purchases
        .iter()
        .map(|one| {
            let feet =
                |length: deadfront_rules::si::Length| say!("{} ft", length.get::<foot>().ceil()).to_string();
            let runs: Vec<String> = one.runs.iter().map(ToString::to_string).collect();
            Row::new(vec![
                one.stock.words().to_string().into(),
                feet(one.measured).into(),
                feet(one.with_waste).into(),
                runs.join(", ").into(),
            ])
        })
        .collect();
    if !rows.is_empty() {
        let columns = vec![
            Column::text("What", ColumnWidth::Fraction(0.6)),
            Column::number("Measured", ColumnWidth::Auto),
            Column::number("With waste", ColumnWidth::Auto),
            Column::text("For the runs", ColumnWidth::Fraction(0.4)),
        ];
        blocks.push(Block::table(columns, rows));
    }
    if !list.uncounted.is_empty() {
        blocks.push(Block::paragraph(Span::bold("Not in the list")).kept_with_next());
        blocks.push(Block::bullets(list.uncounted.iter().map(uncounted).collect()));
    }
    blocks
}

fn has_planned(survey: &Survey) -> bool {
    survey.runs.iter().any(|run| run.planned)
}

fn uncounted(one: &Uncounted) -> Text {
    let facts: Vec<String> =
        one.missing.iter().map(|missing| fact_words(ItemKind::Run, missing.fact)).collect();
    let why = match &one.why {
        Some(why) => why.to_string(),
        None => say!("not known yet: {}", facts.join(", ")).to_string(),
    };
    Text::from([Span::bold(one.run.to_string()), Span::new(say!(" {}: {}", &one.name, why).to_string())])
}
