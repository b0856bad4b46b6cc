//! From a survey and its assessment to what the window shows.

use std::collections::HashMap;

use deadfront_rules::Assessment;
use deadfront_rules::checks;
use deadfront_rules::finding::{Finding, Missing, Severity, Step, Verdict};
use deadfront_rules::house::{Index, Item, describe};
use deadfront_rules::survey::questions::question;
use deadfront_rules::survey::{Fact, Id, ItemKind, Load, Panel, Run, Supply, Survey, Way, Worded};

use crate::view::{
    FigureView, FindingView, ItemView, KeyValue, Mark, PanelView, StepView, SurveyView, WayView,
};

/// What the window shows of a survey.
#[must_use]
pub fn survey_view(survey: &Survey, assessment: &Assessment) -> SurveyView {
    let findings: Vec<&Finding> = assessment.findings.iter().filter(|finding| is_shown(finding)).collect();
    let book = Book::of(survey, &findings);
    SurveyView {
        title: survey.site.name.clone(),
        subtitle: subtitle(survey),
        site: site(survey),
        supplies: survey.supplies.iter().map(|supply| book.supply(supply)).collect(),
        panels: survey.panels.iter().map(|panel| book.panel(panel)).collect(),
        runs: survey.runs.iter().map(|run| book.run(run)).collect(),
        loads: survey.loads.iter().map(|load| book.load(load)).collect(),
        findings: findings.iter().enumerate().map(|(at, finding)| finding_view(&book, at, finding)).collect(),
    }
}

fn is_shown(finding: &Finding) -> bool {
    !matches!(finding.verdict, Verdict::NotApplicable { .. })
}

fn subtitle(survey: &Survey) -> String {
    let site = &survey.site;
    let date = site.date.map(|date| date.format("%Y-%m-%d").to_string());
    let invented = site.invented.then(|| "invented example".to_owned());
    let parts: Vec<String> = [invented, date].into_iter().flatten().collect();
    parts.join(", ")
}

/// The id of a finding in the window: its place among those shown.
fn finding_id(at: usize) -> String {
    format!("F{}", at + 1)
}

fn mark(finding: &Finding) -> Mark {
    match (&finding.verdict, finding.severity) {
        (Verdict::FallsShort, Severity::Danger) => Mark::Danger,
        (Verdict::FallsShort, Severity::Warning) => Mark::Warning,
        (Verdict::FallsShort, Severity::Caution) => Mark::Caution,
        (Verdict::FallsShort, Severity::Notice) => Mark::Notice,
        (Verdict::CannotTell { .. }, _) => Mark::CannotTell,
        (Verdict::Meets, _) => Mark::Meets,
        (Verdict::NotApplicable { .. }, _) => Mark::NotApplicable,
    }
}

fn finding_view(book: &Book<'_>, at: usize, finding: &Finding) -> FindingView {
    let explanation = checks::named(finding.check).map_or("", |check| why(check.explanation));
    FindingView {
        id: finding_id(at),
        mark: mark(finding),
        subject: format!("{} ({})", finding.subject.name, finding.subject.id),
        message: finding.message.to_string(),
        figure: figure(finding),
        explanation: one_paragraph(explanation),
        derivation: finding.derivation.steps().map(step_view).collect(),
        citations: cited(finding),
        cautions: vec![finding.caution.to_string()],
        next: vec![finding.next_step.to_string()],
        missing: finding.missing().iter().map(|missing| book.missing(missing)).collect(),
    }
}

fn figure(finding: &Finding) -> Option<FigureView> {
    let (value, limit) = (finding.value.as_ref()?, finding.limit.as_ref()?);
    Some(FigureView { figure: value.to_string(), limit: format!("of {limit} allowed") })
}

fn cited(finding: &Finding) -> Vec<String> {
    let clauses =
        finding.citations.iter().map(|citation| format!("{} {}", citation.standard, citation.clause));
    clauses.chain([finding.binding.sentence().to_owned()]).collect()
}

/// The part of an explanation under its heading "Why".
fn why(explanation: &str) -> &str {
    let part = explanation.split("# Why").nth(1).unwrap_or(explanation);
    part.split("\n # ").next().unwrap_or(part)
}

