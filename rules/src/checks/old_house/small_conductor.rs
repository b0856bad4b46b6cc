//! The device ahead of old small wire against the limit for small conductors (NFPA 70-2023
//! 240.4(D)); shared by the checks of knob-and-tube and of aluminium.

use crate::finding::{Derivation, Facts, Verdict, Worked, from_table, judge};
use crate::house::{Guard, House, Protection};
use crate::say;
use crate::si::Current;
use crate::survey::{Run, WireSize};
use crate::tables::us::{self, Metal};

/// The device ahead of a run compared with the limit for its size.
pub(super) struct Compared {
    pub(super) verdict: Verdict,
    /// Rating of the device, if known.
    pub(super) rating: Option<Current>,
    /// Its limit, if the clause sets one for the size.
    pub(super) limit: Option<Current>,
    pub(super) derivation: Derivation,
}

/// `None` where nothing protects the run at its beginning: `run_unprotected` speaks of that.
pub(super) fn compare(house: &House<'_>, number: usize) -> Option<Compared> {
    let Protection::Ahead(guard) = house.protection(number) else { return None };
    let run = &house.survey.runs[number];
    let rating = rating(guard);
    let (limit, unlimited) = limit(run);
    let mut derivation = rating.derivation.clone();
    derivation.include(&limit.derivation);
    let verdict = match unlimited {
        Some(size) => {
            Verdict::NotApplicable { why: say!("240.4(D) sets no limit for {} of this metal.", size) }
        }
        None => judge(&rating, &limit, |rating, limit| rating > limit),
    };
    Some(Compared { verdict, rating: rating.value, limit: limit.value, derivation })
}

fn rating(guard: Guard<'_>) -> Worked<Current> {
    let mut facts = Facts::new();
    facts.need(&guard.device.kind, guard.at, guard.kind_fact());
    let rating = facts.need(&guard.device.rating, guard.at, guard.rating_fact());
    let rating = rating.map(|rating| rating.quantity());
    if let Some(rating) = rating {
        facts.seen("I_n", "device ahead", rating, guard.at, guard.rating_fact());
    }
    facts.done(rating)
}

/// The limit, or the known size for which there is none.
fn limit(run: &Run) -> (Worked<Current>, Option<WireSize>) {
    let mut facts = Facts::new();
    let size = facts.need(&run.size, &run.id, "size").map(|size| size.quantity());
    let material = facts.need(&run.material, &run.id, "material");
    let (Some(size), Some(material)) = (size, material) else { return (facts.done(None), None) };
    facts.seen("", "size", size, &run.id, "size");
    let cell = us::not_larger(size).and_then(|size| us::small_conductor_limit(size, Metal::from(material)));
    let Some(cell) = cell else { return (facts.done(None), Some(size)) };
    facts.step(from_table("I_max", say!("largest device on {}", size), cell.value, cell.place));
    (facts.done(Some(cell.value)), None)
}
