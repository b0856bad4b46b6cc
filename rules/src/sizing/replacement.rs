//! The smallest conductor that could take the place of one that is there, all else as it is.

use super::choose::is_laid_anew;
use crate::house::House;
use crate::survey::{Entered, Fact, Survey, WireSize};
use crate::tables::us::{self, Metal};

/// The smallest larger size of the same metal and wiring method with which a run of this house passes;
/// `None` where none does, or what it is made of is not known.
///
/// Each size is put into a copy of the survey and held against the rules of the house, so that surroundings,
/// terminals and neighbours count as they were seen.
#[must_use]
pub fn replacement(
    house: &House<'_>,
    run: usize,
    passes: impl Fn(&House<'_>, usize) -> bool,
) -> Option<WireSize> {
    let item = &house.survey.runs[run];
    let (method, size) = (item.method.get()?, item.size.known()?.quantity());
    let (smallest, largest) = us::made_sizes(method, Metal::from(item.material.get()?))?;
    if !is_laid_anew(method) {
        return None;
    }
    let from = if smallest.value.area() > size.area() { smallest.value.area() } else { size.area() };
    let candidates = us::trade_sizes().iter().copied();
    let mut copy: Survey = house.survey.clone();
    candidates.filter(|next| next.area() > size.area()).find(|next| {
        if next.area() < from || next.area() > largest.value.area() {
            return false;
        }
        let Ok(entered) = Entered::new(&next.to_string()) else { return false };
        copy.runs[run].size = Fact::Known(entered);
        passes(&House::new(&copy), run)
    })
}
