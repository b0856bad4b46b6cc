//! The figures that a drop along a way rests on, for whoever prints it or works it out again.

use super::phasor::{Impedance, sine};
use crate::finding::{Arg, Said};
use crate::house::Seat;
use crate::say;
use crate::si::{Current, Resistance, Voltage};
use crate::survey::{DemandFrom, Id};

/// The parts of a drop, in the order in which they are added.
#[derive(Debug, Clone, PartialEq)]
pub struct DropParts {
    /// The loop of each run on the way as the circuit's own current sees it, from the supply on.
    pub loops: Vec<(Id, Impedance)>,
    /// What the circuit's own load loses over all of them, by the short way.
    pub own: OwnPart,
    /// What the other loads on the way add, from the supply on.
    pub others: Vec<OtherPart>,
}

/// The drop by the circuit's own load: I (R cos φ + X sin φ).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnPart {
    /// The loads of the circuit together.
    pub current: Current,
    /// All loops together.
    pub whole: Impedance,
    /// Power factor of these loads together.
    pub cosine: f64,
    /// What is lost.
    pub drop: Voltage,
}

impl OwnPart {
    /// The arithmetic with its numbers.
    #[must_use]
    pub fn expression(&self) -> Said {
        let (cos, sin) = (Arg::Number(self.cosine, 3), Arg::Number(sine(self.cosine), 3));
        let (r, x) = (self.whole.resistance, self.whole.reactance);
        say!("{} × ({} × {} + {} × {})", self.current, r, cos, x, sin)
    }
}

/// What the other loads on one run add.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherPart {
    /// The run.
    pub run: Id,
    /// This much is certain; `None` while nothing is.
    pub least: Option<Added>,
    /// It may be up to this, where that is more; it stands in place of `least`.
    pub most: Option<Added>,
}

/// What a current in a run adds beyond the circuit's own.
#[derive(Debug, Clone, PartialEq)]
pub struct Added {
    /// All that the run carries.
    pub whole: Current,
    /// The circuit's own share of that.
    pub own: Current,
    /// One conductor for each leg that the circuit takes.
    pub resistance: Resistance,
    /// What is lost.
    pub drop: Voltage,
    /// Where the current is from.
    pub from: CurrentFrom,
}

impl Added {
    /// The arithmetic with its numbers.
    #[must_use]
    pub fn expression(&self) -> Said {
        say!("({} − {}) × {}", self.whole, self.own, self.resistance)
    }
}

/// Where a current is from.
#[derive(Debug, Clone, PartialEq)]
pub enum CurrentFrom {
    /// The demand entered for a panel; its origin, if that is known.
    Demand(Id, Option<DemandFrom>),
    /// A recorded demand times this margin.
    WithMargin(Id, DemandFrom, f64),
    /// The rating of a device through which all of it flows.
    Rating(Seat, Id),
    /// What a supply gives continuously.
    Supply(Id),
}

impl CurrentFrom {
    /// In words.
    #[must_use]
    pub fn words(&self) -> Said {
        match self {
            Self::Demand(panel, Some(from)) => {
                say!("demand entered for {}: {}", panel, Arg::Word(from.words()))
            }
            Self::Demand(panel, None) => say!("demand entered for {}; from where is not known", panel),
            Self::WithMargin(panel, from, margin) => {
                say!("{} × the demand entered for {}: {}", *margin, panel, Arg::Word(from.words()))
            }
            Self::Rating(seat, item) => {
                say!("rating of the {}, which lets no more through", seated(*seat, item))
            }
            Self::Supply(item) => say!("all that {} gives continuously", item),
        }
    }
}

fn seated(seat: Seat, item: &Id) -> Said {
    match seat {
        Seat::Way => say!("device of way {}", item),
        Seat::Main => say!("main of {}", item),
        Seat::Output => say!("device at the output of {}", item),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::{Added, OtherPart};
    use crate::fixture;
    use crate::house::House;
    use crate::runs::overview;
    use crate::si::volt;

    /// What the other loads add on the service of the house of one circuit: its lamps take 600 W / 120 V = 5 A.
    fn on_the_service(changes: &[(&str, Value)]) -> OtherPart {
        let survey = fixture::survey(&fixture::with(fixture::one_circuit(), changes));
        let house = House::new(&survey);
        let runs = overview(&house);
        let parts = runs.into_iter().flat_map(|run| run.drops).find_map(|drop| drop.parts).unwrap();
        assert_eq!(parts.own.expression().to_string().split(' ').next(), Some("5"));
        let loops: Vec<&str> = parts.loops.iter().map(|(run, _)| run.as_str()).collect();
        assert_eq!(loops, ["RS", "R"]);
        parts.others.into_iter().next().unwrap()
    }

    fn told(added: Option<&Added>) -> String {
        added.map_or_else(String::new, |added| {
            format!("{:.3} V: {}", added.drop.get::<volt>(), added.from.words())
        })
    }

    /// By hand, NFPA 70-2023 Chapter 9 Table 9: 40 ft of 4 AWG copper at 0.31 + j0.048 Ω per 1000 ft are
    /// √(12.4² + 1.92²) = 12.548 mΩ. (40 − 5) A lose 0.439 V there, (50 − 5) A 0.565 V, (100 − 5) A 1.192 V.
    #[test]
    fn each_current_says_where_it_is_from() {
        let of = |from: &str| {
            let part = on_the_service(&[("/panels/0/demand_from", json!(from))]);
            assert_eq!(part.run.as_str(), "RS");
            [told(part.least.as_ref()), told(part.most.as_ref())]
        };
        let calculated = "0.439 V: demand entered for P: a calculation";
        assert_eq!(of("calculation"), [calculated, calculated]);
        assert_eq!(
            of("spot_reading"),
            [
                "0.439 V: demand entered for P: a reading of hours or days",
                "1.192 V: rating of the main of P, which lets no more through"
            ]
        );
        assert_eq!(
            of("year_of_metering"),
            [
                "0.439 V: demand entered for P: highest demand of a year of metering",
                "0.565 V: 1.25 × the demand entered for P: highest demand of a year of metering"
            ]
        );
    }

    /// Without a demand nothing is certain, and the device ahead bounds it; a small supply bounds it further.
    #[test]
    fn without_a_demand_the_device_or_the_supply_bounds_it() {
        let unknown = ("/panels/0/demand", json!(null));
        let part = on_the_service(std::slice::from_ref(&unknown));
        assert_eq!(part.least, None);
        assert_eq!(told(part.most.as_ref()), "1.192 V: rating of the main of P, which lets no more through");
        let part = on_the_service(&[unknown, ("/supplies/0/continuous_current", json!("25 A"))]);
        assert_eq!(told(part.most.as_ref()), "0.251 V: all that U gives continuously");
        // A demand beyond what comes through counts as what comes through.
        let part = on_the_service(&[("/panels/0/demand", json!("120 A"))]);
        let main = "1.192 V: rating of the main of P, which lets no more through";
        assert_eq!([told(part.least.as_ref()), told(part.most.as_ref())], [main, main]);
    }
}
