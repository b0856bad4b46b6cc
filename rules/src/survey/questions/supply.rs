//! Questions about supplies, their batteries and what they can give for a short time.

use super::{Entry, ask};

/// By fact.
pub(super) const SUPPLY: &[Entry] = ask! {
    "kind": "kind of supply",
        "What kind of supply is it?",
        "On its nameplate, or by what it is joined to.",
        "It must be said before anything can be told about the house.";
    "output": "conductors it gives",
        "Which conductors does it give: two legs and a neutral, one hot and a neutral, two hots?",
        "Read its plate and outlets. 120/240 V with a four-wire outlet gives two legs and a neutral.",
        "Ask the maker's sheet; do not measure at its terminals.";
    "voltage": "voltage between hots",
        "What voltage does it give between its hots, or between hot and neutral where there is one hot?",
        "Read its plate. For a utility the meter's plate tells it.",
        "Say it cannot be seen.";
    "continuous_power": "continuous power",
        "What power can it give continuously?",
        "Read \"rated\", \"running\" or \"continuous\" watts on its plate, not the peak figure.",
        "Look in the maker's sheet.";
    "continuous_apparent_power": "continuous apparent power",
        "What apparent power can it give continuously?",
        "Read kVA on its plate or in the maker's sheet.",
        "Leave it open if only watts are told.";
    "continuous_current": "continuous current of one leg",
        "What current can one leg give continuously?",
        "Read amperes at 120/240 V on its plate or in the maker's sheet.",
        "Leave it open if only watts are told.";
    "neutral_bond": "neutral and frame joined inside",
        "Are neutral and frame joined inside it?",
        "The maker's sheet or its label tells: bonded or floating neutral. Do not open it to look.",
        "Say it cannot be seen; the maker or an electrician's reading tells it.";
    "bond_relay": "bonding relay",
        "Does the joint of neutral and frame inside it open by itself while another source feeds?",
        "The maker's sheet tells under grounding, bonding or transfer relay, and whether it can be switched off.",
        "Say it cannot be seen, and ask the maker.";
    "fault_current": "fault current",
        "What fault current can it give at its terminals?",
        "The utility states it on request; an inverter's or generator's sheet names it.",
        "Leave it open until it is told. A guess on the low side is not safe.";
    "least_fault_current": "least fault current",
        "Which short-circuit current does its maker guarantee at the least?",
        "Ask the maker for the least current into a dead short at its terminals in the first tenth of a second, all tolerances taken off.",
        "Leave it open; the stated fault current then counts with a tolerance.";
    "fault_resistance_share": "resistive share of its impedance",
        "What share of the impedance behind that fault current is resistance?",
        "The utility or the maker's sheet tells it as R and X, or as X/R.",
        "Leave it open.";
    "transformer_rating": "rating of the transformer",
        "What rating does the utility's transformer have?",
        "A number such as 25 or 50 is painted on the can on the pole: kVA. Read it from the ground.",
        "Ask the utility.";
    "transformer_impedance": "impedance of the transformer",
        "What impedance does that transformer have?",
        "It stands on its plate as %Z; the utility tells it.",
        "Ask the utility. Do not climb.";
    "transformer_resistance": "resistive part of that impedance",
        "How much of that impedance is resistance?",
        "The utility tells it as %R.",
        "Leave it open.";
    "efficiency": "efficiency",
        "How efficient is the inverter at its rated load?",
        "The maker's sheet tells it in percent.",
        "Leave it open.";
    "peak_efficiency": "best efficiency",
        "How efficient is the inverter at its best?",
        "The maker's sheet names it as peak or maximum efficiency, in percent; it lies well below the rated load.",
        "Leave it open; the losses at part load are then reckoned on the careful side.";
    "idle_power": "idle draw",
        "What does the inverter draw itself with nothing switched on?",
        "The maker's sheet names it as idle, no-load or self-consumption, in watts.",
        "Leave it open.";
    "transfer_time": "transfer time",
        "How long are the lights out while it takes over from the utility?",
        "The maker's sheet names it in milliseconds. A hand-thrown switch takes as long as the hand.",
        "Leave it open.";
    "wanted_run_time": "wanted run time",
        "How long shall it carry its loads without utility and sun?",
        "Ask the owner, and think of a night, a day, a storm of three days.",
        "It can always be told; ask the owner.";
    "sun_hours": "hours of full sun by month",
        "How many hours of full sun does an average day have in each month?",
        "Public solar maps give peak-sun hours for a place and a tilt. Write twelve figures, January first.",
        "Leave it open; what the sun puts back is then not told.";
    "battery_run": "cable to the battery",
        "Which cable joins the battery and this inverter?",
        "Write it as a run with two DC poles, from the battery's fuse box or the battery to this inverter.",
        "Leave it open; a cable that is not written down cannot be checked.";
    "anti_islanding": "stops when the utility is gone",
        "Is it listed to stop by itself when the utility is gone?",
        "Its label names the listing for grid-tied or interactive use.",
        "Say it cannot be seen. Then count it as one that may stay live.";
    "array_power": "peak power of the array",
        "What peak power does the solar array have?",
        "Count the modules and read one label's watts, or take it from the permit.",
        "Say it cannot be seen. Stay off the roof.";
    "source_label": "sign at the service",
        "Does a sign at the service name it and tell where it is?",
        "Look at the meter and the service disconnect.",
        "It can always be told; look once more.";
};

