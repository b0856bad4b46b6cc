//! Currents of loads: while running, for the choice of conductor and device, and at the start.

mod design;
mod legs;
mod range;
mod running;
mod start;
mod voltage;

pub use design::{design_current, design_current_of_run, device_current_of_run};
pub use legs::RunCurrent;
pub(crate) use range::range_demand_kw;
pub use running::{Drawn, running_current, running_current_of_run};
pub(crate) use running::{is_resistance, loads_from};
pub use start::{Start, looked_for_a_better_figure, start_current, starts_hard};
pub use voltage::{Across, load_voltage};
