//! A service whose loads ask for more than it may carry.

use super::demand_words::finding;
use crate::capacity::demand::PlaceKind;
use crate::checks::check;
use crate::finding::Finding;
use crate::house::House;

check! {
    /// # What it checks
    /// The demand of the house against the service: its main, its bus and its conductors, these by their
    /// ampacity, behind one main of a dwelling by the rating of 310.12. The demand is worked out by every method of the code that applies:
    /// the standard one, the optional one (from 100 A), that for existing dwellings, and 125 % of a
    /// demand measured for a year, or for 30 days where no source of one's own hides what is drawn.
    /// They are alternatives: one that is kept is enough.
    ///
    /// # Why
    /// An old service was made for lights and a range. Heat, a heat pump, a vehicle and a battery charger
    /// came later, and nobody added them up. The main then opens on the coldest night, or, where there is
    /// none, the conductors and the meter socket run hot.
    ///
    /// # Example
    /// NFPA 70-2005 Annex D, D1(a): 1500 ft², two small-appliance circuits, laundry, a 12 kW range, a 5.5
    /// kW dryer: 5100 + 8000 + 5500 = 18 600 VA, 77.5 A at 240 V. A service of 100 A is enough, one of 60
    /// A is flagged.
    ///
    /// # Limits
    /// Each piece of electric heat that does not back up a heat pump counts as a separately controlled
    /// unit. Heat pumps count for heating and for cooling. Outbuildings' outlets count 180 VA each. The
    /// 25 % for continuous loads of 230.42 is not added, as the code's own examples do not.
    ///
    /// # References
    /// NFPA 70-2023 220.40 to 220.61, 220.82, 220.83, 220.87; Tables 220.54, 220.55.
    service_overloaded {
        folder: Service,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "220.83", "NFPA 70-2023" "220.40", "NFPA 70-2023" "230.42"],
        caution: "Do not add a load to this service. Large loads that run together may overheat it before a device opens.",
        next_step: "Have a licensed electrician check the calculation, then choose: loads that may not run together, a load manager, or a larger service.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    let services = house.demands().iter().filter(|demand| demand.place.kind == PlaceKind::Service);
    findings.extend(services.map(|demand| finding(&CHECK, house, demand)));
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{one_circuit, survey, text, verdict, with};
    use crate::si::ampere;

    fn load(id: &str, kind: &str, plate: Value) -> Value {
        let mut load = json!({
            "id": id, "name": kind, "on": "R", "kind": kind, "continuous": false, "outlets": "hard_wired"
        });
        if let (Value::Object(load), Value::Object(plate)) = (&mut load, plate) {
            load.extend(plate);
        }
        load
    }

    /// The house of Annex D1(a): 1500 ft², range 12 kW, dryer 5.5 kW, on two-hot runs of its own. The
    /// least number of small-appliance and laundry circuits counts.
    fn annex_d1a(main: &str) -> Value {
        let base = one_circuit();
        let mut run = base["runs"][1].clone();
        run["id"] = json!("RR");
        run["circuit"] = json!("two_hots_and_neutral");
        let large = |id: &str, kind: &str, watts: &str| {
            let mut load = load(id, kind, json!({ "power": watts, "voltage": "240 V" }));
            load["on"] = json!("RR");
            load
        };
        with(
            base,
            &[
                ("/site/floor_area", json!("1500 ft2")),
                ("/panels/0/main/rating", json!(main)),
                ("/panels/0/demand", json!(null)),
                ("/runs/-", run),
                ("/loads/-", large("LR", "range", "12 kW")),
                ("/loads/-", large("LD", "dryer", "5.5 kW")),
            ],
        )
    }

    fn by(house: &Value, method: &str) -> Option<f64> {
        let survey = survey(house);
        let house = House::new(&survey);
        let methods = house.demands()[0].methods.clone();
        let found = methods.into_iter().find(|by| by.sheet.method.name() == method);
        found.map(|by| (by.sheet.current.get::<ampere>() * 100.0).round() / 100.0)
    }

    /// NFPA 70-2005 Annex D1(a): 18 600 VA, 77.5 A. By 220.83: 26 500 VA, 8000 + 40 % of 18 500: 64.17 A.
    #[test]
    fn service_overloaded() {
        assert_eq!(by(&annex_d1a("100 A"), "standard"), Some(77.5));
        assert_eq!(by(&annex_d1a("100 A"), "existing"), Some(64.17));
        let told = |main: &str| verdict(&CHECK, &annex_d1a(main), "P");
        assert_eq!(told("100 A"), "meets");
        // The existing-dwelling method is enough at 65 A, none is at 64 A.
        assert_eq!(told("65 A"), "meets");
        assert_eq!(told("64 A"), "falls_short WARNING");
        insta::assert_snapshot!(text(&CHECK, &annex_d1a("60 A"), "P"));
    }

    /// 220.82 begins at 100 A.
    #[test]
    fn the_optional_method_begins_at_100_amperes() {
        assert_eq!(by(&annex_d1a("99 A"), "optional"), None);
        // 10 000 + 40 % of 16 500 VA.
        assert_eq!(by(&annex_d1a("100 A"), "optional"), Some(69.17));
    }

    #[test]
    fn a_dwelling_for_several_families_goes_by_the_standard_method() {
        let told = |main: &str, one: Value| {
            verdict(&CHECK, &with(annex_d1a(main), &[("/site/one_family", one)]), "P")
        };
        assert_eq!(told("78 A", json!(false)), "meets");
        assert_eq!(told("77 A", json!(false)), "falls_short WARNING");
        assert_eq!(told("77 A", json!(null)), "cannot_tell one_family");
        assert_eq!(told("78 A", json!(null)), "meets");
    }

    /// 220.87: 125 % of the measured demand; a short recording does not count beside solar or a battery.
    #[test]
    fn a_measured_demand_counts_when_it_was_measured_long_enough() {
        let told = |amperes: &str, from: Value| {
            let changes = [("/panels/0/demand", json!(amperes)), ("/panels/0/demand_from", from)];
            verdict(&CHECK, &with(annex_d1a("60 A"), &changes), "P")
        };
        assert_eq!(told("48 A", json!("year_of_metering")), "meets");
        assert_eq!(told("48.1 A", json!("year_of_metering")), "falls_short WARNING");
        assert_eq!(told("48 A", json!("month_of_recording")), "meets");
        assert_eq!(told("48 A", json!("spot_reading")), "falls_short WARNING");
        assert_eq!(told("48 A", json!(null)), "cannot_tell demand_from");
        let battery = json!({ "id": "B", "name": "Battery", "kind": "battery_inverter" });
        let changes = [
            ("/supplies/-", battery),
            ("/panels/0/demand", json!("48 A")),
            ("/panels/0/demand_from", json!("month_of_recording")),
        ];
        assert_eq!(verdict(&CHECK, &with(annex_d1a("60 A"), &changes), "P"), "falls_short WARNING");
    }

    #[test]
    fn each_missing_fact_is_named() {
        let told = |path: &str| verdict(&CHECK, &with(annex_d1a("100 A"), &[(path, json!(null))]), "P");
        assert_eq!(told("/site/floor_area"), "cannot_tell floor_area");
        assert_eq!(told("/panels/0/main/rating"), "cannot_tell main.rating");
        assert_eq!(told("/panels/0/main/kind"), "cannot_tell main.kind");
        assert_eq!(told("/panels/0/buses/0/rating"), "cannot_tell rating");
        assert_eq!(told("/loads/1/power"), "cannot_tell power");
        assert_eq!(told("/runs/0/circuit"), "cannot_tell circuit");
        assert_eq!(told("/supplies/0/voltage"), "cannot_tell voltage");
        // Even so it is certain.
        let small = with(annex_d1a("40 A"), &[("/loads/2/power", json!(null))]);
        assert_eq!(verdict(&CHECK, &small, "P"), "falls_short WARNING");
    }

    #[test]
    fn a_way_or_a_run_that_nobody_traced_leaves_it_open() {
        let way = |kind: &str| {
            let mut way = annex_d1a("100 A")["panels"][0]["ways"][0].clone();
            way["id"] = json!("P.3");
            way["device"]["kind"] = json!(kind);
            verdict(&CHECK, &with(annex_d1a("100 A"), &[("/panels/0/ways/-", way)]), "P")
        };
        assert_eq!(way("breaker"), "cannot_tell run");
        assert_eq!(way("spare"), "meets");
        let mut run = annex_d1a("100 A")["runs"][1].clone();
        run["id"] = json!("RX");
        let house = with(annex_d1a("100 A"), &[("/runs/-", run)]);
        assert_eq!(verdict(&CHECK, &house, "P"), "cannot_tell loads");
    }

    #[test]
    fn without_a_main_the_conductors_count() {
        let lugs = with(annex_d1a("100 A"), &[("/panels/0/main", json!({ "kind": "lugs" }))]);
        assert_eq!(verdict(&CHECK, &lugs, "P"), "meets");
        let thin = with(lugs, &[("/runs/0/size", json!("8 AWG")), ("/runs/0/neutral_size", json!("8 AWG"))]);
        assert_eq!(verdict(&CHECK, &thin, "P"), "falls_short WARNING");
    }

    #[test]
    fn new_cooling_takes_the_second_part_of_220_83() {
        let mut run = one_circuit()["runs"][1].clone();
        run["id"] = json!("RN");
        run["circuit"] = json!("two_hots");
        run["planned"] = json!(true);
        let mut cooler = load("LN", "air_conditioner", json!({ "rla": "20 A", "voltage": "240 V" }));
        cooler["on"] = json!("RN");
        let house = with(annex_d1a("100 A"), &[("/runs/-", run), ("/loads/-", cooler)]);
        // 64.17 A of other load and 20 A in full.
        assert_eq!(by(&house, "existing"), Some(84.17));
    }
}
