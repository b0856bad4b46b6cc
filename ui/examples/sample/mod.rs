//! An invented house, to look at the window. No house, person or reading stands behind it.

use deadfront_ui::{
    FigureView, FindingView, ItemView, KeyValue, Mark, PanelView, StepView, SurveyView, WayView,
};

/// The whole invented survey.
pub(crate) fn survey() -> SurveyView {
    SurveyView {
        title: "House at the mill".into(),
        subtitle: "invented sample, not a survey".into(),
        site: site(),
        supplies: supplies(),
        panels: vec![main_panel(), cellar_panel(), garage_panel()],
        runs: runs(),
        loads: loads(),
        findings: findings(),
    }
}

fn site() -> Vec<KeyValue> {
    vec![
        KeyValue::known("House", "Two floors, timber frame, built about 1928"),
        KeyValue::known("Rules", "NFPA 70, edition 2023"),
        KeyValue::known("Service", "100 A, 120/240 V, single phase"),
        KeyValue::known("Service conductors", "2 AWG aluminum, overhead")
            .with_note("Read from the jacket at the weather head"),
        KeyValue::unknown("Grounding electrode", "not seen yet")
            .with_note("Look for a rod below the meter and for the water pipe"),
        KeyValue::known("Hottest place wire runs through", "Attic, 55 °C in summer"),
        KeyValue::unknown("Insulation around old wire", "cannot be seen"),
        KeyValue::known("To be tied in", "Battery inverter, 6 kW, garage wall"),
    ]
}

fn item(id: &str, title: &str, detail: &str, figure: &str, mark: Option<Mark>) -> ItemView {
    ItemView {
        id: id.into(),
        title: title.into(),
        detail: detail.into(),
        figure: figure.into(),
        mark,
        ..ItemView::default()
    }
}

fn supplies() -> Vec<ItemView> {
    let mut utility = item("utility", "Utility service", "overhead, meter outside", "100 A", None);
    utility.facts = vec![
        KeyValue::known("Voltage", "120/240 V, single phase"),
        KeyValue::known("Rating", "100 A"),
        KeyValue::unknown("Available fault current", "not measured yet")
            .with_note("Ask the utility, or measure the loop at the main"),
    ];
    utility.findings = vec!["meet".into()];
    let mut inverter =
        item("inverter", "Battery inverter, planned", "120/240 V, garage wall", "6 kW", Some(Mark::Danger));
    inverter.facts = vec![
        KeyValue::known("Continuous power", "6 kW, 3 kW on each leg"),
        KeyValue::known("Surge", "12 kW for 10 s"),
        KeyValue::known("Fault current it can give", "75 A"),
        KeyValue::known("Neutral", "bonded inside, relay"),
    ];
    inverter.findings = vec!["meet".into(), "trip".into(), "bond".into()];
    let mut generator = item("generator", "Portable generator", "inlet at the porch", "5.5 kW", None);
    generator.facts =
        vec![KeyValue::known("Voltage", "120/240 V"), KeyValue::unknown("Neutral", "not seen yet")];
    vec![utility, inverter, generator]
}

fn way(
    number: &str,
    rating: &str,
    wire: &str,
    feeds: &str,
    mark: Option<Mark>,
    finding: Option<&str>,
) -> WayView {
    WayView {
        number: number.into(),
        rating: rating.into(),
        wire: wire.into(),
        feeds: feeds.into(),
        mark,
        finding: finding.map(Into::into),
    }
}

