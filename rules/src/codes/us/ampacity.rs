//! Ampacity: the table figure of the conductor, corrected for its surroundings, and the limit
//! that the terminals at its ends set.
//!
//! Order of the steps as in NFPA 70-2023 310.15 and 110.14(C): start in the column of the
//! insulation, multiply by the ambient factor and the bundling factor, keep the cap of the cable
//! type, multiply by the number of sets; then compare with the terminal column, uncorrected.

use crate::codes::Ampacity;
use crate::finding::{Facts, Worked, by_clause, from_table, reckoned};
use crate::house::{House, Protection};
use crate::say;
use crate::si::{self, Current};
use crate::survey::{
    Circuit, Insulation, InsulationContact, Method, Output, Raceway, Run, TerminalMark, WireSize,
};
use crate::tables::Cell;
use crate::tables::us::{self, ClauseId, Column, Metal};

/// What a run can carry; missing facts stand at their best case.
pub(super) fn ampacity(house: &House<'_>, run: usize) -> Worked<Ampacity> {
    let item = &house.survey.runs[run];
    let mut facts = Facts::new();
    let value = work_out(house, run, item, "size", &mut facts);
    facts.done(value)
}

/// The same for the neutral: the conductors of its run with the neutral's size.
pub(super) fn neutral_ampacity(house: &House<'_>, run: usize) -> Worked<Ampacity> {
    let borrower = &house.survey.runs[run];
    let lender = borrower.neutral_of.as_ref().and_then(|id| house.run_number(id));
    let number = lender.unwrap_or(run);
    let owner = &house.survey.runs[number];
    let mut facts = Facts::new();
    let neutral = Run { size: owner.neutral_size.clone(), ..owner.clone() };
    let value = work_out(house, number, &neutral, "neutral_size", &mut facts);
    facts.done(value)
}

fn work_out(
    house: &House<'_>,
    number: usize,
    run: &Run,
    size_fact: &'static str,
    facts: &mut Facts,
) -> Option<Ampacity> {
    let conductor = Conductor::of(run, size_fact, facts);
    let method = facts.need(&run.method, &run.id, "method");
    let circuit = facts.need(&run.circuit, &run.id, "circuit");
    let sets = facts.need(&run.parallel_sets, &run.id, "parallel_sets");
    // Without these there is no best case: any of them may make the figure as large as you like.
    let (conductor, method, sets) = (conductor?, method?, sets?.max(1));
    let counted = circuit.map_or(2, |circuit| current_carrying(circuit, is_wye(house, number)));
    match method {
        Method::Cord => cord(run, conductor, counted, facts),
        Method::PowerCable => power_cable(house, number, run, conductor, counted, facts),
        _ => building_wire(house, number, run, conductor, method, counted, sets, facts),
    }
}

/// Metal and trade size.
#[derive(Clone, Copy)]
struct Conductor {
    metal: Metal,
    size: WireSize,
}

impl Conductor {
    fn of(run: &Run, size_fact: &'static str, facts: &mut Facts) -> Option<Self> {
        let material = facts.need(&run.material, &run.id, "material");
        let entered = facts.need(&run.size, &run.id, size_fact);
        let (material, entered) = (material?, entered?);
        let size = entered.quantity();
        facts.seen("S", say!("conductor, {}", material.words()), size, &run.id, size_fact);
        let trade = us::not_larger(size)?;
        if trade != size {
            facts.step(reckoned(
                "S_t",
                "largest trade size not above it",
                say!("{} is not smaller than {}", size, trade),
                trade,
            ));
        }
        Some(Self { metal: material.into(), size: trade })
    }
}

/// Conductors of a run that count as current-carrying (310.15(E)): the neutral of a 120/240 V
/// circuit carries only the unbalance and does not count; that of two legs of a wye does.
#[must_use]
pub fn current_carrying(circuit: Circuit, wye: bool) -> u16 {
    match circuit {
        Circuit::HotNeutral | Circuit::TwoHots | Circuit::DcPair => 2,
        Circuit::TwoHotsNeutral => 2 + u16::from(wye),
    }
}