/// By fact, with the prefix of a line in the list of short-time figures.
pub(super) const SURGE: &[Entry] = ask! {
    "power": "power for a short time",
        "What power can it give for that time?",
        "The maker's sheet tells it as peak, surge or starting watts, with a time.",
        "Leave it open. A peak with no time is worth little.";
    "current": "current for a short time",
        "What current can it give for that time?",
        "The maker's sheet tells it as peak or surge amperes, with a time.",
        "Leave it open.";
};

/// By fact, with the prefix of a point of the efficiency curve.
pub(super) const EFFICIENCY: &[Entry] = ask! {
    "efficiency": "efficiency at that output",
        "How efficient is the inverter at that output?",
        "The maker's sheet draws it as a curve over the load, or lists it by load.",
        "Leave it open; the efficiency at rated load then counts.";
};

/// By fact, with the prefix of a point of the resting voltage.
pub(super) const RESTING: &[Entry] = ask! {
    "voltage": "resting voltage at that charge",
        "What voltage does the whole battery rest at with that charge?",
        "The battery's sheet draws it as open-circuit voltage; times the cells in series where it is for one cell.",
        "Leave it open; what its chemistry tells then counts.";
};

/// By fact, with the prefix of the battery.
pub(super) const BATTERY: &[Entry] = ask! {
    "chemistry": "battery chemistry",
        "What kind of battery is it?",
        "Read its label: LiFePO4, NMC, flooded or sealed lead-acid.",
        "Say it cannot be seen if the label faces the wall. Do not move it.";
    "voltage": "battery voltage",
        "What is its nominal voltage?",
        "Read its label: 12, 24, 48, 51.2 V.",
        "Say it cannot be seen. Do not measure at the terminals.";
    "lowest_voltage": "lowest working voltage",
        "Down to which voltage does the inverter work?",
        "The inverter's setting or sheet names it as low cut-out.",
        "Leave it open.";
    "capacity": "battery capacity",
        "What capacity does it have?",
        "Read ampere-hours on its label; batteries side by side add.",
        "Say it cannot be seen.";
    "capacity_hours": "hours of its capacity",
        "For how many hours of discharge is the capacity of the lead-acid battery stated?",
        "It stands beside the ampere-hours: C20 or 20 h, C10, C100.",
        "Leave it open, and ask the maker.";
    "coldest": "coldest it gets",
        "How cold does the battery get in winter?",
        "Ask the owner for the coldest its room gets, or leave a thermometer that keeps the lowest reading.",
        "Enter a careful estimate on the cold side.";
    "energy": "usable energy",
        "How much energy can be taken from it?",
        "The maker's sheet names usable energy, less than capacity times voltage.",
        "Leave it open.";
    "discharge_current": "largest discharge current",
        "What current may be drawn from it continuously?",
        "The battery's label or sheet names it; batteries side by side add.",
        "Leave it open.";
    "surge_current": "battery current for a short time",
        "What current does it give for a short time?",
        "The battery's sheet names it as peak or pulse discharge, with a time.",
        "Leave it open; the continuous current then counts.";
    "surge_time": "time of that short current",
        "How long does it give that current?",
        "It stands beside the peak current in the battery's sheet, in seconds.",
        "Leave it open.";
    "charge_current": "largest charge current",
        "What current may it be charged with?",
        "The battery's label or sheet names it; batteries side by side add.",
        "Leave it open.";
    "internal_resistance": "internal resistance",
        "What internal resistance does the whole battery have?",
        "The sheet names it in milliohms, for a cell or for the whole; cells in series add. Do not try to measure it.",
        "Leave it open, or enter how far its voltage sags at a stated current.";
    "sag_voltage": "voltage by which it sags",
        "By how many volts does its voltage sag at the current that is stated with it?",
        "The sheet, or the display of the inverter: voltage just before a load was switched on, less that with it.",
        "Leave it open where the internal resistance is known.";
    "sag_current": "current at which it sags by that",
        "At which current of the battery does it sag by that?",
        "It stands beside the voltage: the direct current that the load drew.",
        "Leave it open where the internal resistance is known.";
    "lowest_charge": "lowest state of charge",
        "Down to which state of charge is it used?",
        "A setting of the inverter or of the battery's own electronics, in percent.",
        "Leave it open.";
    "highest_charge": "highest state of charge",
        "Up to which state of charge is it filled?",
        "A setting of the charger, in percent; 100 % where nothing is set.",
        "Leave it open.";
    "short_circuit_current": "battery short-circuit current",
        "What current can it drive into a short circuit?",
        "The maker's sheet names it. Never try it.",
        "Leave it open, and ask the maker.";
};
