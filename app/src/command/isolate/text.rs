//! The answer of `isolate` for people.

use crate::command::text::{house_name, missing_line};
use deadfront_rules::say;
use deadfront_rules::words::word;
use std::fmt::{Result, Write};

use deadfront_rules::finding::Verdict;
use deadfront_rules::house::House;
use deadfront_rules::isolation::Overview;
use deadfront_rules::isolation::overview::{
    APPROVAL, CAUTION, Cut, CutOverview, MeetingOverview, NeutralOverview, OrderOverview, Stand,
};
use deadfront_rules::survey::Id;

/// The answer about a house; only the cut where one was asked for.
pub(super) fn answer(
    house: &House<'_>,
    overview: &Overview,
    cuts: &[CutOverview],
    only_cuts: bool,
) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail; the results are only there for other writers.
    let _ = write_all(&mut text, house, overview, cuts, only_cuts);
    text
}

fn write_all(
    text: &mut String,
    house: &House<'_>,
    overview: &Overview,
    cuts: &[CutOverview],
    only_cuts: bool,
) -> Result {
    house_name(text, house.survey)?;
    writeln!(text, "{}", word(CAUTION))?;
    if !only_cuts {
        modes(text, overview)?;
        meetings(text, overview)?;
    }
    writeln!(text, "\n{}", word("To work at a place, what has to be open"))?;
    for one in cuts {
        cut(text, one)?;
    }
    if !only_cuts {
        orders(text, overview)?;
        neutrals(text, overview)?;
        tied(text, overview)?;
    }
    Ok(())
}

/// The modes, each with the devices that do not stand alike in all of them.
fn modes(text: &mut String, overview: &Overview) -> Result {
    writeln!(text, "\n{}", word("Modes"))?;
    for mode in &overview.modes {
        let whose =
            if mode.surveyed { word("surveyed") } else { word("derived from the network, not surveyed") };
        writeln!(text, "  {} [{}] ({whose})", mode.name, mode.id)?;
        let moves = |stand: &&Stand| {
            let others = overview.modes.iter().flat_map(|other| &other.stands);
            let mut others = others.filter(|other| other.device == stand.device);
            others.any(|other| other.state != stand.state)
        };
        let stands: Vec<String> =
            mode.stands.iter().filter(moves).map(|stand| stand.words.to_string()).collect();
        if !stands.is_empty() {
            writeln!(text, "    {}", stands.join("; "))?;
        }
    }
    Ok(())
}

fn meetings(text: &mut String, overview: &Overview) -> Result {
    writeln!(text, "\n{}", word("How near sources come to meeting"))?;
    let mut told: Vec<(&Id, &Id)> = Vec::new();
    for mode in &overview.modes {
        writeln!(text, "  {}", mode.name)?;
        for one in overview.meetings.iter().filter(|meeting| meeting.mode == mode.id) {
            meeting(text, one)?;
            // What would part them is the same in every mode.
            let additions = one.additions.to_string();
            if !additions.is_empty() && !told.contains(&(&one.a, &one.b)) {
                writeln!(text, "      {}", say!("what would part them for good: {}", additions.to_string()))?;
                told.push((&one.a, &one.b));
            }
        }
    }
    Ok(())
}

fn meeting(text: &mut String, meeting: &MeetingOverview) -> Result {
    let plate = match (meeting.may_meet, meeting.wrong_moves) {
        (_, None) => word("never"),
        (Some(true), Some(_)) => word("may meet"),
        (_, Some(0)) => word("DANGER: no slip needed"),
        (_, Some(1)) => word("DANGER: one slip"),
        (_, Some(_)) => word("WARNING: nothing forbids it"),
    };
    let sure = if meeting.is_certain { "" } else { word(", at worst: it is not known") };
    writeln!(text, "    {plate}{sure}. {}", meeting.told)?;
    if meeting.may_meet != Some(true) && !meeting.path.is_empty() {
        let names: Vec<String> = meeting.path.iter().map(|(_, name)| name.to_string()).collect();
        writeln!(text, "      {}", say!("path: {}", (names.join(" — ")).to_string()))?;
    }
    missing_line(text, &meeting.missing)
}

