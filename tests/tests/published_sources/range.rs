//! Demand of household ranges: column C of Table 220.55 and its notes.

use deadfront_rules::capacity::demand::{Dwelling, Item, cooking_demand, standard};
use deadfront_rules::finding::Facts;
use deadfront_rules::si::{kilowatt, volts};
use deadfront_rules::tables::us;

use crate::example::{Case, Example, Found, is};

pub(crate) const CASES: &[(&str, Case)] = &[("RG-01", with_column), ("RG-03", ranges), ("RG-05", ranges)];

/// The demand by itself, and as the one line of a worksheet, which must agree.
fn ranges(example: &Example) -> Found {
    let range = Item::new("range", example.number("rating_kw") * 1000.0);
    let all = vec![range; example.number("ranges") as usize];
    let (demand, _) = cooking_demand(&mut Facts::new(), &all.clone().into());
    let house = Dwelling { cooking: all.into(), ..Dwelling::default() };
    assert_eq!(standard(&house, volts(240.0)).total, demand, "{example}");
    vec![is("demand_kw", demand.get::<kilowatt>())]
}

fn with_column(example: &Example) -> Found {
    let row = us::range_demand(example.number("ranges") as u16).expect("a row");
    let mut found = ranges(example);
    found.push(is("column_c_kw", row.c.value.get::<kilowatt>()));
    found
}
