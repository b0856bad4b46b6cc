//! Plain values into the shapes that the .slint files declare.

use std::rc::Rc;

use slint::{ModelRc, SharedString, VecModel};

use crate::generated;
use crate::view::{
    FigureView, FindingView, ItemView, KeyValue, Mark, PanelView, StepView, SurveyView, WayView,
};

/// A model over rows that were made here.
pub(crate) fn model<T: Clone + 'static>(rows: impl IntoIterator<Item = T>) -> ModelRc<T> {
    ModelRc::from(Rc::new(rows.into_iter().collect::<VecModel<T>>()))
}

fn texts(lines: &[String]) -> ModelRc<SharedString> {
    model(lines.iter().map(SharedString::from))
}

impl From<Option<Mark>> for generated::Mark {
    fn from(mark: Option<Mark>) -> Self {
        match mark {
            None => Self::None,
            Some(Mark::Danger) => Self::Danger,
            Some(Mark::Warning) => Self::Warning,
            Some(Mark::Caution) => Self::Caution,
            Some(Mark::Notice) => Self::Notice,
            Some(Mark::CannotTell) => Self::CannotTell,
            Some(Mark::Meets) => Self::Meets,
            Some(Mark::NotApplicable) => Self::NotApplicable,
        }
    }
}

impl From<Mark> for generated::Mark {
    fn from(mark: Mark) -> Self {
        Some(mark).into()
    }
}

pub(crate) fn fact(key_value: &KeyValue) -> generated::Fact {
    generated::Fact {
        label: (&key_value.label).into(),
        value: (&key_value.value).into(),
        note: (&key_value.note).into(),
        unknown: key_value.unknown,
    }
}

pub(crate) fn facts(key_values: &[KeyValue]) -> ModelRc<generated::Fact> {
    model(key_values.iter().map(fact))
}

pub(crate) fn item_row(item: &ItemView) -> generated::RowData {
    generated::RowData {
        id: (&item.id).into(),
        mark: item.mark.into(),
        subject: SharedString::new(),
        title: (&item.title).into(),
        detail: (&item.detail).into(),
        figure: (&item.figure).into(),
    }
}

pub(crate) fn finding_row(finding: &FindingView) -> generated::RowData {
    generated::RowData {
        id: (&finding.id).into(),
        mark: finding.mark.into(),
        subject: (&finding.subject).into(),
        title: (&finding.message).into(),
        detail: SharedString::new(),
        figure: finding.figure.as_ref().map(|figure| (&figure.figure).into()).unwrap_or_default(),
    }
}

/// What an item opens to; its findings are looked up by id in the survey.
pub(crate) fn item(item: &ItemView, survey: &SurveyView) -> generated::Item {
    let named =
        item.findings.iter().filter_map(|id| survey.findings.iter().find(|finding| &finding.id == id));
    generated::Item { facts: facts(&item.facts), findings: model(named.map(finding_row)) }
}

fn way(way: &WayView) -> generated::Way {
    generated::Way {
        number: (&way.number).into(),
        rating: (&way.rating).into(),
        wire: (&way.wire).into(),
        feeds: (&way.feeds).into(),
        mark: way.mark.into(),
        finding: way.finding.as_ref().map(SharedString::from).unwrap_or_default(),
    }
}

pub(crate) fn panel_ways(panel: &PanelView) -> generated::PanelWays {
    generated::PanelWays { ways: model(panel.ways.iter().map(way)) }
}

fn step(step: &StepView) -> generated::Step {
    generated::Step {
        symbol: (&step.symbol).into(),
        label: (&step.label).into(),
        expression: (&step.expression).into(),
        value: (&step.value).into(),
        source: (&step.source).into(),
    }
}

pub(crate) fn finding(finding: &FindingView) -> generated::Finding {
    let FigureView { figure, limit } = finding.figure.clone().unwrap_or_default();
    generated::Finding {
        figure: figure.into(),
        limit: limit.into(),
        why: (&finding.explanation).into(),
        steps: model(finding.derivation.iter().map(step)),
        citations: texts(&finding.citations),
        cautions: texts(&finding.cautions),
        next: texts(&finding.next),
        missing: texts(&finding.missing),
    }
}

pub(crate) fn counts(survey: &SurveyView) -> ModelRc<generated::Count> {
    model(survey.counts().into_iter().map(|(mark, number)| generated::Count {
        mark: mark.into(),
        number: i32::try_from(number).unwrap_or(i32::MAX),
    }))
}
