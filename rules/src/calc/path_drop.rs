//! The voltage drop from a supply to the end of a run: what is certain of it, and what it may be.

use std::ops::Range;

use num_complex::Complex64;

use super::drop::{Draw, Keeps, Section, radial};
use super::drop_by_hand::estimate;
use super::drop_parts::{Added, CurrentFrom, DropParts, OtherPart, OwnPart};
use super::entered_demand::{EnteredDemand, entered_demand};
use super::fault::runs_on;
use super::load_current::{Across, RunCurrent, loads_from, running_current_of_run};
use super::phasor::{Impedance, sine};
use super::voltage::{SystemVoltage, system_voltage};
use crate::finding::{Arg, Derivation, Facts, Said, Worked, reckoned};
use crate::house::{Guard, House, Protection, Seat};
use crate::network::{Edge, EdgeId, Link};
use crate::say;
use crate::si::{Current, Ratio, Resistance, Voltage, ampere, ohm, percent, ratio, volt};
use crate::survey::{Circuit, Id, Panel, PanelKind};

/// Symbol of the steps that tell the largest drop by other loads. Each stands in place of the `ΔU` before it.
const LARGEST_OF_OTHERS: &str = "ΔU_max";

/// A drop between bounds [share of the nominal voltage].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropRange {
    /// At least this much is certain.
    pub least: Ratio,
    /// More than this it cannot be; `None` while nothing bounds it.
    pub most: Option<Ratio>,
}

impl DropRange {
    fn plus(self, other: Self) -> Self {
        let most = self.most.zip(other.most).map(|(a, b)| a + b);
        Self { least: self.least + other.least, most }
    }
}

/// The drop on the way from a supply to the end of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct PathDrop {
    /// Behind the last overcurrent device: the branch circuit.
    pub branch: DropRange,
    /// Ahead of it: service and feeders.
    pub feeder: DropRange,
    /// The running current of the circuit.
    pub current: RunCurrent,
    /// Voltage at the supply.
    pub nominal: Voltage,
    /// Drop in the branch circuit at the full rating of its device, if it can be told.
    pub branch_at_rating: Option<Ratio>,
    /// The figures that it rests on.
    pub parts: DropParts,
}

impl PathDrop {
    /// From the supply to the end.
    #[must_use]
    pub fn total(&self) -> DropRange {
        self.branch.plus(self.feeder)
    }
}

/// The voltage drop from a supply along a path to its last run, at which loads hang. `None` where
/// the supply gives this circuit no voltage.
///
/// The circuit's own load is followed by an exact load flow. What else hangs on a feeder adds the
/// drop of one conductor per leg, balanced over the legs: with the demand of the panel that the
/// feeder feeds (see [`entered_demand`]), never above what the devices on its way and the supply let
/// through; without that demand it is certain to add nothing, and at most what these let through.
#[must_use]
pub fn path_drop(house: &House<'_>, supply: usize, path: &[EdgeId]) -> Option<Worked<PathDrop>> {
    let runs = runs_on(house, path);
    let last = *runs.last()?;
    let mut facts = Facts::new();
    let system = supply_voltage(house, supply, last, &mut facts);
    let run = &house.survey.runs[last];
    let circuit = facts.need(&run.circuit, &run.id, "circuit");
    let (Some(system), Some(circuit)) = (system, circuit) else { return Some(facts.done(None)) };
    let branch = runs_ahead_of_last(house, path, &runs, |link| house.guard_of(link).is_some());
    let joined = runs_ahead_of_last(house, path, &runs, |link| !matches!(link, Link::Run(_)));
    let own = running_current_of_run(house, runs[joined]);
    let across = match circuit {
        Circuit::HotNeutral => Across::Leg,
        Circuit::TwoHots => Across::Pair,
        Circuit::TwoHotsNeutral => own.value.map_or(Across::Pair, |own| own.across),
        Circuit::DcPair => return None,
    };
    let nominal = match across {
        Across::Leg => system.to_neutral,
        Across::Pair => system.between_hots,
    }?;
    let way = Way { house, supply, path, runs, branch, joined, across, nominal };
    let value = way.work_out(own, &mut facts);
    Some(facts.done(value))
}

/// The voltages of a supply; the steps of the root supply's come with the currents of the loads.
fn supply_voltage(house: &House<'_>, supply: usize, run: usize, facts: &mut Facts) -> Option<SystemVoltage> {
    let found = system_voltage(&house.survey.supplies[supply]);
    let is_root = house.feeds.root(house.network.run_end(run)) == Some(supply);
    let steps = if is_root { Derivation::default() } else { found.derivation };
    facts.include(&found.missing, &steps);
    found.value
}

