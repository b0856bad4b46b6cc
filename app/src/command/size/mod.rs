//! `deadfront size`: conductor, device and ground for a load, or the cable of a whole survey.

mod ask;
mod cable;
mod json;
mod table;
#[cfg(test)]
mod tests;

use std::fmt::Display;
use std::path::PathBuf;

use clap::Args;
use deadfront_rules::sizing::{self, cable_list};
use deadfront_rules::survey::quantity::{
    EnteredCurrent, EnteredHorsepower, EnteredLength, EnteredPercent, EnteredTemperature,
};
use deadfront_rules::survey::{Insulation, InsulationContact, Method, Raceway, Stranding, TerminalMark};

use super::{Outcome, print, print_json};
use crate::file;

/// Arguments of `size`.
#[derive(Debug, Args)]
#[command(after_help = "Exit code 0: a conductor was found, or all cable counted; 1: none fits, or a run \
    cannot be counted; 2: bad input, or a fact is missing.")]
pub(super) struct Size {
    /// List the cable of the planned runs of this survey instead
    #[arg(long, value_name = "FILE")]
    survey: Option<PathBuf>,
    /// With --survey: every run, also those that exist
    #[arg(long, requires = "survey")]
    all: bool,

    /// Current of the load, such as 32
    #[arg(long, value_name = "A", value_parser = amperes, help_heading = LOAD)]
    amps: Option<EnteredCurrent>,
    /// Power of the load, such as "4.5 kW" or "5 kVA"
    #[arg(long, value_name = "POWER", value_parser = ask::power, help_heading = LOAD)]
    load: Option<ask::Power>,
    /// One single-phase motor, such as "1-1/2 hp"
    #[arg(long, value_name = "HP", value_parser = EnteredHorsepower::new, help_heading = LOAD)]
    hp: Option<EnteredHorsepower>,
    /// Plate of an air conditioner or heat pump: minimum circuit ampacity
    #[arg(long, value_name = "A", value_parser = amperes, requires = "mocp", help_heading = LOAD)]
    mca: Option<EnteredCurrent>,
    /// The same plate: maximum overcurrent device
    #[arg(long, value_name = "A", value_parser = amperes, requires = "mca", help_heading = LOAD)]
    mocp: Option<EnteredCurrent>,
    /// It runs three hours or more at a time; storage water heaters, fixed heat and vehicle chargers count as such
    #[arg(long, help_heading = LOAD)]
    continuous: bool,
    /// Power factor while running, such as "90 %"
    #[arg(long, value_name = "SHARE", value_parser = share, help_heading = LOAD)]
    power_factor: Option<EnteredPercent>,

    /// 120, 208, 240, 120/240 (with neutral), 120/208; any voltage with --dc
    #[arg(long, value_name = "V", help_heading = CIRCUIT)]
    volts: Option<String>,
    /// Direct current
    #[arg(long, help_heading = CIRCUIT)]
    dc: bool,
    /// Several receptacles hang on it
    #[arg(long, conflicts_with_all = ["feeder", "dwelling_service", "hp", "mca"], help_heading = CIRCUIT)]
    receptacles: bool,
    /// It feeds a panel
    #[arg(long, conflicts_with_all = ["dc", "hp", "mca"], help_heading = CIRCUIT)]
    feeder: bool,
    /// It is the service of one dwelling (with --feeder: the feeder of its entire load)
    #[arg(long, conflicts_with_all = ["dc", "hp", "mca"], help_heading = CIRCUIT)]
    dwelling_service: bool,
    /// Largest voltage drop; without it the advice of the code holds
    #[arg(long, value_name = "SHARE", value_parser = share, help_heading = CIRCUIT)]
    drop: Option<EnteredPercent>,

