//! What the window shows, as plain values: text already formatted, lists already sorted.
//!
//! Units stand in the text ("40 A"). An empty text draws nothing.

/// How a check ended, with the signal word when it fell short (ISO 3864, ANSI Z535).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mark {
    /// Falls short: death or serious injury will follow.
    Danger,
    /// Falls short: death or serious injury could follow.
    Warning,
    /// Falls short: injury could follow.
    Caution,
    /// Falls short: no injury, but worth putting right.
    Notice,
    /// A fact is missing. Shown as prominently as a failure.
    CannotTell,
    /// Meets the rule.
    Meets,
    /// The rule does not apply here.
    NotApplicable,
}

impl Mark {
    /// The marks that the window counts and filters by, worst first.
    pub const COUNTED: [Self; 6] =
        [Self::Danger, Self::Warning, Self::Caution, Self::Notice, Self::CannotTell, Self::Meets];
}

/// A label and its value, as on a form.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KeyValue {
    /// What is told, without a colon.
    pub label: String,
    /// The value with its unit, or in words why it is not known ("not seen yet").
    pub value: String,
    /// A remark under the value; may be empty.
    pub note: String,
    /// The value is not known: it is drawn in the frame of the unknown.
    pub unknown: bool,
}

impl KeyValue {
    /// A known value.
    pub fn known(label: impl Into<String>, value: impl Into<String>) -> Self {
        Self { label: label.into(), value: value.into(), ..Self::default() }
    }

    /// A value that is not known, with the words that say so.
    pub fn unknown(label: impl Into<String>, why: impl Into<String>) -> Self {
        Self { unknown: true, ..Self::known(label, why) }
    }

    /// The same with a remark under the value.
    #[must_use]
    pub fn with_note(mut self, note: impl Into<String>) -> Self {
        self.note = note.into();
        self
    }
}

/// A supply, run or load: its line in the list and what it opens to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ItemView {
    /// Stable id of the thing in the survey.
    pub id: String,
    /// Its name.
    pub title: String,
    /// What a practitioner scans for, in one line.
    pub detail: String,
    /// The figure at the right of its line, with unit; may be empty.
    pub figure: String,
    /// Its worst verdict; `None` draws none.
    pub mark: Option<Mark>,
    /// All its facts.
    pub facts: Vec<KeyValue>,
    /// Ids of the findings that name it, worst first. An id that no finding bears is left out.
    pub findings: Vec<String>,
}

/// One way of a panel.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WayView {
    /// Its number on the panel ("4", "1+3").
    pub number: String,
    /// Rating of its device ("30 A, 2 poles").
    pub rating: String,
    /// Size and metal of its wire ("10 AWG Cu").
    pub wire: String,
    /// What it feeds.
    pub feeds: String,
    /// Its worst verdict; `None` draws none.
    pub mark: Option<Mark>,
    /// Id of its worst finding, to which its line leads.
    pub finding: Option<String>,
}

/// A panel with its ways.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PanelView {
    /// The panel itself.
    pub item: ItemView,
    /// Its ways in the order in which they stand.
    pub ways: Vec<WayView>,
}

/// The figure of a finding and its limit, read in one breath.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FigureView {
    /// The figure with its unit ("41.4 A").
    pub figure: String,
    /// The limit in words ("of 40 A allowed").
    pub limit: String,
}

/// One step of a derivation.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StepView {
    /// Symbol ("Iz").
    pub symbol: String,
    /// What the symbol stands for.
    pub label: String,
    /// How it is computed from earlier symbols; empty for a reading or a table value.
    pub expression: String,
    /// Value with unit.
    pub value: String,
    /// Standard, table, edition and cell, or the reading, or "common practice".
    pub source: String,
}

/// A finding: how one check ended for one thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FindingView {
    /// Stable id.
    pub id: String,
    /// How the check ended.
    pub mark: Mark,
    /// What it is about ("Main panel, way 4").
    pub subject: String,
    /// What was found, in one sentence.
    pub message: String,
    /// The figure that matters, where there is one.
    pub figure: Option<FigureView>,
    /// Why it matters.
    pub explanation: String,
    /// The derivation, step by step.
    pub derivation: Vec<StepView>,
    /// Standard, edition and clause.
    pub citations: Vec<String>,
    /// Cautions that go with the hazard.
    pub cautions: Vec<String>,
    /// What to do next, in order.
    pub next: Vec<String>,
    /// Facts without which the check cannot tell.
    pub missing: Vec<String>,
}

/// All that the window shows of one survey.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SurveyView {
    /// Name of the house.
    pub title: String,
    /// Revision, date or "sample"; may be empty.
    pub subtitle: String,
    /// Facts of the site.
    pub site: Vec<KeyValue>,
    /// Everything that feeds the house.
    pub supplies: Vec<ItemView>,
    /// Panels from the meter inwards.
    pub panels: Vec<PanelView>,
    /// Runs of wire.
    pub runs: Vec<ItemView>,
    /// Loads.
    pub loads: Vec<ItemView>,
    /// Findings, sorted as they are to be read.
    pub findings: Vec<FindingView>,
}

impl SurveyView {
    /// How many findings bear each mark that is counted in the window, worst first.
    pub fn counts(&self) -> Vec<(Mark, usize)> {
        Mark::COUNTED.into_iter().map(|mark| (mark, self.count(mark))).collect()
    }

    /// How many findings bear this mark.
    pub fn count(&self, mark: Mark) -> usize {
        self.findings.iter().filter(|f| f.mark == mark).count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn finding(mark: Mark) -> FindingView {
        FindingView {
            id: String::new(),
            mark,
            subject: String::new(),
            message: String::new(),
            figure: None,
            explanation: String::new(),
            derivation: Vec::new(),
            citations: Vec::new(),
            cautions: Vec::new(),
            next: Vec::new(),
            missing: Vec::new(),
        }
    }

    #[test]
    fn counts_name_every_verdict_even_when_none_was_found() {
        let view = SurveyView {
            findings: vec![finding(Mark::CannotTell), finding(Mark::CannotTell)],
            ..SurveyView::default()
        };
        let counts = view.counts();
        assert_eq!(counts.len(), 6);
        assert_eq!(counts[0], (Mark::Danger, 0));
        assert_eq!(counts[4], (Mark::CannotTell, 2));
    }

    #[test]
    fn what_does_not_apply_is_never_counted_as_met() {
        let view = SurveyView { findings: vec![finding(Mark::NotApplicable)], ..SurveyView::default() };
        assert!(view.counts().iter().all(|&(_, number)| number == 0));
        assert_eq!(view.count(Mark::NotApplicable), 1);
    }
}