fn one_paragraph(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn step_view(step: &Step) -> StepView {
    StepView {
        symbol: step.symbol.to_owned(),
        label: step.label.to_string(),
        expression: step.expression.to_string(),
        value: format!("{} {}", step.value_text(), step.unit()).trim_end().to_owned(),
        source: step.source.words(),
    }
}

fn site(survey: &Survey) -> Vec<KeyValue> {
    let site = &survey.site;
    let written = |label: &str, text: &str| {
        if text.is_empty() { KeyValue::unknown(label, "not written") } else { KeyValue::known(label, text) }
    };
    let mut facts = vec![
        written("Place", &site.place),
        written("Surveyor", &site.surveyor),
        written("To be tied in", &site.purpose),
        KeyValue::known("Checked against", site.rules.words()),
    ];
    facts.extend(fact_list(ItemKind::Site, site.facts()));
    facts
}

fn fact_list(kind: ItemKind, facts: Vec<(&'static str, Fact<String>)>) -> Vec<KeyValue> {
    facts.into_iter().map(|(name, value)| key_value(kind, name, value)).collect()
}

fn key_value(kind: ItemKind, name: &str, value: Fact<String>) -> KeyValue {
    let words =
        question(kind, name).map_or_else(|| name.replace('_', " "), |question| question.label.to_owned());
    let mut letters = words.chars();
    let label: String =
        letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect());
    match value {
        Fact::Known(value) => KeyValue::known(label, value),
        Fact::NotSeen => KeyValue::unknown(label, "not seen yet"),
        Fact::CannotBeSeen => KeyValue::unknown(label, "cannot be seen"),
    }
}

/// A fact in the middle of a line.
fn inline<T: Worded>(fact: &Fact<T>) -> String {
    match fact.worded() {
        Fact::Known(value) => value,
        Fact::NotSeen | Fact::CannotBeSeen => "?".to_owned(),
    }
}

/// Findings and runs by the item they belong to.
struct Book<'a> {
    survey: &'a Survey,
    index: Index<'a>,
    findings: HashMap<&'a Id, Vec<(String, Mark)>>,
    runs_from: HashMap<&'a Id, usize>,
}