    /// Length one way, such as "85 ft" or "26 m"
    #[arg(long, value_name = "LENGTH", value_parser = EnteredLength::new, help_heading = RUN)]
    length: Option<EnteredLength>,
    /// Wiring method: nm_b, se, uf, use, ac, mc, raceway, free_air, cord, portable_power_cable, battery_cable
    #[arg(long, value_name = "METHOD", value_parser = method, help_heading = RUN)]
    method: Option<Method>,
    /// Insulation letters of single conductors, such as THWN-2
    #[arg(long, value_name = "LETTERS", value_parser = insulation, help_heading = RUN)]
    insulation: Option<Insulation>,
    /// Raceway: plastic, steel, aluminium
    #[arg(long, value_name = "MATERIAL", value_parser = raceway, help_heading = RUN)]
    raceway: Option<Raceway>,
    /// Stranding, where it matters: solid, stranded
    #[arg(long, value_name = "KIND", value_parser = stranding, help_heading = RUN)]
    stranding: Option<Stranding>,
    /// Warmest surroundings along it, such as "95 F"
    #[arg(long, value_name = "TEMPERATURE", value_parser = EnteredTemperature::new, allow_hyphen_values = true, help_heading = RUN)]
    ambient: Option<EnteredTemperature>,
    /// Mark of the terminals at its ends: "60 C", "75 C", "90 C", unmarked
    #[arg(long, value_name = "MARK", value_parser = terminals, help_heading = RUN)]
    terminals: Option<TerminalMark>,
    /// Current-carrying conductors together in raceway, cable or bundle, its own included
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..), help_heading = RUN)]
    together: Option<u16>,
    /// Cables through one insulated or sealed hole, itself included
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..), help_heading = RUN)]
    cables: Option<u16>,
    /// Contact with thermal insulation: none, touching, surrounded
    #[arg(long, value_name = "CONTACT", value_parser = contact, help_heading = RUN)]
    thermal_insulation: Option<InsulationContact>,
    /// Part of it lies in a wet place
    #[arg(long, help_heading = RUN)]
    wet: bool,
    /// Take typical surroundings and terminals where none are given (common practice, no source)
    #[arg(long, help_heading = RUN)]
    typical: bool,

    /// Answer in JSON, for machines
    #[arg(long)]
    json: bool,
    /// Show how each figure came about
    #[arg(long)]
    derivations: bool,
}

const LOAD: &str = "The load";
const CIRCUIT: &str = "The circuit";
const RUN: &str = "The run";

impl Size {
    pub(super) fn run(&self) -> anyhow::Result<Outcome> {
        match &self.survey {
            Some(survey) => self.list(survey),
            None => self.one(),
        }
    }

    fn one(&self) -> anyhow::Result<Outcome> {
        let request = self.request()?;
        let answer = sizing::size(&request);
        ask::refuse_missing(&answer)?;
        if self.json {
            print_json(&json::of_answer(&answer))?;
        } else {
            print(&table::text(&answer, self.derivations))?;
        }
        Ok(if answer.fits() { Outcome::Clear } else { Outcome::Findings })
    }

    fn list(&self, file: &std::path::Path) -> anyhow::Result<Outcome> {
        let survey = file::open(file)?;
        let list = cable_list(&survey, self.all);
        if self.json {
            print_json(&json::of_list(&survey, &list))?;
        } else {
            print(&cable::text(&survey, &list))?;
        }
        Ok(if list.uncounted.is_empty() { Outcome::Clear } else { Outcome::Findings })
    }
}

/// A number with a unit that may be left out.
fn with_unit<T, E: Display>(
    text: &str,
    unit: &str,
    read: impl FnOnce(&str) -> Result<T, E>,
) -> Result<T, String> {
    let text = text.trim();
    let bare = text.parse::<f64>().is_ok();
    let text = if bare { format!("{text} {unit}") } else { text.to_owned() };
    read(&text).map_err(|error| error.to_string())
}

fn amperes(text: &str) -> Result<EnteredCurrent, String> {
    with_unit(text, "A", EnteredCurrent::new)
}

fn share(text: &str) -> Result<EnteredPercent, String> {
    with_unit(text, "%", EnteredPercent::new)
}

/// Parsers of choices: by the word that the survey file uses.
macro_rules! choices {
    ($($parser:ident: $choice:ty),+ $(,)?) => {$(
        fn $parser(text: &str) -> Result<$choice, String> {
            let found = <$choice>::ALL.iter().find(|choice| choice.file_word().eq_ignore_ascii_case(text));
            found.copied().ok_or_else(|| {
                let words: Vec<&str> = <$choice>::ALL.iter().map(|choice| choice.file_word()).collect();
                format!("take one of: {}", words.join(", "))
            })
        }
    )+};
}

choices!(
    method: Method,
    insulation: Insulation,
    raceway: Raceway,
    stranding: Stranding,
    terminals: TerminalMark,
    contact: InsulationContact,
);
