//! Equipment grounds and electrode conductors.

use deadfront_rules::codes::us::{enlarged, required_ground_area};
use deadfront_rules::si::{Area, Current, amperes, circular_mil};
use deadfront_rules::survey::WireSize;
use deadfront_rules::tables::us::{self, Metal};

use crate::example::{Case, Example, Found, is};

pub(crate) const CASES: &[(&str, Case)] = &[
    ("GR-01", enlarged_feeder),
    ("GR-03", enlarged_circuit),
    ("GR-06", enlarged_circuit),
    ("GR-07", large_device),
    ("GR-08", shared_raceway),
    ("GR-09", parallel_sets),
];

fn area(size: WireSize) -> Area {
    us::area(size).expect("a listed size").value
}

fn table(device: Current, metal: Metal) -> WireSize {
    us::equipment_ground_size(device, metal).expect("a size").value
}

/// The grown area, the size that follows, and what the source looked up.
fn grown(example: &Example, needed: WireSize, installed: WireSize) -> Found {
    let device = amperes(example.number("device_a"));
    let ground = table(device, Metal::Copper);
    let grown = required_ground_area(area(ground), area(needed), area(installed));
    let size = enlarged(device, Metal::Copper, needed, installed).value.expect("a size");
    vec![is("required_cmil", grown.get::<circular_mil>()), is("egc_awg", size), is("table_egc_awg", ground)]
}

fn enlarged_feeder(example: &Example) -> Found {
    let (needed, installed) = (example.kcmil("original_kcmil"), example.kcmil("enlarged_kcmil"));
    let mut found = grown(example, needed, installed);
    let ratio = required_ground_area(Area::new::<circular_mil>(1.0), area(needed), area(installed));
    found.push(is("ratio", ratio.get::<circular_mil>()));
    let ground = table(amperes(example.number("device_a")), Metal::Copper);
    found.push(is("table_egc_cmil", area(ground).get::<circular_mil>()));
    found
}

fn enlarged_circuit(example: &Example) -> Found {
    grown(example, example.size("original_awg"), example.size("enlarged_awg"))
}

fn large_device(example: &Example) -> Found {
    vec![
        is("egc_awg", table(amperes(example.number("device_a")), example.metal())),
        is("area_of_6_awg_cmil", area(WireSize::Awg(6)).get::<circular_mil>()),
    ]
}

/// One ground for several circuits: that of the largest device.
fn shared_raceway(example: &Example) -> Found {
    let devices = example.numbers("devices_a").into_iter();
    let sizes = devices.map(|device| table(amperes(device), example.metal()));
    let largest = sizes.max_by(|a, b| area(*a).value.total_cmp(&area(*b).value));
    vec![is("egc_awg", largest.expect("a device"))]
}

fn parallel_sets(example: &Example) -> Found {
    let hots = area(example.kcmil("kcmil_each")) * example.number("parallel_sets");
    let size = us::electrode_conductor_size(hots, example.metal(), Metal::Copper).expect("a size").value;
    vec![is("equivalent_kcmil", hots.get::<circular_mil>() / 1000.0), is("gec_copper_awg", size)]
}
