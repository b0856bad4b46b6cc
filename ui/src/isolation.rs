//! The Isolation place: the house in a mode, switched in a picture; how near its sources come; what must
//! be open to work at a place; in which order to switch.

use deadfront_rules::drawing::{self, Emphasis, Role};
use deadfront_rules::edit::{self, Edit, Refused};
use deadfront_rules::finding::{Said, Verdict};
use deadfront_rules::house::House;
use deadfront_rules::isolation::overview::{
    APPROVAL, CAUTION, CutOverview, MeetingOverview, NeutralOverview, OrderOverview, Wrong,
};
use deadfront_rules::isolation::{self, Overview, Positions, Rehearsal};
use deadfront_rules::say;
use deadfront_rules::survey::{DeviceState, Id};
use slint::{ComponentHandle as _, SharedString};

use crate::generated::{self, Action, DeadfrontWindow, Isolation, Line, Part, Pick};
use crate::lists::action;
use crate::models::fixed;
use crate::scene::with_letters;
use crate::shown::Shown;
use crate::words::{tell, word};

/// How much of the house the picture shows.
#[derive(Clone, Debug, Default, PartialEq)]
enum View {
    /// Sources, panels and the feeders between them.
    #[default]
    House,
    /// A panel with what reaches it and hangs on it.
    Panel(Id),
    /// Everything.
    Whole,
}

/// Keys of the views that are chosen by a button.
const HOUSE: &str = "house";
const WHOLE: &str = "whole";

/// Keys of what is done with modes.
pub(crate) const KEEP_IN: &str = "keep-in";
pub(crate) const ADD: &str = "add-mode";

/// What is chosen on the page.
#[derive(Default)]
pub(crate) struct Rehearsing {
    mode: usize,
    view: View,
    /// The positions that were switched in the picture; none: as the mode wants it.
    positions: Option<Positions>,
    /// The device that was switched last.
    switched: Option<Id>,
    /// Where work is to be done.
    pub(crate) place: Option<Id>,
    /// The mode to switch to.
    target: Option<String>,
}

impl Rehearsing {
    pub(crate) fn choose_mode(&mut self, key: &str) {
        let (place, view) = (self.place.take(), std::mem::take(&mut self.view));
        *self = Self { mode: key.parse().unwrap_or_default(), place, view, ..Self::default() };
    }

    pub(crate) fn choose_target(&mut self, key: &str) {
        self.target = Some(key.to_owned());
    }

    pub(crate) fn choose_view(&mut self, key: &str) {
        self.view = if key == WHOLE { View::Whole } else { View::House };
    }

    /// Opens the drawing of a panel, where what was tapped stands for one; whether it does.
    pub(crate) fn open_panel(&mut self, shown: &Shown, tapped: &Id) -> bool {
        let is_panel = shown.survey.panels.iter().any(|panel| panel.id == *tapped);
        let stands_for_it = match &self.view {
            View::House => is_panel,
            View::Panel(open) => is_panel && open != tapped,
            View::Whole => false,
        };
        if stands_for_it {
            self.view = View::Panel(tapped.clone());
        }
        stands_for_it
    }

    /// The view, as far as the survey still has what it shows.
    fn view(&self, shown: &Shown) -> View {
        match &self.view {
            View::Panel(id) if !shown.survey.panels.iter().any(|panel| panel.id == *id) => View::House,
            view => view.clone(),
        }
    }

    /// Switches a device in the picture; whether there is anything to switch.
    pub(crate) fn switch(&mut self, shown: &Shown, device: &Id) -> bool {
        let house = House::new(&shown.survey);
        let mut positions = self.positions.clone().unwrap_or_else(|| Positions::of_mode(&house, self.mode));
        let switched = positions.switch(&house, device);
        if switched {
            self.positions = Some(positions);
            self.switched = Some(device.clone());
        }
        switched
    }

    /// Puts the wrong moves of a way in which sources meet into the picture; whether there is such a way.
    pub(crate) fn draw_way(&mut self, shown: &Shown, key: &str) -> bool {
        let house = House::new(&shown.survey);
        let overview = shown.isolation(&house);
        let Some(witness) = way_of(&overview, key) else { return false };
        let mut positions = Positions::of_mode(&house, self.mode);
        for wrong in witness {
            positions.put(&house, &wrong.stand.device, &wrong.stand.state);
        }
        self.positions = Some(positions);
        self.switched = witness.first().map(|wrong| wrong.stand.device.clone());
        // The way leads from source to source: all of it is seen in the house.
        if matches!(self.view, View::Panel(_)) {
            self.view = View::House;
        }
        true
    }

