//! The smallest wire-type equipment ground (NFPA 70-2023 250.122).

use crate::finding::{Facts, Worked, by_clause, from_table, reckoned};
use crate::house::{House, Protection};
use crate::say;
use crate::si::{Area, Current};
use crate::survey::{Run, WireSize};
use crate::tables::us::{self, Metal};

/// The smallest size in the metal of the grounding wire; missing facts stand at their best case.
pub(super) fn equipment_ground(house: &House<'_>, run: usize) -> Worked<WireSize> {
    let mut facts = Facts::new();
    let value = work_out(house, run, &mut facts);
    facts.done(value)
}

fn work_out(house: &House<'_>, number: usize, facts: &mut Facts) -> Option<WireSize> {
    let run = &house.survey.runs[number];
    let Protection::Ahead(guard) = house.protection(number) else { return None };
    let rating = guard.rating(facts);
    let material = facts.need(&run.equipment_ground_material, &run.id, "equipment_ground_material");
    let (rating, material) = (rating?, material?);
    let metal = Metal::from(material);
    let cell = us::equipment_ground_size(rating, metal)?;
    facts.step(from_table(
        "S_g",
        say!("smallest {} grounding wire", material.words()),
        cell.value,
        cell.place,
    ));
    Some(not_larger_than_circuit(run, cell.value, metal, facts))
}

/// 250.122(A): it need not be larger than the circuit conductors (of the same metal).
fn not_larger_than_circuit(run: &Run, size: WireSize, metal: Metal, facts: &mut Facts) -> WireSize {
    let (Some(material), Some(entered)) = (run.material.get(), run.size.known()) else { return size };
    let Some(hot) = us::not_larger(entered.quantity()) else { return size };
    let (Some(hot_area), Some(ground_area)) = (us::area(hot), us::area(size)) else { return size };
    if Metal::from(material) == metal && hot_area.value < ground_area.value {
        facts.step(by_clause(
            "S_g",
            "not larger than the circuit conductors",
            say!("{}", hot),
            hot,
            "NFPA 70-2023 250.122(A)",
        ));
        return hot;
    }
    size
}

/// 250.122(B): the area of an equipment ground where the hots are larger than needed: it grows
/// in their proportion. The ratio is not rounded.
///
/// `needed` and `installed` are the areas of the hots, `table` that of the ground by Table 250.122.
#[must_use]
pub fn required_ground_area(table: Area, needed: Area, installed: Area) -> Area {
    table * (installed / needed).get::<crate::si::ratio>()
}

/// The ground of a circuit whose hots were enlarged from the smallest that its device allows.
#[must_use]
pub fn enlarged(device: Current, metal: Metal, needed: WireSize, installed: WireSize) -> Worked<WireSize> {
    let mut facts = Facts::new();
    let value = (|| {
        let table = us::equipment_ground_size(device, metal)?;
        facts.step(from_table("S_g", "grounding wire by the device", table.value, table.place));
        let (ground, small, large) = (us::area(table.value)?, us::area(needed)?, us::area(installed)?);
        let area = required_ground_area(ground.value, small.value, large.value);
        let expression = say!("{} × {} ÷ {}", ground.value, large.value, small.value);
        facts.step(reckoned("A_g", "grounding wire grown with the hots", expression, area));
        let size = us::size_of_area(area)?;
        facts.step(reckoned("S_g", "next trade size", say!("{} is at least {}", size, area), size));
        Some(size)
    })();
    facts.done(value)
}
