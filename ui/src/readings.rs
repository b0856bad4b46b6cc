//! What was measured at an item, beside what is worked out for the same point.

use deadfront_rules::finding::{Arg, Severity, Verdict};
use deadfront_rules::house::House;
use deadfront_rules::readings::{Beside, beside};
use deadfront_rules::say;
use deadfront_rules::survey::{Id, Reading};
use slint::SharedString;

use crate::Mark;
use crate::generated;
use crate::models::fixed;
use crate::shown::Shown;
use crate::words::{capital, tell, word};

/// How far a reading goes.
pub(crate) const ONE_MOMENT: &str = "A reading is of one moment. It can show that something is wrong; that nothing speaks against it \
                                     does not show that all is well, and no check counts as met by it.";

/// The readings at an item, or the reading itself where that is what lies open.
pub(crate) fn readings(shown: &Shown, id: &Id) -> Vec<generated::Reading> {
    let survey = &shown.survey;
    let mut wanted =
        survey.readings.iter().filter(|reading| reading.at == *id || reading.id == *id).peekable();
    if wanted.peek().is_none() {
        return Vec::new();
    }
    let house = House::new(survey);
    wanted.map(|reading| row(&house, reading, reading.id != *id)).collect()
}

fn row(house: &House<'_>, reading: &Reading, opens: bool) -> generated::Reading {
    let figures = beside(house, reading);
    let read = measured(reading, &figures);
    let time = reading.when.format("%Y-%m-%d %H:%M");
    let named = [&reading.instrument, &reading.taken_by].into_iter().filter(|named| !named.is_empty());
    let when = named.fold(time.to_string(), |told, named| format!("{told}, {named}"));
    let alone =
        if figures.is_empty() { capital(&word("nothing is worked out for it")) } else { SharedString::new() };
    let figures: Vec<generated::Beside> = figures.iter().map(figure).collect();
    let lines = figures.iter().map(|line| format!("{}: {}, {}", line.against, line.computed, line.judged));
    let told: Vec<String> = std::iter::once(when.clone()).chain(lines).collect();
    generated::Reading {
        id: reading.id.as_str().into(),
        read: read.into(),
        when: when.into(),
        told: told.join("; ").into(),
        figures: fixed(figures),
        alone,
        opens,
    }
}

/// What was entered; in the unit of the figures too where that is another one.
fn measured(reading: &Reading, figures: &[Beside]) -> String {
    let mut values: Vec<String> =
        reading.facts().into_iter().filter_map(|(_, value)| value.known().cloned()).collect();
    for figure in figures {
        let again = figure.measured.to_string();
        if !values.contains(&again) {
            values.push(again);
        }
    }
    if values.is_empty() { reading.id.to_string() } else { values.join(" · ") }
}

fn figure(beside: &Beside) -> generated::Beside {
    let (mark, judged) = match &beside.verdict {
        Verdict::FallsShort => (Some(mark(beside.severity)), word("asks for action")),
        Verdict::CannotTell { .. } => (Some(Mark::CannotTell), word("cannot tell")),
        // What agrees meets nothing: no mark.
        Verdict::NotApplicable { .. } | Verdict::Meets => (None, word("nothing speaks against it")),
    };
    let computed = match &beside.computed {
        Some(figure) => figure.to_string().into(),
        None => SharedString::from("?"),
    };
    generated::Beside {
        against: capital(&tell(&say!("{}", Arg::Word(beside.against)))),
        computed,
        mark: mark.into(),
        judged: capital(&judged),
    }
}

fn mark(severity: Severity) -> Mark {
    match severity {
        Severity::Danger => Mark::Danger,
        Severity::Warning => Mark::Warning,
        Severity::Caution => Mark::Caution,
        Severity::Notice => Mark::Notice,
    }
}