fn main_panel() -> PanelView {
    let mut panel =
        item("main", "Main panel", "hall, cartridge and plug fuses, 6 ways", "100 A", Some(Mark::Danger));
    panel.facts = vec![
        KeyValue::known("Bus rating", "100 A"),
        KeyValue::unknown("Interrupting rating", "not seen yet").with_note("Unmarked devices count as 5 kA"),
        KeyValue::known("Fed by", "Utility service"),
        KeyValue::known("Neutral and ground", "bonded here"),
    ];
    panel.findings = vec!["meet".into(), "fuse".into(), "range".into(), "tube".into()];
    let meets = Some(Mark::Meets);
    PanelView {
        item: panel,
        ways: vec![
            way("1+3", "40 A", "8 AWG Cu", "Range", Some(Mark::Warning), Some("range")),
            way("2+4", "60 A", "6 AWG Cu", "Cellar panel", meets, Some("cellar")),
            way("5", "30 A", "14 AWG Cu", "Kitchen counter outlets", Some(Mark::Danger), Some("fuse")),
            way(
                "6",
                "15 A",
                "14 AWG Cu, knob and tube",
                "Hall and stair lights",
                Some(Mark::CannotTell),
                Some("tube"),
            ),
            way("7", "20 A", "12 AWG Cu", "Laundry", meets, None),
            way("8", "15 A", "not seen yet", "not seen yet", Some(Mark::CannotTell), Some("way8")),
            way("9", "15 A", "14 AWG Cu", "Porch light and outlet", Some(Mark::Caution), Some("wet")),
        ],
    }
}

fn cellar_panel() -> PanelView {
    let mut panel = item("cellar", "Cellar panel", "fed from way 2+4, breakers, 8 ways", "60 A", None);
    panel.facts =
        vec![KeyValue::known("Bus rating", "100 A"), KeyValue::known("Neutral and ground", "kept apart")];
    panel.findings = vec!["cellar".into()];
    PanelView {
        item: panel,
        ways: vec![
            way("1+3", "20 A", "12 AWG Cu", "Well pump", Some(Mark::Caution), Some("pump")),
            way("2", "20 A", "12 AWG Cu", "Freezer", Some(Mark::Meets), None),
        ],
    }
}

fn garage_panel() -> PanelView {
    let mut panel = item("garage", "Garage panel", "planned beside the inverter", "", None);
    panel.facts = vec![KeyValue::unknown("Bus rating", "not chosen yet")];
    PanelView { item: panel, ways: Vec::new() }
}

fn runs() -> Vec<ItemView> {
    let mut range = item(
        "run-range",
        "Main panel to range",
        "8 AWG copper, cloth cable, 40 ft",
        "40 A",
        Some(Mark::Warning),
    );
    range.facts = vec![
        KeyValue::known("Conductor", "8 AWG copper (8.37 mm²)"),
        KeyValue::known("Length", "40 ft"),
        KeyValue::known("Insulation", "cloth over rubber, taken as 60 °C"),
        KeyValue::known("Corrected ampacity", "40 A"),
        KeyValue::known("Voltage drop ΔU", "2.6 V, 1.1 % (≤ 3 % advised)"),
        KeyValue::known("Resistance, there and back", "0.063 Ω"),
    ];
    range.findings = vec!["range".into(), "rubber".into()];
    let mut hall = item(
        "run-hall",
        "Main panel to hall and stair lights",
        "14 AWG copper, knob and tube, length not seen yet",
        "15 A",
        Some(Mark::CannotTell),
    );
    hall.facts = vec![
        KeyValue::known("Conductor", "14 AWG copper"),
        KeyValue::unknown("Length", "not seen yet"),
        KeyValue::unknown("What lies around it", "cannot be seen").with_note("Ceiling is closed"),
    ];
    hall.findings = vec!["tube".into()];
    vec![
        item("run-cellar", "Main panel to cellar panel", "6 AWG copper, 22 ft", "60 A", Some(Mark::Meets)),
        range,
        hall,
        item(
            "run-kitchen",
            "Main panel to kitchen counter",
            "14 AWG copper, armored, 35 ft",
            "15 A",
            Some(Mark::Danger),
        ),
    ]
}