    pub(crate) fn back_to_mode(&mut self) {
        self.positions = None;
        self.switched = None;
    }

    /// The picture as an intended mode of the survey.
    pub(crate) fn keep_as_mode(&self, shown: &Shown) -> Result<(Edit, Id), Refused> {
        let overview = shown.isolation(&House::new(&shown.survey));
        let feeds = overview.modes.get(self.mode).map_or_else(Vec::new, |mode| mode.feeds.clone());
        edit::add_mode(&shown.survey, &tell(&say!("Mode as rehearsed")), &feeds, &self.stands(shown))
    }

    /// The picture as the mode that is shown; nothing where that is none of the survey's own.
    pub(crate) fn keep_in_mode(&self, shown: &Shown) -> Option<Result<Edit, Refused>> {
        let mode = self.own_mode(shown)?;
        let stand = |(device, state): (Id, DeviceState)| format!("{device} {}", state.file_word());
        let stands: Vec<String> = self.stands(shown).into_iter().map(stand).collect();
        Some(edit::set(&shown.survey, &mode, "devices", &stands.join(", ")))
    }

    /// The mode that is shown, if the surveyor said it.
    fn own_mode(&self, shown: &Shown) -> Option<Id> {
        let overview = shown.isolation(&House::new(&shown.survey));
        let at = self.mode.min(overview.modes.len().saturating_sub(1));
        let id = &overview.modes.get(at)?.id;
        shown.survey.modes.iter().map(|mode| &mode.id).find(|own| own.as_str() == id.as_str()).cloned()
    }

    /// How the devices between the sources stand in the picture.
    fn stands(&self, shown: &Shown) -> Vec<(Id, DeviceState)> {
        let house = House::new(&shown.survey);
        let positions = self.positions.clone().unwrap_or_else(|| Positions::of_mode(&house, self.mode));
        let overview = shown.isolation(&house);
        let between: Vec<&Id> =
            overview.modes.iter().flat_map(|mode| mode.stands.iter().map(|stand| &stand.device)).collect();
        let mut devices: Vec<(Id, DeviceState)> = Vec::new();
        for (device, stand) in positions.all(&house) {
            if !between.contains(&device) {
                continue;
            }
            match stand {
                "open" => devices.push((device.clone(), DeviceState::Open)),
                "closed" => devices.push((device.clone(), DeviceState::Closed)),
                position => devices.extend(Id::new(position).map(|id| (id, DeviceState::Closed))),
            }
        }
        devices.dedup();
        devices
    }
}

/// Fills the page.
pub(crate) fn fill(window: &DeadfrontWindow, shown: &Shown, state: &Rehearsing, editable: bool) {
    let page = window.global::<Isolation>();
    let house = House::new(&shown.survey);
    let overview = shown.isolation(&house);
    let any = !shown.survey.supplies.is_empty() && !shown.survey.panels.is_empty();
    page.set_any(any);
    if !any {
        return;
    }
    let mode = state.mode.min(overview.modes.len().saturating_sub(1));
    page.set_modes(fixed(mode_picks(&overview, mode)));
    let positions = state.positions.clone().unwrap_or_else(|| Positions::of_mode(&house, mode));
    let rehearsal = isolation::rehearse(&house, &positions);
    let view = state.view(shown);
    draw(&page, shown, &house, &rehearsal, &view);
    page.set_views(fixed(views(&view)));
    page.set_whole(view == View::Whole);
    page.set_view_told(view_told(shown, &view).into());
    page.set_changed(state.positions.is_some());
    page.set_chosen(state.switched.as_ref().map_or_else(SharedString::new, |id| id.as_str().into()));
    tell_picture(&page, shown, &rehearsal, state.positions.is_some());
    let mut actions = Vec::new();
    if state.positions.is_some() {
        actions.push(action("back", &say!("As the mode wants it")));
        if editable {
            actions.push(action("keep", &say!("Keep as a mode")));
        }
    }
    let own = state.own_mode(shown);
    if let Some(own) = own.as_ref().filter(|_| editable) {
        if state.positions.is_some() {
            actions.push(action(KEEP_IN, &say!("Keep in this mode")));
        }
        actions.push(action(own.as_str(), &say!("Edit this mode")));
    }
    if editable {
        actions.push(action(ADD, &say!("Add a mode")));
    }
    if let Some(device) = &state.switched {
        actions.push(action(device.as_str(), &say!("Go to its fields")));
    }
    page.set_actions(fixed(actions));
    let id = overview.modes.get(mode).map_or("", |mode| mode.id.as_str());
    page.set_near(fixed(near(shown, &overview, id)));
    fill_cut(&page, shown, &house, state);
    fill_order(&page, &overview, id, state);
    page.set_rest(fixed(rest(&overview, id)));
    page.set_caution(word(CAUTION));
}

