//! The survey that a new one begins with.

use super::{FORMAT, Fact, RuleSetName, Site, Survey};

impl Survey {
    /// A survey of a house of this name, in which nothing has been seen yet.
    #[must_use]
    pub fn empty(name: &str) -> Self {
        Self {
            deadfront_survey: FORMAT,
            site: Site {
                name: name.to_owned(),
                place: String::new(),
                surveyor: String::new(),
                date: None,
                purpose: String::new(),
                rules: RuleSetName::Us,
                invented: false,
                floor_area: Fact::NotSeen,
                built: Fact::NotSeen,
                one_family: Fact::NotSeen,
                electrode_found: Fact::NotSeen,
                outdoor_disconnect: Fact::NotSeen,
                source_directory: Fact::NotSeen,
                latitude: Fact::NotSeen,
            },
            supplies: Vec::new(),
            panels: Vec::new(),
            runs: Vec::new(),
            loads: Vec::new(),
            transfers: Vec::new(),
            interlocks: Vec::new(),
            inlets: Vec::new(),
            modes: Vec::new(),
            electrodes: Vec::new(),
            readings: Vec::new(),
            photos: Vec::new(),
            notes: Vec::new(),
            signatures: Vec::new(),
            in_doubt: Vec::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::validate;

    #[test]
    fn an_empty_survey_can_be_opened_and_asserts_nothing() {
        let survey = Survey::empty("Mill Lane 4");
        assert!(validate(&survey).is_empty());
        assert!(survey.site.facts().iter().all(|(_, fact)| fact.is_not_seen()));
    }
}
