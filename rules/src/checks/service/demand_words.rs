//! What the two checks of demand say of a place.

use crate::capacity::demand::{Assessed, ByMethod, Method};
use crate::checks::CheckInfo;
use crate::finding::{Finding, Said, Verdict};
use crate::house::House;
use crate::say;
use crate::si::Current;

/// The finding about a place.
pub(super) fn finding(check: &'static CheckInfo, house: &House<'_>, demand: &Assessed) -> Finding {
    let shown = demand.shown();
    let message = message(demand, shown);
    let mut derivation = shown.map(|by| by.sheet.derivation.clone()).unwrap_or_default();
    derivation.include(&demand.limit.derivation);
    let subject = house.subject(&demand.place.at);
    let finding = Finding::of(check, subject, demand.verdict.clone(), message).because(derivation);
    match shown.map(|by| by.sheet.current).zip(demand.limit.value) {
        Some((current, limit)) => finding.figure(current, limit),
        None => finding,
    }
}

fn message(demand: &Assessed, shown: Option<&ByMethod>) -> Said {
    let place = demand.place.kind.words();
    let (Some(shown), Some(limit)) = (shown, demand.limit.value) else {
        return say!("It cannot be told what the loads of this {} ask for, or what it may carry.", place);
    };
    let current = shown.sheet.current;
    let method = shown.sheet.method.words();
    match demand.verdict {
        Verdict::FallsShort => {
            say!("The loads of this {} ask for {} by the {}; it may carry {}.", place, current, method, limit)
        }
        Verdict::Meets => match standard_figure(demand, shown) {
            Some(standard) => say!(
                "The loads of this {} ask for {} of {} by the {} ({} by the standard method).",
                place,
                current,
                limit,
                method,
                standard
            ),
            None => say!("The loads of this {} ask for {} of {} by the {}.", place, current, limit, method),
        },
        _ => say!(
            "As far as it is known, the loads of this {} ask for at least {} of {}; what is missing may make it more.",
            place,
            current,
            limit
        ),
    }
}

fn standard_figure(demand: &Assessed, shown: &ByMethod) -> Option<Current> {
    let standard = demand.by(Method::Standard)?;
    (shown.sheet.method != Method::Standard).then_some(standard.sheet.current)
}