fn mode_picks(overview: &Overview, chosen: usize) -> Vec<Pick> {
    let modes = overview.modes.iter().enumerate();
    let pick = |(at, mode): (usize, &isolation::overview::ModeOverview)| Pick {
        key: at.to_string().into(),
        text: mode.name.as_str().into(),
        chosen: at == chosen,
    };
    modes.map(pick).collect()
}

fn draw(page: &Isolation<'_>, shown: &Shown, house: &House<'_>, rehearsal: &Rehearsal, view: &View) {
    let marks = drawing::Marks::new();
    let emphasis = emphasis(shown, rehearsal);
    let one_line = with_letters(|letters| {
        let of_house = || drawing::one_line_of_house(house, &marks, &emphasis, letters);
        match view {
            View::House => of_house(),
            View::Panel(panel) => {
                drawing::one_line_of_panel(house, panel, &marks, &emphasis, letters).unwrap_or_else(of_house)
            }
            View::Whole => drawing::one_line(house, &marks, &emphasis, letters),
        }
    });
    page.set_drawing(crate::scene::drawing(&one_line.scene, shown));
}

/// The ways to the other views.
fn views(view: &View) -> Vec<Action> {
    let house = action(HOUSE, &say!("‹ The house at a glance"));
    let whole = action(WHOLE, &say!("Every circuit in one picture"));
    match view {
        View::House => vec![whole],
        View::Panel(_) => vec![house, whole],
        View::Whole => vec![house],
    }
}

fn view_told(shown: &Shown, view: &View) -> String {
    match view {
        View::House => {
            tell(&say!("The house at a glance: sources, panels, feeders. Tap a panel for its circuits. Thick lines are live, each source in its colour; thin grey ones are dead."))
                .into()
        }
        View::Panel(panel) => tell(&say!(
            "{}: what feeds it and what it feeds. Tap another panel to go on there.",
            shown.name_of(panel)
        ))
        .into(),
        View::Whole => {
            tell(&say!("Every circuit of the house. Made larger, it moves under the finger.")).into()
        }
    }
}

/// Live parts by the first source that reaches them; the ways between sources that meet.
fn emphasis(shown: &Shown, rehearsal: &Rehearsal) -> Emphasis {
    let number = |id: &Id| {
        let at = shown.survey.supplies.iter().position(|supply| supply.id == *id).unwrap_or_default();
        u8::try_from(at).unwrap_or(u8::MAX)
    };
    let role = |from: &[Id]| from.first().map_or(Role::Dead, |source| Role::Live(number(source)));
    let mut emphasis: Emphasis =
        rehearsal.items.iter().map(|live| (live.item.clone(), role(&live.from))).collect();
    for joined in &rehearsal.joined {
        emphasis.extend(joined.along.iter().map(|item| (item.clone(), Role::Peril)));
    }
    emphasis
}

fn tell_picture(page: &Isolation<'_>, shown: &Shown, rehearsal: &Rehearsal, switched: bool) {
    let (mark, told) = match rehearsal.joined.first() {
        Some(joined) => {
            let way: Vec<String> = joined.path.iter().map(|part| tell(part).to_string()).collect();
            let (a, b) = (shown.name_of(&joined.a), shown.name_of(&joined.b));
            (generated::Mark::Danger, say!("{} and {} would meet: {}.", a, b, way.join(", ")))
        }
        None if switched => (
            generated::Mark::None,
            say!(
                "As switched in the picture, no two sources that must be apart would meet. Every other position is told of below."
            ),
        ),
        None => (
            generated::Mark::None,
            say!(
                "While every handle stands as this mode wants it, no two sources that must be apart meet. What a wrong move does is told below."
            ),
        ),
    };
    let forbidden: Vec<String> = rehearsal.forbidden_by.iter().map(|id| shown.name_of(id)).collect();
    let mut told = tell(&told).to_string();
    if !forbidden.is_empty() {
        told.push(' ');
        told.push_str(&tell(&say!("An interlock does not let it come to this: {}.", forbidden.join(", "))));
    }
    page.set_mark(mark);
    page.set_told(told.into());
}