fn is_wye(house: &House<'_>, run: usize) -> bool {
    let node = house.network.run_end(run);
    let supply = house.feeds.root(node).map(|supply| &house.survey.supplies[supply]);
    supply.is_some_and(|supply| supply.output.get() == Some(Output::Wye))
}

/// The column from which a conductor's ampacity may start, and the cap of its cable type.
struct Start {
    column: Column,
    cap: Option<Column>,
    in_free_air: bool,
}

#[expect(clippy::too_many_arguments, reason = "one calculation, each input a fact of the run")]
fn building_wire(
    house: &House<'_>,
    number: usize,
    run: &Run,
    conductor: Conductor,
    method: Method,
    counted: u16,
    sets: u8,
    facts: &mut Facts,
) -> Option<Ampacity> {
    let sets = sets_that_count(run, conductor.size, sets, facts);
    let start = start_of(run, method, conductor.size, facts)?;
    let table = table_figure(conductor, start.column, start.in_free_air)?;
    let label = say!("ampacity in the {} column", start.column.words());
    facts.step(from_table("I_t", label, table.value, table.place));
    let ambient = ambient_factor(run, start.column, facts)?;
    let bundle = bundling_factor(run, method, counted, facts)?;
    let mut corrected = table.value * ambient * bundle;
    let expression = say!("{} × {} × {}", table.value, ambient, bundle);
    facts.step(reckoned("I_c", "corrected ampacity", expression, corrected));
    if let Some(cap) = start.cap {
        corrected = capped(conductor, cap, corrected, facts)?;
    }
    let all = corrected * f64::from(sets);
    if sets > 1 {
        facts.step(reckoned("I_c", "all sets", say!("{} × {}", sets, corrected), all));
    }
    let terminal = terminal_limit(house, number, run, conductor, sets, facts)?;
    let ampacity = Ampacity { corrected: all, terminal: Some(terminal), sets };
    let expression = say!("the smaller of {} and {}", all, terminal);
    facts.step(reckoned("I_z", "what the run may carry", expression, ampacity.allowed()));
    Some(ampacity)
}

/// 310.10(G): conductors smaller than the clause allows in parallel, or unlike in their sets, do not
/// share the current: one set has to do.
fn sets_that_count(run: &Run, size: WireSize, sets: u8, facts: &mut Facts) -> u8 {
    if sets < 2 {
        return sets;
    }
    let smallest = us::smallest_parallel_size();
    let why = if size.is_smaller_than(smallest.value) {
        facts.step(from_table("S_min", "smallest conductor in parallel", smallest.value, smallest.place));
        say!("{} may not be run in parallel", size)
    } else if facts.or_best(&run.parallel_sets_alike, &run.id, "parallel_sets_alike", true) {
        return sets;
    } else {
        say!("the sets of {} are not alike", &run.id)
    };
    facts.step(by_clause("n", "parallel sets that count", why, 1_u8, "NFPA 70-2023 310.10(G)"));
    1
}

fn table_figure(conductor: Conductor, column: Column, in_free_air: bool) -> Option<Cell<Current>> {
    if in_free_air {
        us::ampacity_in_free_air(conductor.size, conductor.metal, column)
    } else {
        us::ampacity_in_raceway(conductor.size, conductor.metal, column)
    }
}

fn capped(conductor: Conductor, cap: Column, corrected: Current, facts: &mut Facts) -> Option<Current> {
    let limit = us::ampacity_in_raceway(conductor.size, conductor.metal, cap)?;
    let label = say!("cap of the cable type, {} column", cap.words());
    facts.step(from_table("I_cap", label, limit.value, limit.place));
    let smaller = if limit.value < corrected { limit.value } else { corrected };
    facts.step(reckoned(
        "I_c",
        "not above the cap",
        say!("the smaller of {} and {}", corrected, limit.value),
        smaller,
    ));
    Some(smaller)
}

