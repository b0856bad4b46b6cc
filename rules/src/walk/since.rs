//! What an edit has answered while its checks are still under way.

use super::{Answer, Step};
use crate::edit::fields;
use crate::survey::place::Place as At;
use crate::survey::{Id, ItemKind, Survey};

impl Step {
    /// Whether this question, asked of `checked`, was answered on the way to `now`: its entry is another one,
    /// an item of the kind was added, or the item it was asked at is gone.
    #[must_use]
    pub fn is_answered_since(&self, checked: &Survey, now: &Survey) -> bool {
        if At::find(now, &self.item).is_none() {
            return true;
        }
        match &self.answer {
            Answer::Enter { field } => entered(checked, &self.item, field) != entered(now, &self.item, field),
            Answer::Add { kind, .. } => count(checked, *kind) < count(now, *kind),
            Answer::AddRunTo { .. } => checked.runs.len() < now.runs.len(),
        }
    }
}

fn entered(survey: &Survey, item: &Id, name: &str) -> Option<(String, crate::edit::State)> {
    let field = fields(survey, item).into_iter().find(|field| field.name == name)?;
    Some((field.entry, field.state))
}

fn count(survey: &Survey, wanted: ItemKind) -> usize {
    At::all(survey).into_iter().filter(|(_, at)| at.kind() == wanted).count()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use crate::assess;
    use crate::fixture::{one_circuit, survey, with};
    use crate::walk::walk;

    #[test]
    fn an_entry_an_added_item_and_a_removed_one_answer_a_question() {
        let before = with(one_circuit(), &[("/runs/1/size", json!(null)), ("/loads", json!([]))]);
        let checked = survey(&before);
        let walk = walk(&checked, &assess(&checked));
        let asked = |fact: &str| walk.steps.iter().find(|step| step.fact == fact).expect("asked");
        let [size, loads] = ["size", "loads"].map(asked);
        let since = |changes: &[(&str, serde_json::Value)]| {
            let now = survey(&with(before.clone(), changes));
            [size, loads].map(|step| step.is_answered_since(&checked, &now))
        };
        assert_eq!(since(&[]), [false, false]);
        assert_eq!(since(&[("/runs/1/length", json!("31 ft"))]), [false, false]);
        assert_eq!(since(&[("/runs/1/size", json!("14 AWG"))]), [true, false]);
        assert_eq!(since(&[("/runs/1/size", json!("cannot be seen"))]), [true, false]);
        assert_eq!(since(&[("/loads/-", one_circuit()["loads"][0].clone())]), [false, true]);
        assert_eq!(since(&[("/runs/1/id", json!("RZ"))]), [true, true]);
    }
}
