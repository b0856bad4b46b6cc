//! How the connected load of a line came about, with its numbers: the arithmetic that a person does again.

use super::dwelling::{Dwelling, Group, Item, Uncovered};
use super::sheet::{Sheet, va};
use crate::finding::Said;
use crate::say;
use crate::si::{Power, watt};
use crate::tables::us::{DemandId, demand};

/// Plates added up.
pub(super) fn of_plates<'a>(items: impl IntoIterator<Item = &'a Item>) -> Option<Said> {
    sum(items.into_iter().map(|item| plate(&item.name, item.load)))
}

/// Plates added up, each counting at least what this rule says; so does one that nobody has read.
pub(super) fn at_least(group: &Group, rule: DemandId) -> Option<Said> {
    let least = Power::new::<watt>(demand(rule).value.value);
    let counted = |item: &Item| {
        let told = plate(&item.name, item.load);
        if item.load < least { say!("{}, counted as {}", told, va(least)) } else { told }
    };
    let unread = (group.unknown > 0).then(|| say!("{} × {} of unread plates", group.unknown, va(least)));
    sum(group.items.iter().map(counted).chain(unread))
}

/// Lighting and outlets of outbuildings: their plates, and what the Code counts for an outlet without one. The
/// last line of the sheet is theirs.
pub(super) fn tell_elsewhere(sheet: &mut Sheet, dwelling: &Dwelling) {
    let each = demand(DemandId::OutletElsewhere);
    let one = |uncovered: &Uncovered| match uncovered.outlets {
        Some(count) => say!("{} {} × {} VA", uncovered.name.clone(), count, each.value.value),
        None => plate(&uncovered.name, uncovered.load),
    };
    sheet.worked_out(sum(dwelling.elsewhere.iter().map(one)));
    if dwelling.elsewhere.iter().any(|uncovered| uncovered.outlets.is_some()) {
        sheet.rests_on(each.value.place);
    }
}

fn plate(name: &std::sync::Arc<str>, load: Power) -> Said {
    say!("{} {}", name.clone(), va(load))
}

fn sum(parts: impl Iterator<Item = Said>) -> Option<Said> {
    parts.reduce(|sum, part| say!("{} + {}", sum, part))
}

#[cfg(test)]
mod tests {
    use crate::capacity::demand::{Dwelling, Group, Item, Measured, Uncovered, Worksheet};
    use crate::capacity::demand::{measured, optional, standard};
    use crate::si::{Area, Power, amperes, square_foot, volts, watt};

    /// A house with a barn: its outlets count 5 × 180 VA = 900 VA (220.14(I)), with its lights 1200 VA.
    fn farm() -> Dwelling {
        let uncovered = |name: &str, load: f64, outlets| Uncovered {
            name: name.into(),
            load: Power::new::<watt>(load),
            outlets,
        };
        Dwelling {
            floor_area: Area::new::<square_foot>(1500.0),
            small_appliance_circuits: 2,
            laundry_circuits: 1,
            elsewhere: vec![uncovered("Barn lights", 300.0, None), uncovered("Barn outlets", 900.0, Some(5))],
            dryers: Group::from(vec![Item::new("Dryer", 4300.0).with_neutral()]),
            cooking: Group::from(vec![Item::new("Oven", 4000.0), Item::new("Cooktop", 3500.0)]),
            vehicles: Group { items: vec![Item::new("Car", 9600.0)], unknown: 1 },
            heat: Group::from(vec![Item::new("Baseboard", 1500.0), Item::new("Bath heater", 1000.0)]),
            ..Dwelling::default()
        }
    }

    fn told(sheet: &Worksheet) -> Vec<String> {
        let with_inputs = sheet.lines.iter().filter_map(|line| {
            let load = line.load.get::<watt>();
            line.inputs.as_ref().map(|inputs| format!("{}: {load:.0} = {inputs}", line.label))
        });
        with_inputs.collect()
    }

    /// Each sum by hand; a dryer counts 5000 VA (220.54), a vehicle 7200 VA (220.57) at least.
    #[test]
    fn every_sum_tells_its_inputs() {
        let wanted = [
            "general lighting and outlets, 1500 ft²: 4500 = 1500 ft² × 3 VA/ft²",
            "small-appliance circuits: 3000 = 2 × 1500 VA",
            "laundry circuits: 1500 = 1 × 1500 VA",
            "lighting and outlets of outbuildings: 1200 = Barn lights 300 VA + Barn outlets 5 × 180 VA",
            "ranges, ovens and cooktops: 7500 = Oven 4000 VA + Cooktop 3500 VA",
        ];
        let found = told(&standard(&farm(), volts(240.0)));
        assert_eq!(found[..5], wanted);
        let rest = [
            "clothes dryers: 5000 = Dryer 4300 VA, counted as 5000 VA",
            "vehicle supply equipment: 16800 = Car 9600 VA + 1 × 7200 VA of unread plates",
            "heating: 2500 = Baseboard 1500 VA + Bath heater 1000 VA",
        ];
        assert_eq!(found[5..], rest);
        let by_optional = told(&optional(&farm(), volts(240.0)));
        assert_eq!(by_optional[..5], wanted);
        assert!(by_optional.contains(&"clothes dryers: 4300 = Dryer 4300 VA".to_owned()), "{by_optional:?}");
    }

    /// Where the outlets of a barn count, the clause that says how much stands beside them.
    #[test]
    fn outlets_of_a_barn_rest_on_their_clause() {
        let sheet = standard(&farm(), volts(240.0));
        let line = sheet.lines.iter().find(|line| line.label.to_string().contains("outbuildings")).unwrap();
        assert!(line.places.iter().any(|place| place.to_string().contains("220.14(I)")), "{line:?}");
    }

    #[test]
    fn what_was_measured_is_told_with_its_voltage() {
        let new_load = vec![Item::new("Charger", 4800.0), Item::new("Heater", 1200.0)];
        let sheet = measured(&Measured { largest: amperes(60.0), new_load }, volts(240.0));
        let wanted = [
            "largest measured demand: 14400 = 60 A × 240 V",
            "new load: 6000 = Charger 4800 VA + Heater 1200 VA",
        ];
        assert_eq!(told(&sheet), wanted);
    }
}
