//! Placeholder while the tables land.
use crate::checks::check;
use crate::finding::Finding;
use crate::house::House;
check! {
    /// x
    device_larger_than_conductor {
        folder: Conductors, severity: Warning, binding: Hazard,
        citations: ["NFPA 70-2023" "240.4"],
        caution: "x", next_step: "x",
    }
}
fn find(_: &House<'_>, _: &mut Vec<Finding>) {}
