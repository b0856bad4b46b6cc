//! Steps that concern the survey as a whole: signing, answering, taking up a signed survey again.

use super::change::Change;
use super::told::Told;
use super::{Edit, Refused};
use crate::finding::Said;
use crate::survey::Survey;

/// The step from one survey to another, named in words: `revision 1 signed by A. Person`. Undo brings
/// back the first exactly.
///
/// # Errors
/// When a survey cannot be written down, which no survey that was opened gives.
pub fn replaced(before: &Survey, after: &Survey, what: &Said) -> Result<Edit, Refused> {
    let written = |survey: &Survey| {
        serde_json::to_value(survey).map(Box::new).map_err(|error| Refused::unfit(error.to_string()))
    };
    let change = Change::Whole { before: written(before)?, after: written(after)? };
    Ok(Edit { told: Told::Whole { what: what.to_string(), back: false }, changes: vec![change] })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::say;

    #[test]
    fn a_whole_survey_is_replaced_and_brought_back() {
        let before = Survey::empty("Mill Lane 4");
        let after = Survey { revision: 2, ..before.clone() };
        let edit = replaced(&before, &after, &say!("revision 2 begun")).unwrap();
        let mut survey = before.clone();
        edit.apply(&mut survey).unwrap();
        assert_eq!(survey, after);
        assert!(edit.apply(&mut survey).is_err(), "it starts from another survey");
        edit.inverse().apply(&mut survey).unwrap();
        assert_eq!(survey, before);
        assert_eq!(edit.described().to_string(), "revision 2 begun");
    }
}