fn loads() -> Vec<ItemView> {
    let mut pump =
        item("pump", "Well pump", "240 V, cellar, starts under load", "1.1 kW", Some(Mark::Caution));
    pump.facts = vec![
        KeyValue::known("Running current", "8 A"),
        KeyValue::known("Starting current", "45 A for 0.6 s"),
        KeyValue::known("Continuous", "no"),
    ];
    pump.findings = vec!["pump".into()];
    let mut range = item("range", "Range", "240 V, kitchen, 3-wire", "9.9 kW", Some(Mark::Warning));
    range.facts = vec![
        KeyValue::known("Nameplate", "9.94 kW at 240 V"),
        KeyValue::known("Connection", "3-wire, frame on the neutral"),
    ];
    range.findings = vec!["range".into()];
    let mut heater = item("heater", "Water heater", "240 V, cellar", "4.5 kW", None);
    heater.facts = vec![KeyValue::known("Nameplate", "4.5 kW at 240 V")];
    vec![
        range,
        heater,
        pump,
        item("freezer", "Freezer", "120 V, cellar", "0.2 kW", Some(Mark::Meets)),
        item("lights", "Hall and stair lights", "120 V", "0.4 kW", None),
    ]
}

fn finding(id: &str, mark: Mark, subject: &str, message: &str, explanation: &str) -> FindingView {
    FindingView {
        id: id.into(),
        mark,
        subject: subject.into(),
        message: message.into(),
        figure: None,
        explanation: explanation.into(),
        derivation: Vec::new(),
        citations: Vec::new(),
        cautions: Vec::new(),
        next: Vec::new(),
        missing: Vec::new(),
    }
}

fn figure(figure: &str, limit: &str) -> Option<FigureView> {
    Some(FigureView { figure: figure.into(), limit: limit.into() })
}

fn findings() -> Vec<FindingView> {
    let mut all = vec![sources_meet(), fuse_too_large(), range_run(), fault_current(), knob_and_tube()];
    all.extend(short_findings());
    all
}

fn sources_meet() -> FindingView {
    let mut it = finding(
        "meet",
        Mark::Danger,
        "Battery inverter and utility service",
        "One slip ties the inverter to the street",
        "With the main closed while the inverter runs, the transformer in the street turns 240 V into \
         thousands. A line worker who holds the line for dead is then killed.",
    );
    it.figure = figure("1 wrong move", "away, never allowed");
    it.cautions = vec![
        "Do not connect the inverter before an interlock stands between the two mains.".into(),
        "A label or a promise to pull the fuses first keeps nothing apart.".into(),
    ];
    it.next = vec![
        "Name the device that keeps the two mains from being closed together.".into(),
        "If there is none, plan an interlocked pair or a transfer switch of at least 100 A.".into(),
    ];
    it.citations = vec!["NFPA 70-2023, 702.5".into(), "NFPA 70-2023, 705.12".into()];
    it
}

fn fuse_too_large() -> FindingView {
    let mut it = finding(
        "fuse",
        Mark::Danger,
        "Main panel, way 5, kitchen counter",
        "The fuse is larger than its wire",
        "The wire burns before the fuse melts.",
    );
    it.figure = figure("30 A", "of 15 A allowed");
    it.derivation = vec![
        step(
            "Iz",
            "Ampacity of 14 AWG copper, 60 °C",
            "",
            "15 A",
            "NFPA 70-2023, Table 310.16, row 14 AWG, copper 60 °C",
        ),
        step("In", "Rating of the fuse", "", "30 A", "reading on site, photo 4"),
    ];
    it.citations = vec!["NFPA 70-2023, 240.4(D)(3)".into()];
    it.next = vec!["Fit a 15 A fuse with a size-limiting adapter, by a licensed electrician.".into()];
    it
}

fn step(symbol: &str, label: &str, expression: &str, value: &str, source: &str) -> StepView {
    StepView {
        symbol: symbol.into(),
        label: label.into(),
        expression: expression.into(),
        value: value.into(),
        source: source.into(),
    }
}

