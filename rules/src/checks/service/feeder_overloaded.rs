//! A feeder or a bus section whose loads ask for more than it may carry.

use super::demand_words::finding;
use crate::capacity::demand::PlaceKind;
use crate::checks::check;
use crate::finding::Finding;
use crate::house::House;

check! {
    /// # What it checks
    /// The demand of everything that hangs on a subpanel, or on a bus section that a way of its own panel
    /// feeds, against the device ahead, its main, its bus and its conductors. A panel that feeds part of the house goes by
    /// the standard method or by a demand measured for a year; one that feeds all of it also by the
    /// optional methods.
    ///
    /// # Why
    /// A subpanel was added for one room and got the heat of the next. The bus of an old split panel
    /// feeds half the house through one breaker.
    ///
    /// # Example
    /// An invented subpanel behind a 60 A breaker with 9 kW of electric heat and a 4.5 kW water heater:
    /// 9000 + 4500 = 13 500 VA, 56.3 A of 60 A. With 1 kW more it is 60.4 A and is flagged.
    ///
    /// # Limits
    /// The floor area that a panel's lighting serves is asked for only where it matters: what is met with
    /// the area of the whole house is met.
    ///
    /// # References
    /// NFPA 70-2023 215.2, 215.3, 220.40 to 220.61, 220.87.
    feeder_overloaded {
        folder: Service,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "215.2", "NFPA 70-2023" "220.40"],
        caution: "Do not add a load to this panel. Its feeder or its bus may run hot before a device opens.",
        next_step: "Have a licensed electrician check the calculation, then move loads to another panel or put in a larger feeder and panel.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    let feeders = house.demands().iter().filter(|demand| demand.place.kind != PlaceKind::Service);
    findings.extend(feeders.map(|demand| finding(&CHECK, house, demand)));
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{backed_up, survey, text, verdict, with};
    use crate::si::ampere;

    /// The backed-up panel Q behind 60 A with heat of this power and a water heater of 4.5 kW in place
    /// of its loads.
    fn heated(heat: &str) -> Value {
        let load = |id: &str, kind: &str, power: &str| {
            json!({
                "id": id, "name": kind, "on": "RW", "kind": kind, "voltage": "240 V", "power": power,
                "continuous": true, "outlets": "hard_wired"
            })
        };
        let house = with(
            backed_up(),
            &[
                ("/loads/1", load("LK", "space_heat", heat)),
                ("/loads/2", load("LW", "water_heater", "4.5 kW")),
                ("/panels/1/demand", json!(null)),
            ],
        );
        // The kitchen's run feeds the heat now.
        let runs = house["runs"].as_array().map_or(0, Vec::len);
        with(
            house,
            &[(&format!("/runs/{}/circuit", runs - 2), json!("two_hots")), ("/loads/1/on", json!("RK"))],
        )
    }

    /// By hand: 9000 + 4500 = 13 500 VA, 56.25 A; 9900 + 4500 = 14 400 VA, 60 A.
    #[test]
    fn feeder_overloaded() {
        assert_eq!(verdict(&CHECK, &heated("9 kW"), "Q"), "meets");
        assert_eq!(verdict(&CHECK, &heated("9.9 kW"), "Q"), "meets");
        assert_eq!(verdict(&CHECK, &heated("9.91 kW"), "Q"), "falls_short WARNING");
        insta::assert_snapshot!(text(&CHECK, &heated("10 kW"), "Q"));
    }

    /// NFPA 70-2023 Table 310.16, 60 °C: 6 AWG NM-B carries 55 A and may stand behind 60 A (240.4(B)); its
    /// demand may not pass 55 A (215.2(A)(1)): 8700 + 4500 VA are 55 A.
    #[test]
    fn a_device_of_the_next_size_up_lets_the_conductors_carry_no_more() {
        let told = |heat: &str| {
            let runs = heated(heat)["runs"].as_array().cloned().unwrap_or_default();
            let feeders =
                runs.iter().enumerate().filter(|(_, run)| run["to"].is_string() && run["id"] != "RS");
            let paths: Vec<String> = feeders.map(|(at, _)| format!("/runs/{at}/method")).collect();
            let changes: Vec<(&str, Value)> =
                paths.iter().map(|path| (path.as_str(), json!("nm_b"))).collect();
            verdict(&CHECK, &with(heated(heat), &changes), "Q")
        };
        assert_eq!(told("8.7 kW"), "meets");
        assert_eq!(told("8.71 kW"), "falls_short WARNING");
    }

    #[test]
    fn each_missing_fact_is_named() {
        let told = |path: &str| verdict(&CHECK, &with(heated("9 kW"), &[(path, json!(null))]), "Q");
        assert_eq!(told("/loads/1/power"), "cannot_tell power");
        assert_eq!(told("/panels/0/ways/1/device/rating"), "cannot_tell device.rating");
        assert_eq!(told("/panels/0/ways/1/device/kind"), "cannot_tell device.kind");
        assert_eq!(told("/panels/1/buses/0/rating"), "cannot_tell rating");
        assert_eq!(told("/panels/1/main/kind"), "cannot_tell main.kind");
    }

    /// By hand: two outlets' worth of lighting on the panel; 56.25 A leave 3.75 A, 900 VA, 300 ft².
    #[test]
    fn the_floor_area_is_asked_for_where_it_matters() {
        let outlets = json!({
            "id": "LO", "name": "Outlets", "on": "RO", "kind": "receptacles", "voltage": "120 V",
            "outlet_count": 4, "continuous": false
        });
        let mut run = heated("9 kW")["runs"][1].clone();
        for (fact, value) in
            [("id", "RO"), ("name", "Outlets"), ("from", "Q.1"), ("circuit", "hot_and_neutral")]
        {
            run[fact] = json!(value);
        }
        let survey_of = |area: Value, site: &str| {
            let changes = [
                ("/runs/-", run.clone()),
                ("/loads/-", outlets.clone()),
                ("/panels/1/area_served", area),
                ("/site/floor_area", json!(site)),
            ];
            with(heated("9 kW"), &changes)
        };
        let house = |area: Value, site: &str| verdict(&CHECK, &survey_of(area, site), "Q");
        assert_eq!(house(json!(null), "1200 ft2"), "cannot_tell area_served");
        assert_eq!(house(json!(null), "300 ft2"), "meets");
        assert_eq!(house(json!("300 ft2"), "1200 ft2"), "meets");
        assert_eq!(house(json!("301 ft2"), "1200 ft2"), "falls_short WARNING");
        // The neutral has the lighting of the sheet that is shown, 900 VA on 240 V, or is marked as the least.
        let neutral = |area: Value, site: &str| {
            let survey = survey(&survey_of(area, site));
            let house = House::new(&survey);
            let found = house.demands().iter().find(|demand| demand.place.at == survey.panels[1].id).unwrap();
            (found.neutral.map(|(_, current)| current.get::<ampere>()), found.neutral_is_least)
        };
        assert_eq!(neutral(json!("300 ft2"), "1200 ft2"), (Some(3.75), false));
        assert_eq!(neutral(json!(null), "300 ft2"), (Some(3.75), false));
        assert_eq!(neutral(json!(null), "1200 ft2"), (Some(0.0), true));
    }

    /// A bus section fed by a 40 A way of its own panel.
    #[test]
    fn a_bus_section_counts_by_itself() {
        let section = |rating: &str| {
            let buses = json!([
                { "id": "Q.bus", "rating": "100 A" },
                { "id": "Q.low", "rating": rating, "fed_by": "Q.3" }
            ]);
            let mut way = heated("9 kW")["panels"][1]["ways"][0].clone();
            way["id"] = json!("Q.3");
            way["device"]["rating"] = json!("40 A");
            let changes = [
                ("/panels/1/buses", buses),
                ("/panels/1/ways/-", way),
                ("/panels/1/ways/0/bus", json!("Q.low")),
            ];
            verdict(&CHECK, &with(heated("9 kW"), &changes), "Q.low")
        };
        // 9 kW is 37.5 A.
        assert_eq!(section("40 A"), "meets");
        assert_eq!(section("37 A"), "falls_short WARNING");
    }
}