/// The place among the runs of the first one behind the last link of this kind.
fn runs_ahead_of_last(
    house: &House<'_>,
    path: &[EdgeId],
    runs: &[usize],
    of_kind: impl Fn(Link) -> bool,
) -> usize {
    let links: Vec<Link> = path.iter().map(|edge| house.network.edge(*edge).link).collect();
    let last = links.iter().rposition(|link| of_kind(*link));
    let ahead = links.iter().take(last.unwrap_or(0));
    let runs_ahead = ahead.filter(|link| matches!(link, Link::Run(_))).count();
    runs_ahead.min(runs.len() - 1)
}

struct Way<'a> {
    house: &'a House<'a>,
    supply: usize,
    path: &'a [EdgeId],
    runs: Vec<usize>,
    /// The first run of the branch circuit among them: behind the last overcurrent device.
    branch: usize,
    /// The first of the runs that are joined end to end up to the last: their loads are the circuit's.
    joined: usize,
    across: Across,
    nominal: Voltage,
}

/// A run on the way, with the circuit's own current in it.
struct Stretch {
    run: usize,
    hot: Impedance,
    /// The loop as the circuit's own current sees it.
    own: Impedance,
    current: Current,
}

/// The drop in each stretch.
#[derive(Clone)]
struct Drops(Vec<Voltage>);

impl Drops {
    fn between(&self, from: usize, to: usize) -> Voltage {
        self.0.iter().take(to).skip(from).copied().sum()
    }
}