fn cut(text: &mut String, cut: &CutOverview) -> Result {
    writeln!(text, "  {} [{}]", cut.name, cut.at)?;
    writeln!(text, "    {}", cut.told)?;
    for (at, set) in cut.sets.iter().enumerate().filter(|(_, set)| !set.is_empty()) {
        let names: Vec<String> = set.iter().map(device).collect();
        let head = word(if at == 0 { "smallest set" } else { "or" });
        writeln!(text, "    {head}: {}", names.join(word(" and ")))?;
    }
    missing_line(text, &cut.missing)?;
    for point in &cut.prove_dead {
        writeln!(text, "    {}", say!("prove dead: {}", point.to_string()))?;
    }
    for live in &cut.stays_live {
        writeln!(text, "    {}", say!("stays live: {}", live.to_string()))?;
    }
    Ok(())
}

fn device(cut: &Cut) -> String {
    let lock = match cut.lockable {
        Some(true) => word("can be locked"),
        Some(false) => word("cannot be locked"),
        None => word("nobody has seen whether it can be locked"),
    };
    format!("{} ({lock})", cut.name)
}

fn orders(text: &mut String, overview: &Overview) -> Result {
    for one in &overview.orders {
        order(text, overview, one)?;
    }
    Ok(())
}

fn order(text: &mut String, overview: &Overview, order: &OrderOverview) -> Result {
    let name = |id: &str| {
        let mode = overview.modes.iter().find(|mode| mode.id == id);
        mode.map_or_else(|| id.to_owned(), |mode| mode.name.clone())
    };
    writeln!(
        text,
        "\n{}",
        say!(
            "Switching order from \"{}\" to \"{}\"",
            name(&order.from).to_string(),
            name(&order.to).to_string()
        )
    )?;
    let Some(steps) = &order.steps else { return writeln!(text, "  {}", order.missing) };
    if steps.is_empty() {
        return writeln!(text, "  {}", word("Nothing is moved."));
    }
    for near in &order.near {
        writeln!(text, "  {near}")?;
    }
    for (at, step) in steps.iter().enumerate() {
        writeln!(text, "  ☐ {}. {}", at + 1, step.words)?;
    }
    writeln!(text, "  {}", order.still_live)?;
    writeln!(text, "  {}", word(APPROVAL))
}

fn neutrals(text: &mut String, overview: &Overview) -> Result {
    writeln!(text, "\n{}", word("Neutral and ground"))?;
    for one in &overview.neutral {
        neutral(text, overview, one)?;
    }
    Ok(())
}

fn neutral(text: &mut String, overview: &Overview, neutral: &NeutralOverview) -> Result {
    let mode = overview.modes.iter().find(|mode| mode.id == neutral.mode);
    let verdict = match neutral.verdict {
        Verdict::Meets => word("meets"),
        Verdict::FallsShort => word("FALLS SHORT"),
        Verdict::CannotTell { .. } => word("CANNOT TELL"),
        Verdict::NotApplicable { .. } => word("does not apply"),
    };
    writeln!(text, "  {} [{}]: {verdict}", mode.map_or("", |mode| mode.name.as_str()), neutral.supply)?;
    for told in &neutral.told {
        writeln!(text, "    {told}")?;
    }
    for (transfer, opens) in &neutral.transfers {
        let stays = match opens {
            Some(true) => word("opens the neutral"),
            Some(false) => word("leaves the neutral solid"),
            None => word("is not known to open the neutral or not"),
        };
        writeln!(text, "    {transfer} {stays}.")?;
    }
    if let Verdict::CannotTell { missing } = &neutral.verdict {
        missing_line(text, missing)?;
    }
    for ground in neutral.grounds.iter().filter(|ground| ground.holds != Some(true)) {
        writeln!(text, "    {}", ground.told)?;
        missing_line(text, &ground.missing)?;
    }
    Ok(())
}

fn tied(text: &mut String, overview: &Overview) -> Result {
    if overview.tied.is_empty() && overview.dead_loads.is_empty() {
        return Ok(());
    }
    writeln!(text, "\n{}", word("One 120 V source on both legs"))?;
    for tied in &overview.tied {
        writeln!(text, "  {}", tied.told)?;
        missing_line(text, &tied.missing)?;
    }
    for dead in &overview.dead_loads {
        writeln!(text, "  {}", dead.told)?;
        missing_line(text, &dead.missing)?;
    }
    Ok(())
}
