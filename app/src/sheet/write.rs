//! CSV written.

use csv::{Terminator, WriterBuilder};
use deadfront_rules::finding::rounded;
use deadfront_rules::house::{Index, describe};
use deadfront_rules::si::{foot, meter};
use deadfront_rules::sizing::{CableList, cable_list};
use deadfront_rules::survey::{Device, Load, Run, Survey, Way};
use serde::Serialize;
use serde_json::Value;

use super::cell::{harmless, text};

/// Columns in which a panel schedule names places; they are read back.
pub(super) const PLACE: [&str; 5] = ["panel", "id", "spaces", "half", "bus"];
/// What the directory says.
pub(super) const LABEL: &str = "label";
/// Columns for the eye only; reading leaves them out.
pub(super) const FOR_THE_EYE: [&str; 3] = ["panel name", "run", "run name"];
/// What stands before a fact of the device.
pub(super) const DEVICE: &str = "device.";

/// Every way of every panel.
#[must_use]
pub fn panels_csv(survey: &Survey) -> Vec<u8> {
    let index = Index::of(survey);
    let facts = || Device::FACTS.iter().map(|fact| format!("{DEVICE}{fact}")).chain(names(Way::FACTS));
    let head = names(&PLACE).chain(names(&[LABEL])).chain(facts()).chain(names(&FOR_THE_EYE));
    let mut rows = vec![head.collect()];
    for panel in &survey.panels {
        for way in &panel.ways {
            let runs: Vec<&Run> = survey.runs.iter().filter(|run| begins_at(run, way)).collect();
            let ids: Vec<&str> = runs.iter().map(|run| run.id.as_str()).collect();
            let called: Vec<String> = runs.iter().map(|run| describe(survey, &index, &run.id).1).collect();
            let way = json(way);
            let mut row = vec![panel.id.to_string()];
            row.extend(
                names(&PLACE[1..]).chain(names(&[LABEL])).chain(facts()).map(|name| cell(&way, &name)),
            );
            row.extend([
                harmless(&panel.name).into_owned(),
                ids.join(" "),
                harmless(&called.join("; ")).into_owned(),
            ]);
            rows.push(row);
        }
    }
    csv(rows)
}

fn begins_at(run: &Run, way: &Way) -> bool {
    run.from == way.id || run.also_from.as_ref() == Some(&way.id)
}

/// Every run.
#[must_use]
pub fn runs_csv(survey: &Survey) -> Vec<u8> {
    let plain = ["id", "name", "from", "also_from", "to", "neutral_of", "planned"];
    table(&plain, Run::FACTS, &survey.runs)
}

/// Every load.
#[must_use]
pub fn loads_csv(survey: &Survey) -> Vec<u8> {
    table(&["id", "name", "on", "kind", "ratings"], Load::FACTS, &survey.loads)
}

/// Cable to buy for every run, and the runs that cannot be counted.
#[must_use]
pub fn cable_csv(survey: &Survey) -> Vec<u8> {
    let list: CableList = cable_list(survey, true);
    let head = [
        "cable",
        "measured ft",
        "with waste ft",
        "measured m",
        "with waste m",
        "runs",
        "not counted because",
    ];
    let mut rows: Vec<Vec<String>> = vec![names(&head).collect()];
    for purchase in &list.purchases {
        let runs: Vec<&str> = purchase.runs.iter().map(|run| run.as_str()).collect();
        let lengths = [purchase.measured, purchase.with_waste];
        let mut row = vec![harmless(&purchase.stock.words().to_string()).into_owned()];
        row.extend(lengths.iter().map(|length| upwards(length.get::<foot>())));
        row.extend(lengths.iter().map(|length| upwards(length.get::<meter>())));
        row.extend([runs.join(" "), String::new()]);
        rows.push(row);
    }
    for run in &list.uncounted {
        let facts =
            run.missing.iter().map(|missing| format!("not known: {}", missing.fact.replace(['_', '.'], " ")));
        let why = run.why.iter().map(ToString::to_string);
        let mut row = vec![String::new(); 5];
        row.extend([
            run.run.to_string(),
            harmless(&facts.chain(why).collect::<Vec<_>>().join("; ")).into_owned(),
        ]);
        rows.push(row);
    }
    csv(rows)
}

/// A length in tenths, never less than needed.
fn upwards(length: f64) -> String {
    // The small step back is for the noise of floating point.
    rounded((length * 10.0 - 1e-6).ceil() / 10.0, 1)
}

fn table(plain: &[&str], facts: &[&str], items: &[impl Serialize]) -> Vec<u8> {
    let head: Vec<String> = names(plain).chain(names(facts)).collect();
    let row = |item| {
        let item = json(item);
        head.iter().map(|name| cell(&item, name)).collect()
    };
    let rows = items.iter().map(row);
    csv(std::iter::once(head.clone()).chain(rows).collect())
}

fn names<'a>(names: &'a [&str]) -> impl Iterator<Item = String> + 'a {
    names.iter().map(|name| (*name).to_owned())
}

fn json(item: &impl Serialize) -> Value {
    serde_json::to_value(item).unwrap_or_default()
}

/// A cell by its column: `rating`, `device.rating`.
fn cell(item: &Value, column: &str) -> String {
    text(column.split('.').try_fold(item, |value, name| value.get(name)))
}

/// With the mark by which spreadsheets know UTF-8, and the line ends of RFC 4180.
fn csv(rows: Vec<Vec<String>>) -> Vec<u8> {
    let mut writer =
        WriterBuilder::new().terminator(Terminator::CRLF).from_writer("\u{feff}".as_bytes().to_vec());
    for row in rows {
        // Writing to memory does not fail, and every row is as long as the head.
        let _ = writer.write_record(row);
    }
    writer.into_inner().unwrap_or_default()
}