impl Way<'_> {
    fn work_out(&self, own: Worked<RunCurrent>, facts: &mut Facts) -> Option<PathDrop> {
        facts.include(&own.missing, &own.derivation);
        let current = own.value?;
        let stretches = self.stretches(current, facts);
        let mixed = self.power_factor(facts);
        // What is missing for the demand of feeders has bounds of its own.
        let bounded = facts.complete() && !current.open;
        let whole: Impedance = stretches.iter().map(|stretch| stretch.own).sum();
        let best = mixed.cosine.unwrap_or_else(|| least_dropping(whole));
        let least = self.drops(&stretches, best, mixed.keeps);
        let most = match mixed.cosine {
            Some(_) => least.clone(),
            None => self.drops(&stretches, whole.share_of_resistance(), mixed.keeps),
        };
        let most = bounded.then_some(most);
        if mixed.cosine.is_none() {
            self.need_power_factors(facts);
        }
        let own = self.tell_own(facts, current, best, whole, &least);
        let range = |from: usize, to: usize| DropRange {
            least: least.between(from, to) / self.nominal,
            most: most.as_ref().map(|drops| drops.between(from, to) / self.nominal),
        };
        let mut others = Vec::new();
        let mut add =
            |places: Range<usize>, facts: &mut Facts| self.others(places, &stretches, facts, &mut others);
        let feeder = range(0, self.branch).plus(add(0..self.branch, facts));
        let branch = range(self.branch, self.runs.len()).plus(add(self.branch..self.joined, facts));
        let branch_at_rating = self.branch_at_rating(&stretches);
        let parts = DropParts { loops: self.loops(&stretches), own, others };
        Some(PathDrop { branch, feeder, current, nominal: self.nominal, branch_at_rating, parts })
    }

    fn stretches(&self, current: RunCurrent, facts: &mut Facts) -> Vec<Stretch> {
        let mut stretches = Vec::with_capacity(self.runs.len());
        for (at, run) in self.runs.iter().enumerate() {
            let carried = if at > self.joined {
                running_current_of_run(self.house, *run).value.unwrap_or(current)
            } else {
                current
            };
            let found = self.house.impedance(*run);
            let hot = facts.take(found.hot.clone()).unwrap_or_default();
            let back = match self.across {
                Across::Pair => hot,
                Across::Leg => {
                    let neutral = facts.take(found.neutral.clone()).unwrap_or_default();
                    neutral * neutral_share(carried)
                }
            };
            let own = hot + back;
            let id = &self.house.survey.runs[*run].id;
            let label = say!("loop of {} as its own current sees it", id);
            facts.step(reckoned("Z_l", label, parts(own), own.magnitude()));
            stretches.push(Stretch { run: *run, hot, own, current: carried.current });
        }
        // Loads of unknown legs count as spread over them, and yet all of it comes through.
        let mut behind = Current::default();
        for stretch in stretches.iter_mut().rev() {
            stretch.current = if stretch.current < behind { behind } else { stretch.current };
            behind = stretch.current;
        }
        stretches
    }

    fn loops(&self, stretches: &[Stretch]) -> Vec<(Id, Impedance)> {
        let id = |run: usize| self.house.survey.runs[run].id.clone();
        stretches.iter().map(|stretch| (id(stretch.run), stretch.own)).collect()
    }

    /// By load flow. Where the line cannot carry what the loads ask for, current times the magnitude
    /// of the impedance: a load flow collapses at a quarter of the voltage or more, beyond any limit.
    fn drops(&self, stretches: &[Stretch], cosine: f64, keeps: Keeps) -> Drops {
        let next = stretches.iter().skip(1).map(|stretch| stretch.current);
        let behind = next.chain([Current::default()]);
        let sections: Vec<Section> = stretches
            .iter()
            .zip(behind)
            .map(|(stretch, behind)| Section {
                impedance: stretch.own,
                load: Draw::of_current(stretch.current - behind, self.nominal, cosine, keeps),
            })
            .collect();
        let collapsed = |stretch: &Stretch| stretch.current * stretch.own.magnitude();
        Drops(match radial(self.nominal, self.nominal, &sections).settled() {
            Some(flow) => (0..stretches.len()).map(|at| flow.drop_in(at)).collect(),
            None => stretches.iter().map(collapsed).collect(),
        })
    }

    /// The power factor of everything on the circuit together, if each is known.
    fn power_factor(&self, facts: &mut Facts) -> Mixed {
        let mut sum = Complex64::default();
        let mut known = true;
        let mut keeps = Keeps::Impedance;
        let loads = loads_from(self.house, self.runs[self.joined]);
        for drawn in loads.iter().filter_map(|load| self.house.drawn(*load).value.flatten()) {
            let cosine = drawn.power_factor;
            known &= cosine.is_some();
            let cosine = cosine.unwrap_or(1.0);
            sum += Complex64::new(cosine, sine(cosine)) * drawn.current.get::<ampere>();
            if drawn.keeps != Keeps::Impedance {
                keeps = Keeps::Power;
            }
        }
        let whole = super::phasor::magnitude(sum);
        let cosine = if whole > 0.0 { sum.re / whole } else { 1.0 };
        if known {
            facts.step(reckoned(
                "cos φ",
                "power factor of the circuit",
                say!("of its loads together"),
                cosine,
            ));
        }
        Mixed { cosine: known.then_some(cosine), keeps }
    }

    fn need_power_factors(&self, facts: &mut Facts) {
        for number in loads_from(self.house, self.runs[self.joined]) {
            let drawn = self.house.drawn(number).value.flatten();
            if drawn.is_some_and(|drawn| drawn.power_factor.is_none()) {
                let load = &self.house.survey.loads[number];
                if facts.need(&load.power_factor, &load.id, "power_factor").is_some() {
                    let _: Option<()> = facts.miss(&load.id, "power_factor", false);
                }
            }
        }
    }

    fn tell_own(
        &self,
        facts: &mut Facts,
        current: RunCurrent,
        cosine: f64,
        whole: Impedance,
        exact: &Drops,
    ) -> OwnPart {
        let drop = exact.between(0, self.runs.len());
        let expression = say!("{} − {}", fine(self.nominal), fine(self.nominal - drop));
        facts.step(reckoned("ΔU", "drop by its own load, load flow", expression, fine(drop)));
        let short = estimate(current.current, whole, cosine);
        let own = OwnPart { current: current.current, whole, cosine, drop: short };
        let label = "the same by the short way, I (R cos φ + X sin φ)";
        facts.step(reckoned("ΔU", label, own.expression(), fine(short)));
        own
    }

    /// What the other loads on the runs at these places add.
    fn others(
        &self,
        places: Range<usize>,
        stretches: &[Stretch],
        facts: &mut Facts,
        told: &mut Vec<OtherPart>,
    ) -> DropRange {
        let mut sum = DropRange { least: Ratio::default(), most: Some(Ratio::default()) };
        for (at, stretch) in stretches.iter().enumerate().take(places.end).skip(places.start) {
            // Before a disconnect of one way, and nothing else, there is no other load.
            let Some(panel) = self.next_panel(at) else { continue };
            let part = self.other_load(at, panel, stretch, facts);
            let known = self.house.impedance(stretch.run).hot.certain().is_some();
            sum = sum.plus(self.range_of(&part, known));
            told.push(part);
        }
        sum
    }

    /// The shares of a part; without a known impedance nothing bounds it.
    fn range_of(&self, part: &OtherPart, known: bool) -> DropRange {
        let share = |added: &Added| added.drop / self.nominal;
        let least = part.least.as_ref().map_or_else(Ratio::default, share);
        DropRange { least, most: part.most.as_ref().filter(|_| known).map(share) }
    }

    fn other_load(&self, at: usize, panel: &Panel, stretch: &Stretch, facts: &mut Facts) -> OtherPart {
        let run = self.house.survey.runs[stretch.run].id.clone();
        let cap = self.cap(at);
        let at_cap = || cap.as_ref().map(|cap| (cap.current, cap.from()));
        let Some(demand) = entered_demand(self.house.survey, panel, facts) else {
            let most = at_cap().map(|(whole, from)| self.added(whole, stretch, from));
            return OtherPart { run, least: None, most };
        };
        // What was read is certain to add its drop; no more than was calculated or recorded, or is let through.
        let no_more = |(whole, from): (Current, CurrentFrom)| match at_cap() {
            Some((most, cap)) if whole >= most => (most, cap),
            _ => (whole, from),
        };
        let (least, least_from) = no_more((demand.least, least_from(panel)));
        if demand.most.is_none() && panel.demand_from.get().is_some() {
            // A spot reading is there, and the largest current is still not known: nothing to ask again.
            let _: Option<()> = facts.miss(&panel.id, "demand", true);
        }
        let most = most_from(panel, demand).map(no_more).or_else(at_cap);
        if let Some(cap) = cap.as_ref().filter(|cap| most.as_ref().is_some_and(|most| most.0 == cap.current))
        {
            facts.seen("I_D", "what lets no more through", cap.current, cap.item, cap.fact);
        }
        let label = say!("drop that the other loads on {} add, balanced", &run);
        let least_part = told(facts, ("ΔU", label), self.added(least, stretch, least_from));
        let most = most.map(|(most, from)| {
            if most <= least {
                return least_part.clone();
            }
            let label = say!("largest drop that the other loads on {} may add, balanced", &run);
            told(facts, (LARGEST_OF_OTHERS, label), self.added(most, stretch, from))
        });
        OtherPart { run, least: Some(least_part), most }
    }

    /// The least of what every ampere in a run of the way has to pass: the supply, the devices
    /// ahead of it, and a device at its end that nothing branches off before.
    fn cap(&self, at: usize) -> Option<Cap<'_>> {
        let mut caps: Vec<Cap<'_>> = self.supply_cap().into_iter().collect();
        let mut seen = 0;
        let mut before: Option<Edge> = None;
        for edge in self.path {
            let edge = self.house.network.edge(*edge);
            match edge.link {
                Link::Run(_) => seen += 1,
                Link::Position(..) => {}
                _ => {
                    if seen <= at || carries_all(edge, before) {
                        caps.extend(self.house.guard_of(edge.link).and_then(Cap::of));
                    }
                    if seen > at {
                        break;
                    }
                }
            }
            before = Some(edge);
        }
        caps.into_iter().min_by(|a, b| a.current.value.total_cmp(&b.current.value))
    }

    /// What the supply gives continuously on one leg.
    fn supply_cap(&self) -> Option<Cap<'_>> {
        let supply = &self.house.survey.supplies[self.supply];
        let current = supply.continuous_current.known()?.quantity();
        Some(Cap { current, item: &supply.id, fact: "continuous_current", seat: None })
    }

    /// What current beyond the circuit's own adds: one conductor per leg.
    fn added(&self, whole: Current, stretch: &Stretch, from: CurrentFrom) -> Added {
        let own = stretch.current;
        let beyond = if whole > own { whole - own } else { Current::default() };
        let hots = if self.across == Across::Pair { 2.0 } else { 1.0 };
        let resistance = stretch.hot.magnitude() * hots;
        Added { whole, own, resistance, drop: beyond * resistance, from }
    }

    /// The first panel beyond a run of the way; a disconnect of one way carries what the next one does.
    fn next_panel(&self, at: usize) -> Option<&Panel> {
        let mut seen = 0;
        let links = self.path.iter().map(|edge| self.house.network.edge(*edge).link);
        let beyond = links.filter_map(|link| match link {
            Link::Run(_) => {
                seen += 1;
                None
            }
            Link::Main(panel) | Link::Way(panel, _) | Link::BusFeed(panel, _) if seen > at => Some(panel),
            _ => None,
        });
        let mut panels = beyond.filter_map(|panel| self.house.survey.panels.get(panel));
        panels.find(|panel| panel.kind.get() != Some(PanelKind::Disconnect) || panel.ways.len() > 1)
    }

    /// The drop in the branch circuit while its device carries all that it may.
    fn branch_at_rating(&self, stretches: &[Stretch]) -> Option<Ratio> {
        let rating = rating_guard(self.house, self.runs[self.branch])?.device.rating.known()?.quantity();
        let mut whole = Impedance::default();
        for stretch in stretches.iter().skip(self.branch) {
            let found = self.house.impedance(stretch.run);
            let hot = *found.hot.certain()?;
            let back = if self.across == Across::Pair { hot } else { *found.neutral.certain()? };
            whole = whole + hot + back;
        }
        Some(rating * whole.magnitude() / self.nominal)
    }
}

