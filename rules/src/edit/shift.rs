//! The order of items in their list.

use super::change::{Change, List};
use super::told::{Name, Told};
use super::{Edit, Refused};
use crate::say;
use crate::survey::place::Place;
use crate::survey::{Id, Survey};

/// Moves an item in its list: by -1 one place towards the beginning. Beyond either end it stays there.
///
/// # Errors
/// When there is no such item, or it is the house.
pub fn shift(survey: &Survey, item: &Id, by: isize) -> Result<Edit, Refused> {
    let place = Place::find(survey, item).ok_or_else(|| Refused::no_item(item))?;
    let Some((list, from)) = List::of(survey, place) else {
        return Err(Refused(say!("The house itself stands in no list.")));
    };
    let last = list.len(survey).saturating_sub(1);
    let to = from.saturating_add_signed(by).min(last);
    let by = isize::try_from(to).unwrap_or_default() - isize::try_from(from).unwrap_or_default();
    let told = Told::Moved { item: Name::of(survey, place, item), by };
    let change = Change::Move { list, item: item.clone(), from, to };
    Ok(Edit { told, changes: if to == from { Vec::new() } else { vec![change] } })
}