/// Names a smallest set of wrong moves to the window: its meeting and itself, by their places.
fn way_key(meeting: usize, witness: usize) -> String {
    format!("{meeting} {witness}")
}

fn way_of<'a>(overview: &'a Overview, key: &str) -> Option<&'a [Wrong]> {
    let (meeting, witness) = key.split_once(' ')?;
    let meeting = overview.meetings.get(meeting.parse::<usize>().ok()?)?;
    meeting.witnesses.get(witness.parse::<usize>().ok()?).map(Vec::as_slice)
}

/// What draws each way of a meeting in the picture.
fn ways(at: usize, meeting: &MeetingOverview) -> Vec<Action> {
    let several = meeting.witnesses.len() > 1;
    let ways = 0..meeting.witnesses.len();
    let draw = |way: usize| match several {
        true => action(way_key(at, way), &say!("Draw way {} in the picture", (way + 1).to_string())),
        false => action(way_key(at, way), &say!("Draw this way in the picture")),
    };
    ways.map(draw).collect()
}

/// How near the sources come in a mode, the nearest first.
fn near(shown: &Shown, overview: &Overview, mode: &str) -> Vec<Part> {
    let mut meetings: Vec<(usize, &MeetingOverview)> = overview
        .meetings
        .iter()
        .enumerate()
        .filter(|(_, meeting)| meeting.mode == mode && meeting.may_meet != Some(true))
        .collect();
    meetings.sort_by_key(|(_, meeting)| meeting.wrong_moves.unwrap_or(usize::MAX));
    let parts = meetings.iter().enumerate().map(|(at, (place, meeting))| {
        let mark = match meeting.wrong_moves {
            None => generated::Mark::Meets,
            Some(_) if !meeting.is_certain => generated::Mark::CannotTell,
            Some(0 | 1) => generated::Mark::Danger,
            Some(2) => generated::Mark::Warning,
            Some(_) => generated::Mark::Caution,
        };
        let path: Vec<String> = meeting.path.iter().map(|(_, name)| tell(name).to_string()).collect();
        let mut lines = Vec::new();
        if !path.is_empty() {
            lines.push(Line { name: tell(&say!("Path")), value: path.join(" – ").into() });
        }
        for (way, witness) in meeting.witnesses.iter().enumerate() {
            let moves: Vec<String> =
                witness.iter().map(|wrong| tell(&wrong.stand.words).to_string()).collect();
            let name = match meeting.witnesses.len() {
                1 => say!("It is enough that"),
                _ => say!("Way {}: it is enough that", (way + 1).to_string()),
            };
            lines.push(Line { name: tell(&name), value: moves.join("; ").into() });
        }
        let additions = tell(&meeting.additions);
        if !additions.is_empty() {
            lines.push(Line { name: tell(&say!("What would part them")), value: additions });
        }
        Part {
            title: if at == 0 { tell(&say!("How near the sources come")) } else { SharedString::new() },
            mark,
            strong: format!("{} – {}", shown.name_of(&meeting.a), shown.name_of(&meeting.b)).into(),
            sentences: fixed([tell(&meeting.told)]),
            lines: fixed(lines),
            actions: fixed(ways(*place, meeting)),
            ..Part::default()
        }
    });
    parts.collect()
}

fn fill_cut(page: &Isolation<'_>, shown: &Shown, house: &House<'_>, state: &Rehearsing) {
    let panels = shown.survey.panels.iter().map(|panel| &panel.id);
    let extra =
        state.place.iter().filter(|place| !shown.survey.panels.iter().any(|panel| panel.id == **place));
    let picks = panels.chain(extra).map(|id| Pick {
        key: id.as_str().into(),
        text: shown.name_of(id).into(),
        chosen: state.place.as_ref() == Some(id),
    });
    page.set_places(fixed(picks));
    let cut = state.place.as_ref().and_then(|place| isolation::cut(house, place));
    page.set_cut(fixed(cut.iter().map(cut_part)));
}