impl<'a> Book<'a> {
    fn of(survey: &'a Survey, findings: &[&'a Finding]) -> Self {
        let mut by_item: HashMap<&Id, Vec<(String, Mark)>> = HashMap::new();
        for (at, finding) in findings.iter().enumerate() {
            by_item.entry(&finding.subject.id).or_default().push((finding_id(at), mark(finding)));
        }
        let mut runs_from = HashMap::new();
        for (at, run) in survey.runs.iter().enumerate() {
            for from in [Some(&run.from), run.also_from.as_ref()].into_iter().flatten() {
                runs_from.entry(from).or_insert(at);
            }
        }
        Self { survey, index: Index::of(survey), findings: by_item, runs_from }
    }

    /// Findings come sorted, worst first.
    fn item(&self, id: &Id, title: String, detail: String, figure: String, facts: Vec<KeyValue>) -> ItemView {
        let findings = self.findings.get(id).map_or(&[][..], Vec::as_slice);
        ItemView {
            id: id.to_string(),
            title,
            detail,
            figure,
            mark: findings.first().map(|(_, mark)| *mark),
            facts,
            findings: findings.iter().map(|(id, _)| id.clone()).collect(),
        }
    }

    fn supply(&self, supply: &Supply) -> ItemView {
        let detail = format!("{}, {}", supply.kind.words(), inline(&supply.output));
        let figure = supply.continuous_power.known().map_or_else(String::new, ToString::to_string);
        let mut facts = fact_list(ItemKind::Supply, supply.facts());
        if let Some(battery) = &supply.battery {
            facts.extend(fact_list(ItemKind::Supply, battery.facts()).into_iter().map(|mut fact| {
                fact.label = format!("Battery: {}", fact.label.to_lowercase());
                fact
            }));
        }
        self.item(&supply.id, supply.name.clone(), detail, figure, facts)
    }

    fn panel(&self, panel: &'a Panel) -> PanelView {
        let kind = panel.kind.known().map_or("kind not seen yet", |kind| kind.words());
        let room = panel.room.known().map_or("place not seen yet", |room| room.words());
        let detail = format!("{kind}, {room}, {} ways", panel.ways.len());
        let figure = panel.main.rating.known().map_or_else(String::new, ToString::to_string);
        let mut facts = vec![KeyValue::known("Main", panel.main.to_string())];
        for bus in &panel.buses {
            let label = if bus.name.is_empty() { "Bus".to_owned() } else { format!("Bus: {}", bus.name) };
            facts.push(match bus.rating.known() {
                Some(rating) => KeyValue::known(label, rating.text()),
                None => KeyValue::unknown(label, "not seen yet"),
            });
        }
        facts.extend(fact_list(ItemKind::Panel, panel.facts()));
        let ways: Vec<WayView> = panel.ways.iter().map(|way| self.way(way)).collect();
        let mut item = self.item(&panel.id, panel.name.clone(), detail, figure, facts);
        // A panel is no better than its worst way.
        let marks = item.mark.into_iter().chain(ways.iter().filter_map(|way| way.mark));
        item.mark = marks.min_by_key(|mark| worst_first(*mark));
        PanelView { item, ways }
    }

    fn way(&self, way: &'a Way) -> WayView {
        let run = self.runs_from.get(&way.id).map(|run| &self.survey.runs[*run]);
        // A way's own findings and those of the run behind it; whichever is worst leads.
        let of = |id: &Id| self.findings.get(id).and_then(|findings| findings.first()).cloned();
        let worst = [of(&way.id), run.and_then(|run| of(&run.id))]
            .into_iter()
            .flatten()
            .min_by_key(|(_, mark)| worst_first(*mark));
        let rating = match (way.device.rating.known(), way.device.kind.known()) {
            (Some(rating), _) => rating.to_string(),
            (None, Some(kind)) => kind.words().to_owned(),
            (None, None) => "not seen yet".to_owned(),
        };
        WayView {
            number: way.number(),
            rating,
            wire: run.map_or_else(String::new, wire),
            feeds: if way.label.is_empty() {
                run.map_or_else(String::new, |run| run.name.clone())
            } else {
                way.label.clone()
            },
            mark: worst.as_ref().map(|(_, mark)| *mark),
            finding: worst.map(|(id, _)| id),
        }
    }

    fn run(&self, run: &Run) -> ItemView {
        let method = run.method.known().map_or("method not seen yet", |method| method.words());
        let to = run.to.as_ref().map_or_else(|| "its loads".to_owned(), |to| self.name_of(to));
        let detail = format!("{}, {method}, {} to {to}", wire(run), self.name_of(&run.from));
        let title = if run.name.is_empty() { run.id.to_string() } else { run.name.clone() };
        self.item(&run.id, title, detail, inline(&run.length), fact_list(ItemKind::Run, run.facts()))
    }

    fn load(&self, load: &Load) -> ItemView {
        let run = match self.index.get(&load.on) {
            Some(Item::Run(run)) => self.survey.runs[run].name.clone(),
            _ => load.on.to_string(),
        };
        let figure = [
            load.power.known().map(ToString::to_string),
            load.mca.known().map(|mca| format!("MCA {mca}")),
            load.current.known().map(ToString::to_string),
            load.horsepower.known().map(ToString::to_string),
        ];
        let detail = format!("{}, on {run}", load.kind.words());
        let figure = figure.into_iter().flatten().next().unwrap_or_default();
        let mut facts = fact_list(ItemKind::Load, load.facts());
        for rating in &load.ratings {
            let value = rating.facts().into_iter().filter_map(|(_, value)| value.known().cloned());
            facts.push(KeyValue::known(
                format!("Plate at {}", rating.voltage),
                value.collect::<Vec<_>>().join(", "),
            ));
        }
        self.item(&load.id, load.name.clone(), detail, figure, facts)
    }

    /// A missing fact, where it is and where to look for it.
    fn missing(&self, missing: &Missing) -> String {
        let (kind, name) = describe(self.survey, &self.index, &missing.item);
        match question(kind, missing.fact) {
            Some(question) if missing.cannot_be_seen => {
                format!("{name}: {} (cannot be seen). {}", question.label, question.unseen)
            }
            Some(question) => format!("{name}: {}. {}", question.label, question.look),
            None => format!("{name}: {}", missing.fact.replace(['_', '.'], " ")),
        }
    }

    /// A short name of the place where a run begins or ends.
    fn name_of(&self, id: &Id) -> String {
        let survey = self.survey;
        match self.index.get(id) {
            Some(Item::Supply(at)) => survey.supplies[at].name.clone(),
            Some(Item::Panel(at)) => survey.panels[at].name.clone(),
            Some(Item::Way(panel, way)) => {
                let panel = &survey.panels[panel];
                format!("{} way {}", panel.name, panel.ways[way].number())
            }
            Some(Item::Run(at)) => survey.runs[at].name.clone(),
            Some(Item::Transfer(at)) => survey.transfers[at].name.clone(),
            Some(Item::Inlet(at)) => survey.inlets[at].name.clone(),
            _ => id.to_string(),
        }
    }
}

fn worst_first(mark: Mark) -> usize {
    Mark::COUNTED.iter().position(|counted| *counted == mark).unwrap_or(Mark::COUNTED.len())
}

fn wire(run: &Run) -> String {
    let sets = match run.parallel_sets.get() {
        Some(sets) if sets > 1 => format!("{sets} × "),
        _ => String::new(),
    };
    format!("{sets}{} {}", inline(&run.size), inline(&run.material))
}
