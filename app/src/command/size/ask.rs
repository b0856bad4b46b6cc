//! From the arguments to a request; what is missing is asked for in plain sentences, all at once.

use anyhow::bail;
use deadfront_rules::sizing::{Answer, Origin, Purpose, Request, Wanted};
use deadfront_rules::survey::quantity::{EnteredApparentPower, EnteredPower, EnteredVoltage};
use deadfront_rules::survey::{Circuit, Fact, Method};

use super::Size;

/// Power of a load in watts or volt-amperes.
#[derive(Debug, Clone)]
pub(super) enum Power {
    Active(EnteredPower),
    Apparent(EnteredApparentPower),
}

/// Reads `4.5 kW` or `5 kVA`.
pub(super) fn power(text: &str) -> Result<Power, String> {
    match EnteredApparentPower::new(text) {
        Ok(power) => Ok(Power::Apparent(power)),
        Err(_) => EnteredPower::new(text).map(Power::Active).map_err(|error| error.to_string()),
    }
}

/// The circuit behind `--volts`.
struct System {
    circuit: Circuit,
    voltage: EnteredVoltage,
    wye: bool,
}

impl Size {
    /// The request, or every fact that is still needed for it.
    pub(super) fn request(&self) -> anyhow::Result<Request> {
        let asked = self.asked();
        let (Some(length), Some(method), true) = (&self.length, self.method, asked.is_empty()) else {
            bail!("To size a conductor, say also:\n  {}", asked.join("\n  "));
        };
        let (wanted, system) = (self.wanted()?, self.system()?);
        let mut request = Request::new(wanted, system.circuit, system.voltage, length.clone(), method);
        request.wye = system.wye;
        request.continuous = self.continuous;
        (request.purpose, request.carries_whole_dwelling) = self.purpose();
        request.largest_drop = self.drop.clone();
        request.power_factor = fact(&self.power_factor);
        request.insulation = fact(&self.insulation);
        request.raceway = fact(&self.raceway);
        request.stranding = fact(&self.stranding);
        request.ambient = fact(&self.ambient);
        request.terminals = fact(&self.terminals);
        request.conductors_together = fact(&self.together);
        request.cables_in_one_hole = fact(&self.cables);
        request.insulation_contact = fact(&self.thermal_insulation);
        if self.wet {
            request.wet = Fact::Known(true);
        }
        if !self.continuous {
            request.taken.push(("continuous", Origin::Plain));
        }
        if !(self.feeder || self.dwelling_service || self.receptacles) {
            request.taken.push(("use", Origin::Plain));
        }
        let request = if self.typical { request.with_typical() } else { request };
        Ok(request.on_its_own())
    }

    /// Sentences for what is not given and not typical.
    fn asked(&self) -> Vec<&'static str> {
        let mut asked = Vec::new();
        let loads = [self.amps.is_some(), self.load.is_some(), self.hp.is_some(), self.mca.is_some()];
        let singles = matches!(self.method, Some(Method::Raceway | Method::FreeAir | Method::Use));
        let watts = matches!(self.load, Some(Power::Active(_)));
        let alternating = !self.dc;
        for (needed, sentence) in [
            (
                loads.iter().filter(|given| **given).count() != 1,
                "--amps, --load, --hp or --mca with --mocp: what it carries, in one of these forms",
            ),
            (self.volts.is_none(), "--volts: its voltage, such as 240 or 120/240"),
            (self.length.is_none(), "--length: its length one way, such as \"85 ft\""),
            (self.method.is_none(), "--method: how it is laid, such as nm_b or raceway"),
            (
                singles && self.insulation.is_none(),
                "--insulation: the letters of the single conductors, such as THWN-2",
            ),
            (
                self.method == Some(Method::Raceway) && self.raceway.is_none(),
                "--raceway: plastic, steel or aluminium",
            ),
            (
                self.ambient.is_none() && !self.typical,
                "--ambient: the warmest surroundings, such as \"95 F\" (or --typical)",
            ),
            (
                self.terminals.is_none() && !self.typical,
                "--terminals: the mark of the terminals, such as \"75 C\" or unmarked (or --typical)",
            ),
            (
                alternating && watts && self.power_factor.is_none(),
                "--power-factor: it decides the current of a load in watts (100 % for plain heaters); --typical does not stand in",
            ),
            (
                alternating && !watts && self.power_factor.is_none() && !self.typical,
                "--power-factor: it decides the voltage drop (or --typical, which takes the least favourable)",
            ),
        ] {
            if needed {
                asked.push(sentence);
            }
        }
        asked
    }

    fn wanted(&self) -> anyhow::Result<Wanted> {
        Ok(match (&self.amps, &self.load, &self.hp, &self.mca, &self.mocp) {
            (Some(amps), ..) => Wanted::Current(amps.clone()),
            (_, Some(Power::Active(power)), ..) => Wanted::Power(power.clone()),
            (_, Some(Power::Apparent(power)), ..) => Wanted::ApparentPower(power.clone()),
            (_, _, Some(horsepower), ..) => Wanted::Motor(horsepower.clone()),
            (.., Some(mca), Some(mocp)) => Wanted::Plate { mca: mca.clone(), mocp: mocp.clone() },
            _ => bail!("say what the conductor carries"),
        })
    }

    fn purpose(&self) -> (Purpose, bool) {
        let purpose = match (self.feeder, self.dwelling_service, self.receptacles) {
            (true, ..) => Purpose::Feeder,
            (_, true, _) => Purpose::Service,
            (_, _, true) => Purpose::Receptacles,
            _ => Purpose::Equipment,
        };
        (purpose, self.dwelling_service)
    }

    fn system(&self) -> anyhow::Result<System> {
        let text = self.volts.as_deref().unwrap_or_default();
        let bare = text.trim().trim_end_matches('V').trim_end();
        let of = |circuit, volts: &str, wye| -> anyhow::Result<System> {
            Ok(System { circuit, voltage: EnteredVoltage::new(&format!("{volts} V"))?, wye })
        };
        if self.dc {
            return of(Circuit::DcPair, bare, false);
        }
        match bare {
            "120" => of(Circuit::HotNeutral, "120", false),
            "240" => of(Circuit::TwoHots, "240", false),
            "120/240" => of(Circuit::TwoHotsNeutral, "240", false),
            "208" => of(Circuit::TwoHots, "208", true),
            "120/208" => of(Circuit::TwoHotsNeutral, "208", true),
            _ => bail!(
                "--volts {text}: take 120, 208, 240, 120/240 or 120/208; with --dc any voltage, such as 48"
            ),
        }
    }
}

fn fact<T: Clone>(given: &Option<T>) -> Fact<T> {
    given.clone().map_or(Fact::NotSeen, Fact::Known)
}

/// A fact that only the rules found missing.
pub(super) fn refuse_missing(answer: &Answer) -> anyhow::Result<()> {
    let missing = answer.missing();
    if missing.is_empty() {
        return Ok(());
    }
    let facts: Vec<String> = missing.iter().map(|missing| missing.fact.replace(['_', '.'], " ")).collect();
    bail!("No size can be given without: {}", facts.join(", "))
}