/// Where the calculation starts, by wiring method.
fn start_of(run: &Run, method: Method, size: WireSize, facts: &mut Facts) -> Option<Start> {
    let in_raceway = |column| Start { column, cap: None, in_free_air: false };
    Some(match method {
        // NM-B: 90 °C conductors for correction, result not above the 60 °C column (334.80).
        Method::NmB => Start { column: Column::C90, cap: Some(Column::C60), in_free_air: false },
        Method::NmOld | Method::Uf | Method::AcOld => in_raceway(Column::C60),
        Method::Mc => Start { column: Column::C90, cap: cap_in_insulation(run, facts), in_free_air: false },
        // Older armored cable held 60 °C conductors, older SE cable 75 °C ones: the sheath does not tell.
        Method::Ac => {
            let column = cable_column(run, Column::C60, facts);
            Start { column, cap: cap_in_insulation(run, facts), in_free_air: false }
        }
        Method::Se => {
            let column = cable_column(run, Column::C75, facts);
            Start { column, cap: se_cap(run, size, facts), in_free_air: false }
        }
        Method::Use => in_raceway(single_conductor_column(run, Insulation::Use2, facts)),
        Method::KnobAndTube => {
            let contact = facts.or_best(
                &run.insulation_contact,
                &run.id,
                "insulation_contact",
                InsulationContact::None,
            );
            facts.seen("", "contact with thermal insulation", contact.words(), &run.id, "insulation_contact");
            Start { column: Column::C60, cap: None, in_free_air: contact == InsulationContact::None }
        }
        Method::FreeAir => Start {
            column: single_conductor_column(run, Insulation::Xhhw2, facts),
            cap: None,
            in_free_air: true,
        },
        Method::Raceway => in_raceway(single_conductor_column(run, Insulation::Xhhw2, facts)),
        // 105 °C battery cable: the code's tables end at 90 °C.
        Method::BatteryCable => {
            let together = facts.or_best(&run.conductors_together, &run.id, "conductors_together", 2);
            let raceway = facts.or_best(&run.raceway, &run.id, "raceway", Raceway::None);
            Start { column: Column::C90, cap: None, in_free_air: together <= 2 && raceway == Raceway::None }
        }
        Method::Cord | Method::PowerCable => return None,
    })
}

/// 320.80(A): armored cable in thermal insulation keeps to the 60 °C column.
fn cap_in_insulation(run: &Run, facts: &mut Facts) -> Option<Column> {
    let contact =
        facts.or_best(&run.insulation_contact, &run.id, "insulation_contact", InsulationContact::None);
    facts.seen("", "contact with thermal insulation", contact.words(), &run.id, "insulation_contact");
    (contact != InsulationContact::None).then_some(Column::C60)
}

/// 338.10(B)(4): SE cable of 10 AWG and smaller in thermal insulation keeps to the 60 °C column.
fn se_cap(run: &Run, size: WireSize, facts: &mut Facts) -> Option<Column> {
    let small = gauge_at_most(size, ClauseId::SeInInsulationSize);
    if small { cap_in_insulation(run, facts) } else { None }
}

/// The column of a cable's conductors: by their letters where these were read, else the careful one.
fn cable_column(run: &Run, careful: Column, facts: &mut Facts) -> Column {
    if run.insulation.known().is_some() {
        return single_conductor_column(run, Insulation::Thhn, facts);
    }
    let label = "conductors of this cable, letters not read: the careful column";
    facts.step(by_clause(
        "T_i",
        label,
        say!("older types of this cable"),
        careful.words(),
        "NFPA 70-2023 310.4",
    ));
    careful
}

/// The column of single conductors, by insulation letters and wet or dry place; `best` stands in
/// while the letters are unknown.
fn single_conductor_column(run: &Run, best: Insulation, facts: &mut Facts) -> Column {
    let letters = facts.or_best(&run.insulation, &run.id, "insulation", best);
    facts.seen("", "insulation letters", letters.words(), &run.id, "insulation");
    let wet = facts.or_best(&run.wet, &run.id, "wet", false);
    facts.seen("", "wet place", if wet { "yes" } else { "no" }, &run.id, "wet");
    let (column, place) = insulation_column(letters, wet);
    if let Some(place) = place {
        facts.step(from_table("T_i", "temperature rating of the insulation", column.words(), place));
    }
    column
}

