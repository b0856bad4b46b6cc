//! NFPA 70 (National Electrical Code), edition 2023.

mod ampacity;
mod device_limit;
mod equipment_ground;

pub use ampacity::{current_carrying, insulation_column};
pub(crate) use device_limit::device_at_terminals;
pub use device_limit::{dwelling_device, is_multi_outlet_receptacle_circuit};
pub use equipment_ground::{enlarged, required_ground_area};

use super::{Ampacity, DeviceLimit, RuleSet};
use crate::finding::Worked;
use crate::house::House;
use crate::survey::WireSize;

/// The `us` rule set.
pub struct Us;

impl RuleSet for Us {
    fn ampacity(&self, house: &House<'_>, run: usize) -> Worked<Ampacity> {
        ampacity::ampacity(house, run)
    }
    fn neutral_ampacity(&self, house: &House<'_>, run: usize) -> Worked<Ampacity> {
        ampacity::neutral_ampacity(house, run)
    }
    fn device_limit(&self, house: &House<'_>, run: usize) -> Worked<DeviceLimit> {
        device_limit::device_limit(house, run)
    }
    fn equipment_ground(&self, house: &House<'_>, run: usize) -> Worked<WireSize> {
        equipment_ground::equipment_ground(house, run)
    }
}