fn cut_part(cut: &CutOverview) -> Part {
    let mut lines = Vec::new();
    for (at, set) in cut.sets.iter().enumerate() {
        let names: Vec<String> = set
            .iter()
            .map(|one| {
                let lock = match one.lockable {
                    Some(true) => tell(&say!("can be locked")),
                    Some(false) => tell(&say!("cannot be locked")),
                    None => tell(&say!("lock not seen")),
                };
                format!("{} ({lock})", tell(&one.name))
            })
            .collect();
        let name = if at == 0 { tell(&say!("Open")) } else { tell(&say!("or")) };
        lines.push(Line { name, value: names.join(", ").into() });
    }
    let list = |name: Said, texts: &[Said]| {
        let name = tell(&name);
        texts.iter().map(move |text| Line { name: name.clone(), value: tell(text) }).collect::<Vec<_>>()
    };
    lines.extend(list(say!("Prove dead at"), &cut.prove_dead));
    lines.extend(list(say!("Stays live"), &cut.stays_live));
    Part {
        strong: tell(&cut.name),
        sentences: fixed([tell(&cut.told)]),
        lines: fixed(lines),
        ..Part::default()
    }
}

fn fill_order(page: &Isolation<'_>, overview: &Overview, mode: &str, state: &Rehearsing) {
    let orders: Vec<&OrderOverview> = overview.orders.iter().filter(|order| order.from == mode).collect();
    let name = |id: &str| {
        let mode = overview.modes.iter().find(|mode| mode.id == id);
        mode.map_or(id, |mode| mode.name.as_str()).to_owned()
    };
    let pick = |order: &&OrderOverview| Pick {
        key: order.to.as_str().into(),
        text: name(&order.to).into(),
        chosen: state.target.as_deref() == Some(order.to.as_str()),
    };
    page.set_targets(fixed(orders.iter().map(pick)));
    let chosen = orders.iter().find(|order| state.target.as_deref() == Some(order.to.as_str()));
    page.set_order(fixed(chosen.map(|order| order_part(order))));
}

fn order_part(order: &OrderOverview) -> Part {
    match &order.steps {
        Some(steps) => {
            let sentences: Vec<SharedString> = steps.iter().map(|step| tell(&step.words)).collect();
            let below = [tell(&order.still_live), word(APPROVAL)];
            let near: Vec<String> = order.near.iter().map(|near| tell(near).to_string()).collect();
            let mark = if near.is_empty() { generated::Mark::None } else { generated::Mark::Danger };
            Part {
                mark,
                strong: near.join(" ").into(),
                sentences: fixed(sentences),
                numbered: true,
                boxed: true,
                lines: fixed(below.map(|value| Line { name: SharedString::new(), value })),
                ..Part::default()
            }
        }
        None => Part {
            mark: generated::Mark::Danger,
            strong: tell(&say!("No safe order exists")),
            sentences: fixed([tell(&order.missing)]),
            ..Part::default()
        },
    }
}

/// Neutral and ground in a mode, and one 120 V source on both legs.
fn rest(overview: &Overview, mode: &str) -> Vec<Part> {
    let neutrals = overview.neutral.iter().filter(|neutral| neutral.mode == mode);
    let mut parts: Vec<Part> = neutrals.map(neutral_part).collect();
    if let Some(first) = parts.first_mut() {
        first.title = tell(&say!("Neutral and ground in this mode"));
    }
    let mut sentences: Vec<SharedString> = overview.tied.iter().map(|tied| tell(&tied.told)).collect();
    sentences.extend(overview.dead_loads.iter().map(|dead| tell(&dead.told)));
    if !sentences.is_empty() {
        parts.push(Part {
            title: tell(&say!("One 120 V source on both legs")),
            sentences: fixed(sentences),
            ..Part::default()
        });
    }
    parts
}

fn neutral_part(neutral: &NeutralOverview) -> Part {
    let mark = match &neutral.verdict {
        Verdict::FallsShort => generated::Mark::Warning,
        Verdict::CannotTell { .. } => generated::Mark::CannotTell,
        Verdict::Meets => generated::Mark::Meets,
        Verdict::NotApplicable { .. } => generated::Mark::None,
    };
    let grounds = neutral.grounds.iter().map(|ground| tell(&ground.told));
    Part { mark, sentences: fixed(neutral.told.iter().map(tell).chain(grounds)), ..Part::default() }
}
