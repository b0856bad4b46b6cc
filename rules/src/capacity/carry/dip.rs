//! How far the voltage dips at a motor while it starts on a supply of one's own.

use super::island::Carried;
use crate::calc::load_current::{Start, start_current};
use crate::calc::source::Extreme;
use crate::calc::start_dip::start_way;
use crate::finding::{Facts, Worked};
use crate::house::House;
use crate::si::{Current, Ratio};

/// The dip at a motor that starts with this current, over the conductors from the supply's terminals and, for a
/// generator, what stands behind them: the same figure that `motor_start_sags_voltage` gives. The most that it
/// can be; while facts are missing, the least.
#[must_use]
pub fn start_dip(house: &House<'_>, supply: usize, carried: &Carried, current: Current) -> Worked<Ratio> {
    let mut facts = Facts::new();
    let load = &house.survey.loads[carried.load];
    let Some(run) = house.run_number(&load.on) else { return facts.done(None) };
    let paths = house.feeds.paths_to(&house.network, house.network.run_end(run));
    let Some((_, path)) = paths.into_iter().find(|(from, _)| *from == supply) else {
        return facts.done(None);
    };
    let Some(start) = start_current(house, load).value else { return facts.done(None) };
    // A soft starter's stated current stands in for what the motor would draw without it.
    let start = Start { current, ..start };
    let way = start_way(house, Some(run), (supply, &path), &mut facts);
    let extreme = if facts.complete() { Extreme::Smallest } else { Extreme::Largest };
    facts.done(Some(way.sag(start, extreme)))
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::super::{islands, start_on};
    use super::*;
    use crate::assess;
    use crate::finding::Verdict;
    use crate::fixture::{backed_up, survey, with};
    use crate::si::percent;

    /// One start has one dip: the check and the capacity of the supply give the same. By hand: 48 A on 240 V is
    /// 5 Ω at cos φ 0.6; out and back 20 ft of 6 AWG at 0.49 + j0.051 and 120 ft of 10 AWG at 1.2 + j0.05 Ω per
    /// 1000 ft are 0.3076 + j0.014 Ω: 1 − 5 / √(3.3076² + 4.014²) = 3.9 %.
    #[test]
    fn the_check_gives_the_same_dip() {
        let survey = survey(&with(backed_up(), &[("/loads/2/lra", json!("48 A"))]));
        let house = House::new(&survey);
        let island = islands(&house).into_iter().find(|island| island.supply == 1).expect("an inverter");
        let pump = island.loads.iter().find(|carried| carried.load == 2).expect("the pump");
        let most = start_on(&house, pump).and_then(|start| start.most).expect("a start");
        let dip = start_dip(&house, 1, pump, most).value.expect("a dip").get::<percent>();
        assert!((dip - 3.87).abs() < 0.03, "{dip}");
        let told = assess(&survey);
        let found = told.findings.iter().find(|finding| {
            let about_pump = finding.subject.id.as_str() == "LW" && finding.verdict == Verdict::Meets;
            about_pump
                && finding.check == "motor_start_sags_voltage"
                && finding.message.to_string().contains("inverter")
        });
        let message = found.expect("a finding").message.to_string();
        assert!(message.contains(&format!("{dip:.2} %")), "{message} {dip}");
    }
}
