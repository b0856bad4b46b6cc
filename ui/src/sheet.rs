//! The sheet on which one field is entered: what was typed, its unit, and what to keep.

use deadfront_rules::edit::{Field, State};
use deadfront_rules::house::site_id;
use deadfront_rules::survey::form::Form;
use deadfront_rules::survey::{CANNOT_BE_SEEN, Id};
use slint::SharedString;

use crate::generated::{Entry, Pick};
use crate::sizing::Target;
use crate::words::{label, word};

/// How yes and no are entered.
const YES: &str = "yes";
const NO: &str = "no";
/// What parts the entries where several are kept.
const BETWEEN: &str = ", ";

/// A field while it is entered.
pub(crate) struct Sheet {
    pub(crate) item: Id,
    pub(crate) field: Field,
    /// Number or text as typed, without its unit.
    pub(crate) typed: String,
    /// The unit that is chosen; empty where the field has none.
    pub(crate) unit: String,
    /// Whether something was typed since the sheet was opened.
    pub(crate) touched: bool,
    /// Whether the next question follows.
    pub(crate) walking: bool,
    /// Those chosen, where several can be.
    pub(crate) chosen: Vec<String>,
    /// What of the sizing page is entered, where it is no field of the survey.
    pub(crate) of_sizing: Option<Target>,
}

impl Sheet {
    pub(crate) fn of(item: Id, field: Field, walking: bool, recent_unit: Option<&str>) -> Self {
        let (typed, unit) = split(&field, recent_unit);
        let chosen = match &field.form {
            Form::Many(_) => {
                field.entry.split(',').map(|id| id.trim().to_owned()).filter(|id| !id.is_empty()).collect()
            }
            _ => Vec::new(),
        };
        Self { item, field, typed, unit, touched: false, walking, chosen, of_sizing: None }
    }

    /// A figure or a price of the sizing page, which is no field of the survey.
    pub(crate) fn of_sizing(target: Target, field: Field, recent_unit: Option<&str>) -> Self {
        Self { of_sizing: Some(target), ..Self::of(site_id(), field, false, recent_unit) }
    }

    /// How it is entered.
    pub(crate) fn entry(&self) -> Entry {
        match &self.field.form {
            Form::YesNo | Form::Choice(_) | Form::One(_) => Entry::Pick,
            Form::Many(_) => Entry::Several,
            Form::Quantity { .. } | Form::Size { .. } | Form::Count { .. } | Form::Day | Form::Spaces => {
                Entry::Pad
            }
            Form::Text { .. } | Form::Moment | Form::Months { .. } => Entry::Text,
        }
    }

    fn units(&self) -> &'static [&'static str] {
        match &self.field.form {
            Form::Quantity { units, .. } | Form::Size { units, .. } => units,
            _ => &[],
        }
    }

    fn usual(&self) -> &'static [&'static str] {
        match &self.field.form {
            Form::Quantity { usual, .. } | Form::Size { usual, .. } => usual,
            // A device has one to three poles.
            Form::Count { .. } if self.field.name.ends_with("poles") => &["1", "2", "3"],
            _ => &[],
        }
    }

    pub(crate) fn unit_picks(&self) -> Vec<Pick> {
        let pick = |unit: &&'static str| Pick {
            key: (*unit).into(),
            text: (*unit).into(),
            chosen: self.unit == **unit,
        };
        self.units().iter().map(pick).collect()
    }

    /// Whether what was entered lately is offered again: of a few choices each is at hand anyway.
    pub(crate) fn may_repeat(&self) -> bool {
        const FEW: usize = 8;
        match &self.field.form {
            Form::Choice(choices) => choices.len() > FEW,
            _ => self.entry() == Entry::Pad,
        }
    }

    /// Values that are met most, those entered lately first.
    pub(crate) fn usual_picks(&self, recents: &[String]) -> Vec<Pick> {
        if let Form::Choice(choices) = &self.field.form {
            let known = recents.iter().filter_map(|key| choices.iter().find(|(choice, _)| choice == key));
            return known
                .map(|(key, words)| Pick { key: (*key).into(), text: label(words), chosen: false })
                .collect();
        }
        const MOST: usize = 12;
        let mut values: Vec<SharedString> = recents.iter().map(SharedString::from).collect();
        for usual in self.usual() {
            if !values.iter().any(|value| value == usual) {
                values.push((*usual).into());
            }
        }
        values.truncate(MOST.max(recents.len()));
        let now = self.entered();
        values.into_iter().map(|text| Pick { chosen: text == now, key: text.clone(), text }).collect()
    }

    pub(crate) fn picks(&self) -> Vec<Pick> {
        let entry = if self.field.state == State::Known { self.field.entry.as_str() } else { "" };
        let pick = |key: &str, text: SharedString| Pick { key: key.into(), text, chosen: entry == key };
        match &self.field.form {
            Form::YesNo => vec![pick(YES, word("Yes")), pick(NO, word("No"))],
            Form::Choice(choices) => choices.iter().map(|(key, words)| pick(key, label(words))).collect(),
            Form::One(items) => items.iter().map(|(id, name)| pick(id.as_str(), name.into())).collect(),
            Form::Many(items) => {
                let several = |(id, name): &(Id, String)| Pick {
                    key: id.as_str().into(),
                    text: name.into(),
                    chosen: self.chosen.iter().any(|chosen| chosen == id.as_str()),
                };
                items.iter().map(several).collect()
            }
            _ => Vec::new(),
        }
    }

    /// A key of the pad.
    pub(crate) fn press(&mut self, key: &str) {
        /// Longer than any number with its unit.
        const LONGEST: usize = 40;
        self.touched = true;
        if key == "<" {
            self.typed.pop();
        } else if self.typed.len() < LONGEST {
            self.typed.push_str(key);
        }
    }

    pub(crate) fn choose_unit(&mut self, unit: &str) {
        self.touched = self.touched || !self.typed.is_empty();
        unit.clone_into(&mut self.unit);
    }

    /// One more or one less of several.
    pub(crate) fn toggle(&mut self, key: &str) {
        self.touched = true;
        match self.chosen.iter().position(|chosen| chosen == key) {
            Some(at) => {
                self.chosen.remove(at);
            }
            None => self.chosen.push(key.to_owned()),
        }
    }

    /// The entry as a person would write it: number and unit.
    pub(crate) fn entered(&self) -> String {
        if matches!(self.field.form, Form::Many(_)) {
            return self.chosen.join(BETWEEN);
        }
        let typed = self.typed.trim();
        if typed.is_empty() || self.unit.is_empty() || typed.ends_with(|c: char| c.is_alphabetic()) {
            return typed.to_owned();
        }
        format!("{typed} {}", self.unit)
    }
}

/// The number and the unit of what stands in the field.
fn split(field: &Field, recent_unit: Option<&str>) -> (String, String) {
    let units: &[&str] = match &field.form {
        Form::Quantity { units, .. } | Form::Size { units, .. } => units,
        Form::Many(_) => return (String::new(), String::new()),
        _ => &[],
    };
    let first = recent_unit.filter(|unit| units.contains(unit)).or(units.first().copied()).unwrap_or("");
    let entry = if field.entry == CANNOT_BE_SEEN { "" } else { field.entry.as_str() };
    // The longest unit first: "kW" ends in "W".
    let mut known: Vec<&&str> = units.iter().collect();
    known.sort_by_key(|unit| std::cmp::Reverse(unit.len()));
    for unit in known {
        if let Some(number) = entry.strip_suffix(*unit) {
            return (number.trim().to_owned(), (*unit).to_owned());
        }
    }
    (entry.to_owned(), first.to_owned())
}