/// The ampacity column of an insulation type in a wet or dry place, and the table cell that says so.
/// A type that is not for wet places starts in the coolest column there.
#[must_use]
pub fn insulation_column(letters: Insulation, wet: bool) -> (Column, Option<crate::tables::CellRef>) {
    let Some(row) = us::insulation(letters) else { return (Column::C60, None) };
    let cap = row.cap.map_or(Column::C60, |cap| cap.value);
    let rated = if wet { row.max_wet } else { row.max_dry };
    let by_temperature =
        rated.and_then(|cell| Column::not_above(cell.value.get::<si::celsius>())).unwrap_or(Column::C60);
    let place = rated.map(|cell| cell.place).or(row.cap.map(|cell| cell.place));
    (cap.min(by_temperature), place)
}

fn ambient_factor(run: &Run, column: Column, facts: &mut Facts) -> Option<f64> {
    match facts.need(&run.ambient, &run.id, "ambient") {
        Some(entered) => {
            let ambient = entered.quantity();
            facts.seen("T_a", "warmest surroundings", ambient, &run.id, "ambient");
            let factor = us::ambient_factor(ambient, column);
            let Some(factor) = factor else {
                // Hotter than the table allows for this insulation: it may carry nothing.
                facts.step(by_clause(
                    "F_a",
                    say!("no factor: too warm for {} insulation", column.words()),
                    say!("the table prints none at {}", ambient),
                    0.0,
                    "NFPA 70-2023 Table 310.15(B)(1)(1)",
                ));
                return Some(0.0);
            };
            facts.step(from_table("F_a", "ambient factor", factor.value, factor.place));
            Some(factor.value)
        }
        None => {
            let best = us::ambient_factor(si::Temperature::new::<si::celsius>(0.0), column)?;
            facts.seen("F_a", "ambient factor of the coolest band", best.value, &run.id, "ambient");
            Some(best.value)
        }
    }
}

fn bundling_factor(run: &Run, method: Method, counted: u16, facts: &mut Facts) -> Option<f64> {
    if matches!(method, Method::KnobAndTube | Method::FreeAir) {
        return Some(1.0);
    }
    let together = facts.or_best(&run.conductors_together, &run.id, "conductors_together", counted);
    let mut conductors = together.max(counted);
    facts.seen("n", "current-carrying conductors together", conductors, &run.id, "conductors_together");
    if matches!(method, Method::NmB | Method::NmOld | Method::Se) {
        let cables = facts.or_best(&run.cables_in_one_hole, &run.id, "cables_in_one_hole", 1);
        facts.seen(
            "n_h",
            "cables through one insulated or sealed hole",
            cables,
            &run.id,
            "cables_in_one_hole",
        );
        let allowed = us::number(ClauseId::NmCablesInOneHole);
        if f64::from(cables) > allowed.value {
            let in_hole = cables.saturating_mul(counted);
            conductors = conductors.max(in_hole);
            facts.step(by_clause(
                "n",
                "conductors in that hole",
                say!("{} cables × {} conductors", cables, counted),
                in_hole,
                "NFPA 70-2023 334.80, 338.10(B)(4)",
            ));
        }
    }
    let factor = us::bundling_factor(conductors)?;
    facts.step(from_table("F_n", "bundling factor", factor.value, factor.place));
    Some(factor.value)
}