/// Whether a device carries everything that comes in at its panel: a main, or a way fed backwards,
/// which the path enters at its terminal and not from the bus.
fn carries_all(device: Edge, before: Option<Edge>) -> bool {
    match device.link {
        Link::Main(_) => true,
        Link::Way(..) => before.is_some_and(|before| before.a == device.b || before.b == device.b),
        _ => false,
    }
}

/// A current that something lets through at most, and the fact that says so.
struct Cap<'a> {
    current: Current,
    item: &'a Id,
    fact: &'static str,
    /// Where the device sits; `None` for a supply.
    seat: Option<Seat>,
}

impl<'a> Cap<'a> {
    fn from(&self) -> CurrentFrom {
        match self.seat {
            Some(seat) => CurrentFrom::Rating(seat, self.item.clone()),
            None => CurrentFrom::Supply(self.item.clone()),
        }
    }

    fn of(guard: Guard<'a>) -> Option<Self> {
        let current = guard.device.rating.known()?.quantity();
        Some(Self { current, item: guard.at, fact: guard.rating_fact(), seat: Some(guard.seat) })
    }
}

/// What a current adds, told as a step of this symbol and label.
fn told(facts: &mut Facts, (symbol, label): (&'static str, Said), added: Added) -> Added {
    facts.step(reckoned(symbol, label, added.expression(), fine(added.drop)));
    added
}

/// Where the current that was entered for a panel is from.
fn least_from(panel: &Panel) -> CurrentFrom {
    CurrentFrom::Demand(panel.id.clone(), panel.demand_from.get())
}

/// The most that the panel takes, and where that is from: a recording stands there with its margin.
fn most_from(panel: &Panel, demand: EnteredDemand) -> Option<(Current, CurrentFrom)> {
    let from = match panel.demand_from.get().zip(demand.margin) {
        Some((from, margin)) => CurrentFrom::WithMargin(panel.id.clone(), from, margin),
        None => least_from(panel),
    };
    Some((demand.most?, from))
}

/// The power factor at which a line drops least: none of the current in phase where it is mainly
/// resistance, all of it where it is mainly reactance.
fn least_dropping(line: Impedance) -> f64 {
    if line.resistance >= line.reactance { 0.0 } else { 1.0 }
}

/// Power factor of several loads together, and what they keep.
struct Mixed {
    cosine: Option<f64>,
    keeps: Keeps,
}

fn neutral_share(current: RunCurrent) -> f64 {
    if current.current > Current::default() {
        (current.neutral / current.current).get::<ratio>()
    } else {
        1.0
    }
}

/// The one device that holds the current of a run to its rating.
fn rating_guard<'a>(house: &House<'a>, run: usize) -> Option<Guard<'a>> {
    match house.protection(run) {
        Protection::Ahead(guard) => Some(guard),
        Protection::AtEnd(guards) => match guards[..] {
            [only] => Some(only),
            _ => None,
        },
        Protection::None => None,
    }
}

fn parts(impedance: Impedance) -> Said {
    let milli = |part: Resistance| part.get::<ohm>() * 1000.0;
    say!("√({}² + {}²) mΩ", milli(impedance.resistance), milli(impedance.reactance))
}

/// Drops need two decimals.
pub(crate) fn fine(voltage: Voltage) -> Arg {
    Arg::Quantity(voltage.get::<volt>(), 2, "V")
}

/// A share in percent with two decimals.
#[must_use]
pub(crate) fn in_percent(share: Ratio) -> Arg {
    Arg::Quantity(share.get::<percent>(), 2, "%")
}
