//! Interlocks that forbid nothing, and what they would forbid if they held.

use super::field::Field;
use super::grid::PlaceId;
use super::model::{Force, Model};
use super::remedy::parted;
use super::search::Given;
use crate::house::House;
use crate::survey::Id;

/// The interlock that forbids nothing and, if it held, would keep each of these pairs of places apart for
/// good: tried on the model, as a remedy is. None where a way leads past all of them.
#[must_use]
pub fn void_one<'a>(
    house: &House<'a>,
    model: &Model,
    field: &Field,
    ends: &[(PlaceId, PlaceId)],
    given: &Given,
) -> Option<&'a Id> {
    let mut void = model.plates.iter().filter(|plate| plate.force == Force::Void);
    let keeps_apart = |lock: &[u32]| ends.iter().all(|ends| parted(field, *ends, lock, given));
    let plate = void.find(|plate| keeps_apart(&plate.switches))?;
    Some(&house.survey.interlocks[plate.interlock].id)
}

#[cfg(test)]
mod tests {
    use crate::assess;
    use crate::isolation::sketch;

    /// The cause of the slip between utility and generator, where the generator comes in at way 1 and, if so
    /// drawn, at way 2 too.
    fn cause(plate: &str, second: &str) -> Option<String> {
        let survey = sketch::survey(&format!(
            "utility U
            generator G
            panel P breaker bonded service
            way P.1 breaker
            way P.2 breaker
            way P.3 breaker
            run U P
            run G P.1
            {second}
            run P.3 -
            {plate}"
        ));
        let findings = assess(&survey).findings;
        let slip = findings.into_iter().find(|one| one.check == "sources_one_slip_apart")?;
        slip.cause.map(|cause| format!("{} {}", cause.check, cause.item))
    }

    /// A plate that forbids nothing is the cause of the slip that it would forbid, and of no other: not beside
    /// a second way in, and not where it holds.
    #[test]
    fn a_void_interlock_is_the_cause_of_what_it_would_forbid() {
        let broken = "interlock K plate P P.1 broken";
        assert_eq!(cause(broken, "").as_deref(), Some("interlock_defeated K"));
        assert_eq!(cause(broken, "run G P.2"), None);
        assert_eq!(cause("interlock K plate P.1 P.3 broken", ""), None);
        assert_eq!(cause("interlock K plate P P.1", ""), None);
        assert_eq!(cause("interlock K plate P P.1", "run G P.2"), None);
    }
}
