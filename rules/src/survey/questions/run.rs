//! Questions about runs.

use super::{Entry, ask};

/// By fact.
pub(super) const RUN: &[Entry] = ask! {
    "circuit": "conductors carried",
        "Which conductors does this run carry, besides its ground?",
        "A two-pole breaker means two hots. The print on the cable tells its wires. Covers stay on: only a licensed electrician takes one off, after making it dead. Otherwise \"cannot be seen\" is the right answer.",
        "Say it cannot be seen. Do not guess from the load: a 240 V load may also have a neutral.";
    "material": "conductor metal",
        "Are its conductors copper, aluminium or copper-clad aluminium?",
        "Read the printing on the cable: AL, ALUM or ALUMINUM, CU-CLAD. No such word on a cable usually means copper. Covers stay on: only a licensed electrician takes one off, after making it dead. Otherwise \"cannot be seen\" is the right answer.",
        "Say it cannot be seen. In houses of 1965 to 1973 do not take copper for granted.";
    "size": "conductor size",
        "What size is printed on the cable or stamped on the reel mark?",
        "Read the jacket along the run: \"12-2\" or \"12/2\" means 12 AWG. Old wire without print is gauged by the electrician. Covers stay on: only a licensed electrician takes one off, after making it dead. Otherwise \"cannot be seen\" is the right answer.",
        "Say it cannot be seen. The breaker's rating does not tell the wire's size.";
    "parallel_sets": "parallel sets",
        "How many sets of conductors run side by side to the same lugs?",
        "Look at the cables or conduits between the two ends. Almost always it is one.",
        "Say it cannot be seen if the run is hidden at both ends.";
    "parallel_sets_alike": "parallel sets alike",
        "Are the parallel sets alike in length, metal, size, insulation and ends?",
        "Compare the printing on each set and the way each takes.",
        "Say it cannot be seen. Unlike sets share the current unequally.";
    "method": "wiring method",
        "How is it run: which cable, knobs and tubes, a raceway, a cord?",
        "Look in the basement, the attic and above the panel. Porcelain knobs, cloth-covered cable, steel armor and plastic jackets are told apart from outside.",
        "Say it cannot be seen if no part of the run shows.";
    "insulation": "insulation letters",
        "Which letters are printed on the single conductors?",
        "The print on the wire itself tells it: THHN, TW, RHW. Do not rub old coverings clean: they may hold asbestos. Covers stay on: only a licensed electrician takes one off, after making it dead. Otherwise \"cannot be seen\" is the right answer.",
        "Say it cannot be seen. No letters on rubber or cloth means an old type; write a note.";
    "stranding": "solid or stranded",
        "Is each conductor one solid wire or many strands?",
        "In house wiring up to 10 AWG is usually solid. Its end shows it. Covers stay on: only a licensed electrician takes one off, after making it dead. Otherwise \"cannot be seen\" is the right answer.",
        "Say it cannot be seen.";
    "length": "length one way",
        "How long is the run, one way, along the path of the cable?",
        "Pace or tape the way it takes, up and down included.",
        "Enter a careful estimate on the long side, or say it cannot be seen.";
    "ambient": "warmest surroundings",
        "How warm does it get where the run is warmest?",
        "Think of the attic in summer, the boiler, the sunny wall. A thermometer left there for a day tells it.",
        "Say it cannot be seen if nobody knows the place it passes.";
    "conductors_together": "conductors together",
        "How many current-carrying conductors share its raceway, cable or bundle, its own included?",
        "Count the cables that lie strapped or pulled together for more than two feet. Grounds do not count; a neutral that carries only the difference of two hots does not count.",
        "Say it cannot be seen. Fewer is not the safe guess.";
    "cables_in_one_hole": "cables in one hole",
        "How many cables pass the same sealed or insulated hole, this one included?",
        "Look where cables rise from the panel into the wall or through a foamed hole.",
        "Say it cannot be seen.";
    "raceway": "raceway",
        "Is it in a raceway, and what is the raceway made of?",
        "A magnet holds on steel and not on aluminium. Grey or white pipe is plastic.",
        "Say it cannot be seen if the run is inside walls.";
    "insulation_contact": "contact with thermal insulation",
        "Does thermal insulation lie against the run or around it?",
        "Look in the attic, the crawl space and at wall tops, without moving the insulation.",
        "Say it cannot be seen. Blown-in walls count as not seen until somebody has looked.";
    "wet": "wet place",
        "Does any part of it lie in a wet place: outdoors, in earth, in a damp wall?",
        "Follow it outside and below grade.",
        "Say it cannot be seen.";
    "from_terminal": "terminal mark at the beginning",
        "What temperature is marked for the terminal where it begins?",
        "Read the breaker's label or the panel's label: 60 °C, 75 °C, 60/75 °C. No mark is an answer too.",
        "Say it cannot be seen if the label is gone or hidden behind the cover.";
    "to_terminal": "terminal mark at the end",
        "What temperature is marked for the terminal where it ends?",
        "Read the label of the panel or appliance it ends at. No mark is an answer too.",
        "Say it cannot be seen.";
    "neutral_size": "neutral size",
        "What size is its neutral?",
        "In a cable it is the size of the other wires unless the print says otherwise. In a raceway the white wire tells. Covers stay on: only a licensed electrician takes one off, after making it dead. Otherwise \"cannot be seen\" is the right answer.",
        "Say it cannot be seen.";
    "neutral_opened": "device in the neutral",
        "Does a fuse, a switch or a single-pole device stand in its neutral?",
        "In very old fuse boards count the fuses of a two-wire circuit: two fuses mean one is in the neutral. Old lamp switches may switch the neutral.",
        "Say it cannot be seen. An electrician tells it by a test.";
    "equipment_ground": "equipment ground",
        "What serves as its equipment ground: a wire, the raceway, the armor, or nothing?",
        "Read the cable: \"with ground\" or \"w/g\". Armor with its strip shows a thin bare wire folded back at the end. Covers stay on: only a licensed electrician takes one off, after making it dead. Otherwise \"cannot be seen\" is the right answer.",
        "Say it cannot be seen. An outlet tester's lamp is no proof of a ground.";
    "equipment_ground_size": "size of the grounding wire",
        "What size is its grounding wire?",
        "In NM cable of the 1950s and 1960s it is often smaller than the other wires. Read the print on the cable.",
        "Say it cannot be seen.";
    "equipment_ground_material": "metal of the grounding wire",
        "Is its grounding wire copper or aluminium?",
        "It is the metal of the other wires unless the print says otherwise.",
        "Say it cannot be seen.";
    "era": "years put in",
        "When was it put in, as near as can be told?",
        "Permits, the age of the addition, the kind of cable and dates printed on jackets tell it.",
        "Say it cannot be seen rather than guess a later time.";
    "carries_whole_dwelling": "carries the whole dwelling",
        "Does all of the dwelling's load pass through it?",
        "Only the service conductors, or the one feeder to the only main panel, do.",
        "Say it cannot be seen until the whole way from the meter is known.";
    "insulation_state": "state of the insulation",
        "In what state is its insulation where it shows?",
        "Look without touching where it can be seen: cracks, bare spots, crumbs. Do not bend old wire. Covers stay on: only a licensed electrician takes one off, after making it dead. Otherwise \"cannot be seen\" is the right answer.",
        "Say it cannot be seen.";
    "extended": "extended later",
        "Has this knob-and-tube been extended with other wire?",
        "Look for cables that join it in the attic or basement, and for outlets newer than the wiring.",
        "Say it cannot be seen.";
    "aluminium_joint": "joints of small aluminium",
        "How do its aluminium wires meet devices and copper?",
        "Papers of an earlier repair name its kind; CO/ALR stands on the strap of a device behind its plate. Covers stay on: only a licensed electrician takes one off, after making it dead. Otherwise \"cannot be seen\" is the right answer.",
        "Say it cannot be seen. A new-looking outlet is no proof.";
    "cord_use": "use of the cord",
        "Is the cord plugged in for use and put away, or does it stay as wiring?",
        "Fastened, hidden, or through a wall, floor or window means it stays.",
        "Say it cannot be seen.";
    "plug_on_both_ends": "plugs on both ends",
        "Does the cord have a plug with bare blades on both ends?",
        "Look at the cord while it is unplugged and its generator is off.",
        "Say it cannot be seen. Do not plug it in to find out.";
    "loads": "loads on this run",
        "What does this run feed?",
        "Read the directory and follow the cable by eye; write each outlet and appliance as a load. Open no device to find out: a licensed electrician traces what the eye cannot.",
        "Leave it open; a run with no loads entered may feed anything.";
};