/// 110.14(C): the ampacity in the column of the terminals, not corrected.
fn terminal_limit(
    house: &House<'_>,
    number: usize,
    run: &Run,
    conductor: Conductor,
    sets: u8,
    facts: &mut Facts,
) -> Option<Current> {
    let begin = facts.or_best(&run.from_terminal, &run.id, "from_terminal", TerminalMark::C75);
    facts.seen("T_1", "terminal where it begins", begin.words(), &run.id, "from_terminal");
    let end = facts.or_best(&run.to_terminal, &run.id, "to_terminal", TerminalMark::C75);
    facts.seen("T_2", "terminal where it ends", end.words(), &run.id, "to_terminal");
    let unmarked = unmarked_column(house, number, conductor.size);
    let column = terminal_column(begin, unmarked).min(terminal_column(end, unmarked));
    let cell = us::ampacity_in_raceway(conductor.size, conductor.metal, column)?;
    let each = cell.value;
    facts.step(from_table(
        "I_1",
        say!("ampacity in the terminals' {} column", column.words()),
        each,
        cell.place,
    ));
    let all = each * f64::from(sets);
    if sets > 1 {
        facts.step(reckoned("I_T", "all sets", say!("{} × {}", sets, each), all));
    }
    Some(all)
}

/// Equipment is listed for 60 or 75 °C; a 90 °C mark on a lug gives no more than 75 °C here.
fn terminal_column(mark: TerminalMark, unmarked: Column) -> Column {
    match mark {
        TerminalMark::C60 => Column::C60,
        TerminalMark::C75 | TerminalMark::C90 => Column::C75,
        TerminalMark::Unmarked => unmarked,
    }
}

/// 110.14(C)(1): without a mark 60 °C for circuits to 100 A or conductors of 14 to 1 AWG, else 75 °C.
fn unmarked_column(house: &House<'_>, run: usize, size: WireSize) -> Column {
    let large_wire = !gauge_at_most(size, ClauseId::TerminalSizeLimit);
    let limit = si::amperes(us::number(ClauseId::TerminalCircuitLimit).value);
    let large_circuit = match house.protection(run) {
        Protection::Ahead(guard) => {
            guard.device.rating.known().is_some_and(|rating| rating.quantity() > limit)
        }
        Protection::AtEnd(_) | Protection::None => false,
    };
    if large_wire || large_circuit { Column::C75 } else { Column::C60 }
}

/// Whether a size is not above the gauge that a clause names.
fn gauge_at_most(size: WireSize, clause: ClauseId) -> bool {
    matches!(size, WireSize::Awg(gauge) if f64::from(gauge) >= us::number(clause).value)
}

/// 400.5: flexible cords, by the number of conductors that carry current; 60 °C for the ambient factor.
fn cord(run: &Run, conductor: Conductor, counted: u16, facts: &mut Facts) -> Option<Ampacity> {
    let neutral_too = run.circuit.get() == Some(Circuit::TwoHotsNeutral);
    // Careful reading: the neutral of a 120/240 V cord counts (see the note in the table file).
    let carrying = if neutral_too { 3 } else { counted.min(3) };
    let table = us::cord_ampacity(conductor.size, u8::try_from(carrying).unwrap_or(3))?;
    facts.step(from_table(
        "I_t",
        say!("cord with {} current-carrying conductors", carrying),
        table.value,
        table.place,
    ));
    let ambient = ambient_factor(run, Column::C60, facts)?;
    let corrected = table.value * ambient;
    facts.step(reckoned("I_c", "corrected ampacity", say!("{} × {}", table.value, ambient), corrected));
    Some(Ampacity { corrected, terminal: None, sets: 1 })
}

/// 400.5(A)(2): portable power cable, in the column of the terminals.
fn power_cable(
    house: &House<'_>,
    number: usize,
    run: &Run,
    conductor: Conductor,
    counted: u16,
    facts: &mut Facts,
) -> Option<Ampacity> {
    let carrying = u8::try_from(counted.clamp(1, 3)).unwrap_or(3);
    let table = us::power_cable_ampacity(conductor.size, Column::C75, carrying)?;
    facts.step(from_table(
        "I_t",
        say!("cable with {} current-carrying conductors", counted),
        table.value,
        table.place,
    ));
    let ambient = ambient_factor(run, Column::C75, facts)?;
    let corrected = table.value * ambient;
    facts.step(reckoned("I_c", "corrected ampacity", say!("{} × {}", table.value, ambient), corrected));
    let terminal = terminal_limit(house, number, run, conductor, 1, facts)?;
    Some(Ampacity { corrected, terminal: Some(terminal), sets: 1 })
}