fn range_run() -> FindingView {
    let mut it = finding(
        "range",
        Mark::Warning,
        "Main panel to range",
        "The load is larger than its conductor allows",
        "The conductor runs hotter than its insulation is made for, and cloth over rubber is the first \
         to fail. The hazard stands by itself, whatever was lawful when it was built.",
    );
    it.figure = figure("41.4 A", "of 40 A allowed");
    it.derivation = vec![
        step("P", "Nameplate of the range", "", "9.94 kW", "reading on site, photo 7"),
        step("U", "Voltage between the legs", "", "240 V", "reading on site"),
        step("Ib", "Load current", "P / U", "41.4 A", "calculated"),
        step(
            "I60",
            "Ampacity of 8 AWG copper, 60 °C",
            "",
            "40 A",
            "NFPA 70-2023, Table 310.16, row 8 AWG, copper 60 °C",
        ),
        step("ka", "Correction for 30 °C ambient", "", "1.00", "NFPA 70-2023, Table 310.15(B)(1)"),
        step("Iz", "Corrected ampacity", "I60 × ka", "40 A", "calculated"),
        step("ΔU", "Voltage drop over 40 ft", "Ib × R = 41.4 A × 0.063 Ω ≤ 3 %", "2.6 V", "common practice"),
    ];
    it.citations = vec!["NFPA 70-2023, 210.19(A)".into(), "NFPA 70-2023, Table 310.16".into()];
    it.cautions = vec!["Do not disturb the cloth covering: it crumbles and may hold asbestos.".into()];
    it.next = vec![
        "Read the nameplate once more, and note whether all elements can be on together.".into(),
        "Have a licensed electrician replace the run with 6 AWG copper.".into(),
    ];
    it
}

fn fault_current() -> FindingView {
    let mut it = finding(
        "trip",
        Mark::Warning,
        "Battery inverter, way 2+4",
        "The inverter cannot trip this breaker",
        "A short circuit then stays on until the inverter itself gives up.",
    );
    it.figure = figure("75 A", "of 300 A needed");
    it
}

fn knob_and_tube() -> FindingView {
    let mut it = finding(
        "tube",
        Mark::CannotTell,
        "Main panel, way 6, hall and stair lights",
        "Nobody has seen what lies around the knob and tube",
        "A conductor in open air sheds heat that insulation keeps in. Unknown is not good news: the run \
         counts as neither safe nor unsafe until somebody has looked.",
    );
    it.missing = vec!["What lies around the run above the hall ceiling".into(), "Length of the run".into()];
    it.next = vec!["Open the attic hatch, look with a lamp, and take a photo.".into()];
    it.citations = vec!["NFPA 70-2023, 394.12".into()];
    it
}

fn short_findings() -> Vec<FindingView> {
    let mut way8 = finding(
        "way8",
        Mark::CannotTell,
        "Main panel, way 8",
        "The wire of this way has not been seen",
        "Without its size nothing can be said about its fuse.",
    );
    way8.missing = vec!["Size and metal of the wire".into(), "What it feeds".into()];
    vec![
        way8,
        finding(
            "pump",
            Mark::Caution,
            "Well pump",
            "The start of the pump dims the house on the inverter",
            "The voltage sags while the pump starts.",
        ),
        finding(
            "wet",
            Mark::Caution,
            "Main panel, way 9, porch",
            "No ground-fault protection outdoors",
            "A fault through a person does not blow a fuse.",
        ),
        finding(
            "rubber",
            Mark::Caution,
            "Main panel to range",
            "Rubber insulation is near the end of its life",
            "Rubber turns brittle with heat and years.",
        ),
        finding(
            "label",
            Mark::Notice,
            "Meter",
            "No plaque tells of a second source",
            "Whoever cuts the meter must know that the house stays alive.",
        ),
        finding(
            "cellar",
            Mark::Meets,
            "Main panel to cellar panel",
            "The breaker suits its conductor",
            "60 A on 6 AWG copper at 75 °C.",
        ),
        finding(
            "bond",
            Mark::Meets,
            "Battery inverter",
            "Exactly one neutral bond in each mode",
            "Found in every mode that was named.",
        ),
        finding("solar", Mark::NotApplicable, "Site", "Sun does not refill", "There is no solar here."),
    ]
}
