//! The loads behind a sum, each in a line of its own, so that the sum can be redone by hand.

use super::island::{Carried, Island};
use super::totals::is_pair;
use crate::capacity::run_time::{Cycling, DAY, Day};
use crate::finding::{Arg, Said, Step, reckoned};
use crate::house::House;
use crate::say;
use crate::si::{Current, Power, Voltage, watt};

/// The running current of each load with the legs that it loads.
pub(crate) fn currents(house: &House<'_>, island: &Island) -> Vec<Step> {
    let of = |carried: &Carried| {
        let (a, b) = (carried.a, carried.b);
        let current = if a > b { a } else { b };
        let where_it_flows = match (a > Current::default(), b > Current::default()) {
            (true, true) => say!("on both legs"),
            (true, false) => say!("on leg A"),
            (false, true) => say!("on leg B"),
            (false, false) => return None,
        };
        Some(reckoned("I", name(house, carried), where_it_flows, current))
    };
    counted(island).filter_map(of).collect()
}

/// The apparent power of each load: its current times its voltage.
pub(crate) fn apparent_powers(house: &House<'_>, island: &Island) -> Vec<Step> {
    let of = |carried: &Carried| {
        let apparent = carried.apparent;
        let current = if carried.a > carried.b { carried.a } else { carried.b };
        let shown = Arg::Quantity(apparent.get::<watt>(), 0, "VA");
        let expression = if current > Current::default() {
            let voltage: Voltage = apparent / current;
            say!("{} × {}", current, voltage)
        } else {
            say!("on a leg that is not known")
        };
        (apparent > Power::default()).then(|| reckoned("S", name(house, carried), expression, shown))
    };
    counted(island).filter_map(of).collect()
}

/// The active power of each load: its apparent power times its power factor.
pub(crate) fn active_powers(house: &House<'_>, island: &Island) -> Vec<Step> {
    let of = |carried: &Carried| {
        let (apparent, power) = (carried.apparent, carried.power);
        if power <= Power::default() {
            return None;
        }
        let factor = Arg::Number((power / apparent).value, 3);
        let shown = Arg::Quantity(apparent.get::<watt>(), 0, "VA");
        Some(reckoned("P", name(house, carried), say!("{} × {}", shown, factor), power))
    };
    counted(island).filter_map(of).collect()
}

/// The mean power of each load on a usual day.
pub(crate) fn mean_powers(house: &House<'_>, island: &Island, day: &Day) -> Vec<Step> {
    let of = |(carried, cycling): (&Carried, &Cycling)| {
        let share = cycling.shares[USUAL];
        let mean = cycling.power * (share * cycling.hours / DAY);
        let expression = say!(
            "{} × {} × {} / {}",
            cycling.power,
            Arg::Quantity(cycling.hours, 1, "h"),
            Arg::Quantity(share * 100.0, 0, "%"),
            Arg::Quantity(DAY, 0, "h")
        );
        (mean > Power::default()).then(|| reckoned("P", name(house, carried), expression, mean))
    };
    counted(island).zip(&day.loads).filter_map(of).collect()
}

/// The usual one of the three days of [`Day::mean`].
const USUAL: usize = 1;

/// Those that draw: on a supply with one hot, a load between two hots gets no voltage.
fn counted(island: &Island) -> impl Iterator<Item = &Carried> {
    island.loads.iter().filter(|carried| !(island.one_hot() && is_pair(carried)))
}

fn name(house: &House<'_>, carried: &Carried) -> Said {
    let load = &house.survey.loads[carried.load];
    say!("{} ({})", &load.name, &load.id)
}
