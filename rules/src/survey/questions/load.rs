//! Questions about loads and their plates.

use super::{Entry, ask};

/// By fact.
pub(super) const LOAD: &[Entry] = ask! {
    "kind": "kind of load",
        "What kind of load is it?",
        "On its nameplate, or by what is switched off when its breaker is off.",
        "Choose \"other fixed load\" only where none of the kinds fits.";
    "voltage": "working voltage",
        "What voltage does it work at?",
        "Read its plate: 120 V, 240 V, 120/240 V.",
        "Its breaker tells: one pole 120 V, two poles 240 V. Otherwise say it cannot be seen.";
    "leg": "leg of the run",
        "From which leg of its three-wire run does it take?",
        "The color of its hot at the outlet tells: black is usually one leg, red the other. Or switch off one handle and see what goes out.",
        "Say it cannot be seen.";
    "power": "power on the plate",
        "What power is on its plate?",
        "Look for W or kW on the plate, inside the door, behind the kick plate or at the back.",
        "Say it cannot be seen; another figure of the plate may do.";
    "apparent_power": "apparent power on the plate",
        "What apparent power is on its plate?",
        "Look for VA or kVA.",
        "Leave it open if the plate has watts or amperes.";
    "current": "current on the plate",
        "What current is on its plate?",
        "Look for A, AMPS or FLA.",
        "Say it cannot be seen; another figure of the plate may do.";
    "horsepower": "shaft power on the plate",
        "What shaft power is on the motor's plate?",
        "Look for HP or kW. For a pump in a well its control box or papers tell it.",
        "Say it cannot be seen.";
    "mca": "minimum circuit ampacity",
        "What minimum circuit ampacity is on its plate?",
        "Look for MCA on the outdoor unit's plate.",
        "Say it cannot be seen. Older units have RLA instead.";
    "mocp": "maximum overcurrent device",
        "What maximum overcurrent device is on its plate?",
        "Look for MOCP, MOP or MAX FUSE on the outdoor unit's plate.",
        "Say it cannot be seen.";
    "rla": "rated-load amperes",
        "What rated-load current of the compressor is on its plate?",
        "Look for RLA on the plate.",
        "Say it cannot be seen.";
    "lra": "locked-rotor amperes",
        "What locked-rotor current is on its plate?",
        "Look for LRA on the plate or the compressor's label. Do not open its terminal cover.",
        "Say it cannot be seen; a code letter may do.";
    "code_letter": "code letter",
        "Which code letter is on the motor's plate?",
        "Look for CODE and one letter. It is not the insulation class and not the design letter.",
        "Say it cannot be seen.";
    "welder": "arc welder",
        "If it is an arc welder: is it a transformer or inverter, or a motor that turns a generator?",
        "The plate and the noise tell it: a motor-generator hums and turns when it is not welding.",
        "Leave it open for every other load.";
    "duty_cycle": "duty cycle of the welder",
        "Which duty cycle is on the welder's plate beside its rated current?",
        "Look for X or DUTY CYCLE in percent, in the column of the current that you wrote down.",
        "Say it cannot be seen.";
    "power_factor": "power factor while running",
        "What is its power factor while it runs?",
        "Its plate names it as PF or cos φ. Heaters and old lamps have 100 %.",
        "Leave it open.";
    "start_power_factor": "power factor at the start",
        "What is its power factor while it starts?",
        "The maker's sheet tells it.",
        "Leave it open.";
    "soft_starter": "soft starter",
        "Does a soft starter or a variable-speed drive limit its start?",
        "Its papers or a label beside the plate tell it. Do not open its cover.",
        "Say it cannot be seen.";
    "start_current": "starting current with soft starter",
        "What starting current is left with its soft starter?",
        "The soft starter's papers or the display of some name it. It is below the locked-rotor current of the plate.",
        "Leave it open; the locked-rotor current then counts.";
    "hours_of_use": "hours of use in a day",
        "In how many hours of a day is it in use?",
        "24 h for what switches itself on and off (refrigerator, furnace, well pump); the evening's hours for lights; half an hour for a microwave.",
        "Make a careful estimate on the long side.";
    "runs_low": "share of running time, mild day",
        "In those hours, which share of the time does it run on a mild day?",
        "Listen for half an hour in mild weather. 100 % for what runs as long as it is switched on.",
        "Leave it open.";
    "runs_likely": "share of running time, usual day",
        "In those hours, which share of the time does it run on a usual day?",
        "Listen for half an hour, or read a plug-in meter after a day. 100 % for what runs as long as it is switched on.",
        "Leave it open.";
    "runs_high": "share of running time, hardest day",
        "In those hours, which share of the time does it run on the hardest day?",
        "Think of the coldest or hottest week. 100 % if it never stops then.",
        "Say 100 %: it is the careful answer.";
    "start_time": "length of its start",
        "How long does its start last?",
        "Listen from switch-on until it runs evenly; a second or less for most compressors.",
        "Leave it open.";
    "continuous": "runs three hours or more",
        "Does it run three hours or more at a time?",
        "Think of heat in the coldest week, a charger overnight, a pump when the garden is watered.",
        "If in doubt, say yes: it is the careful answer.";
    "room": "where it stands",
        "In which room does it stand?",
        "Name the room by its use today.",
        "Say it cannot be seen if the outlets have not been traced.";
    "outlets": "kind of outlet",
        "Is it hard-wired, or on two-slot or three-slot outlets?",
        "Look at the outlets of this circuit, all of them.",
        "Say it cannot be seen if furniture hides them.";
    "outlet_count": "number of outlets",
        "How many outlets does it stand for?",
        "Count those that the directory and the wiring show. Open no device to find out: a licensed electrician traces the others.",
        "Leave it open until the circuit has been traced.";
    "gfci_protected": "behind a ground-fault interrupter",
        "Does a ground-fault interrupter protect it, at the panel or at an outlet before it?",
        "Press the test button and see whether these outlets go dead.",
        "Say it cannot be seen.";
    "no_ground_label": "label \"No Equipment Ground\"",
        "Do its outlets carry the label \"No Equipment Ground\"?",
        "Look at the cover plates.",
        "It can be told once the outlets are found.";
    "frame_ground": "what the frame is grounded on",
        "What is the metal frame of this range or dryer grounded on?",
        "Count the slots of its outlet: three mean the neutral serves as ground, four mean a wire of its own. Do not move it while it is plugged in.",
        "Say it cannot be seen if it is hard-wired and closed.";
    "supplements_heat_pump": "whether it backs up a heat pump",
        "Does this electric heat back up the heat pump, and run together with it?",
        "Heating elements in the air handler do; baseboards and wall heaters of rooms do not.",
        "Say it cannot be seen; the thermostat's menu or the heating contractor tells it.";
};

/// By fact, with the prefix of a line of a plate that gives several voltages.
pub(super) const RATING: &[Entry] = ask! {
    "power": "power at this voltage",
        "What power does the plate give at this voltage?",
        "Read the line of the plate that names this voltage.",
        "Say it cannot be seen.";
    "current": "current at this voltage",
        "What current does the plate give at this voltage?",
        "Read the line of the plate that names this voltage.",
        "Say it cannot be seen.";
};
