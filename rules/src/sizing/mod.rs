//! Sizing before a quote: the smallest conductor for a load, with its device, neutral and ground,
//! and the cable of a whole survey.
//!
//! Each candidate is built as a small survey and held against the same rules that check a house,
//! so that no rule is written twice and a run built from an answer passes its checks.

mod answer;
mod cable_list;
mod candidate;
mod choose;
mod from_survey;
mod need;
mod replacement;
mod request;
mod small_house;
#[cfg(test)]
mod tests;

pub use answer::*;
pub use cable_list::{CableList, Form, NotCounted, Purchase, Stock, Uncounted, cable_list, purchases};
pub use choose::{drop_words, is_laid_anew, metal_words, size};
pub use from_survey::{Feed, LoadPlate, feed_of_load, feeds_of, load_plate};
pub use need::{DeviceNeed, Needed};
pub use replacement::replacement;
pub use request::{Condition, Origin, Purpose, Request, Wanted, conductors};
