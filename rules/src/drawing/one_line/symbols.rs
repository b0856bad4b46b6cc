//! Symbols of IEC 60617 and IEEE 315 (ANSI), as the trade draws them in a one-line.

use crate::drawing::canvas::{Canvas, Style};
use crate::drawing::path::PathShape;
use crate::drawing::scene::{Anchor, Dash, Paint, Point, Rect, Stroke, TextSize, Weight};
use crate::survey::{Device, DeviceKind, LoadKind, SupplyKind};

/// A symbol, for the drawing and for its legend.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Symbol {
    /// The utility's transformer.
    Transformer,
    /// A generator.
    Generator,
    /// An inverter.
    Inverter,
    /// A battery.
    Battery,
    /// A solar array.
    Array,
    /// A breaker.
    Breaker,
    /// A fuse.
    Fuse,
    /// A fuse in a pull-out.
    PullOut,
    /// A switch without overcurrent protection.
    Switch,
    /// A switch with a fuse.
    FusedSwitch,
    /// A device of which the kind is not known.
    UnknownDevice,
    /// A bus bar.
    Bus,
    /// A transfer switch.
    Transfer,
    /// An inlet with recessed pins.
    Inlet,
    /// Something that ties two handles.
    Interlock,
    /// A label or a promise between two handles.
    Label,
    /// A grounding electrode.
    Earth,
    /// Neutral and ground joined.
    Bond,
    /// Whether they are joined is not known.
    BondUnknown,
    /// A motor.
    Motor,
    /// A heating element.
    Heater,
    /// A vehicle charger.
    Charger,
    /// An outlet.
    Outlet,
    /// A lamp.
    Lamp,
    /// Another load.
    Load,
    /// Loads told in a list.
    List,
    /// A wire that is planned.
    Planned,
    /// A wire that begins or ends at nothing known.
    Loose,
    /// Wires that cross without touching.
    Hop,
}

impl Symbol {
    /// All, in the order of the legend.
    pub const ALL: &'static [Self] = &[
        Self::Transformer,
        Self::Generator,
        Self::Inverter,
        Self::Battery,
        Self::Array,
        Self::Bus,
        Self::Breaker,
        Self::Fuse,
        Self::PullOut,
        Self::Switch,
        Self::FusedSwitch,
        Self::UnknownDevice,
        Self::Transfer,
        Self::Interlock,
        Self::Label,
        Self::Inlet,
        Self::Earth,
        Self::Bond,
        Self::BondUnknown,
        Self::Motor,
        Self::Heater,
        Self::Charger,
        Self::Outlet,
        Self::Lamp,
        Self::Load,
        Self::List,
        Self::Planned,
        Self::Loose,
        Self::Hop,
    ];

    /// Its trade name.
    #[must_use]
    pub fn words(self) -> &'static str {
        crate::words::word(match self {
            Self::Transformer => "utility transformer",
            Self::Generator => "generator",
            Self::Inverter => "inverter",
            Self::Battery => "battery",
            Self::Array => "solar array",
            Self::Breaker => "breaker",
            Self::Fuse => "fuse",
            Self::PullOut => "pull-out with fuses",
            Self::Switch => "switch, no overcurrent protection",
            Self::FusedSwitch => "fused switch",
            Self::UnknownDevice => "device of unknown kind",
            Self::Bus => "bus bar",
            Self::Transfer => "transfer switch",
            Self::Inlet => "inlet for a cord, recessed pins",
            Self::Interlock => "interlock between handles",
            Self::Label => "label or promise: ties nothing",
            Self::Earth => "grounding electrode",
            Self::Bond => "neutral joined to ground",
            Self::BondUnknown => "neutral to ground: not known",
            Self::Motor => "motor",
            Self::Heater => "heating element",
            Self::Charger => "vehicle charger",
            Self::Outlet => "outlets",
            Self::Lamp => "lights",
            Self::Load => "other load",
            Self::List => "circuits in a list",
            Self::Planned => "planned, not built",
            Self::Loose => "begins or ends at nothing entered",
            Self::Hop => "crossing, not joined",
        })
    }

    /// The symbol of a device; none for lugs, which are only a joint.
    #[must_use]
    pub fn of_device(device: &Device) -> Option<Self> {
        match device.kind.get() {
            Some(DeviceKind::Breaker | DeviceKind::TandemBreaker) => Some(Self::Breaker),
            Some(DeviceKind::PlugFuse | DeviceKind::CartridgeFuse) => Some(Self::Fuse),
            Some(DeviceKind::PullOut) => Some(Self::PullOut),
            Some(DeviceKind::FusedSwitch) => Some(Self::FusedSwitch),
            Some(DeviceKind::Switch) => Some(Self::Switch),
            Some(DeviceKind::Lugs | DeviceKind::Spare) => None,
            None => Some(Self::UnknownDevice),
        }
    }

    /// The symbol of a supply.
    #[must_use]
    pub fn of_supply(kind: SupplyKind) -> Self {
        match kind {
            SupplyKind::Utility => Self::Transformer,
            SupplyKind::Inverter => Self::Inverter,
            SupplyKind::Battery => Self::Battery,
            SupplyKind::Generator => Self::Generator,
            SupplyKind::Solar => Self::Array,
        }
    }

    /// The symbol of a load.
    #[must_use]
    pub fn of_load(kind: LoadKind) -> Self {
        match kind {
            LoadKind::Range
            | LoadKind::Oven
            | LoadKind::Cooktop
            | LoadKind::Dryer
            | LoadKind::WaterHeater
            | LoadKind::SpaceHeat => Self::Heater,
            LoadKind::VehicleCharger => Self::Charger,
            LoadKind::Lighting => Self::Lamp,
            LoadKind::Receptacles | LoadKind::SmallAppliance | LoadKind::Laundry | LoadKind::Microwave => {
                Self::Outlet
            }
            LoadKind::HeatPump
            | LoadKind::AirConditioner
            | LoadKind::RoomAirConditioner
            | LoadKind::Furnace
            | LoadKind::WellPump
            | LoadKind::SumpPump
            | LoadKind::Motor
            | LoadKind::Disposer
            | LoadKind::Refrigerator => Self::Motor,
            LoadKind::Dishwasher | LoadKind::Other => Self::Load,
        }
    }
}

/// Half the length of a device along its wire [units].
pub(super) const DEVICE: f32 = 20.0;
/// Radius of the symbol of a source or load [units].
pub(super) const SOURCE: f32 = 24.0;

/// Along and across a wire that runs down or to the right.
#[derive(Clone, Copy)]
struct Axis {
    centre: Point,
    level: bool,
}

impl Axis {
    fn at(self, along: f32, across: f32) -> (f32, f32) {
        if self.level {
            (self.centre.x + along, self.centre.y + across)
        } else {
            (self.centre.x + across, self.centre.y + along)
        }
    }

    fn rect(self, along: f32, across: f32) -> Rect {
        let (width, height) = if self.level { (along, across) } else { (across, along) };
        Rect::new(self.centre.x - width / 2.0, self.centre.y - height / 2.0, width, height)
    }
}

/// Draws a device on a wire, [`DEVICE`] to each side of its middle; `level` where the wire runs across.
pub(super) fn device(canvas: &mut Canvas<'_>, symbol: Symbol, centre: Point, level: bool, stroke: Stroke) {
    let axis = Axis { centre, level };
    let line = |canvas: &mut Canvas<'_>, from: f32, to: f32| {
        canvas.line(&[axis.at(from, 0.0), axis.at(to, 0.0)], stroke);
    };
    match symbol {
        Symbol::Breaker => {
            line(canvas, -DEVICE, -13.0);
            line(canvas, 13.0, DEVICE);
            contact(canvas, axis, -10.0, stroke);
            contact(canvas, axis, 10.0, stroke);
            let (from, to) = (axis.at(-13.0, 4.0), axis.at(13.0, 4.0));
            let arc = PathShape::from(from.0, from.1).half_turn(to.0, to.1, if level { -13.0 } else { 13.0 });
            let arc = if level { arc.moved(0.0, -8.0) } else { arc };
            canvas.path(arc, Some(stroke), None);
        }
        Symbol::Fuse => {
            canvas.rect(axis.rect(26.0, 12.0), 0.0, Some(solid(stroke)), Some(Paint::Paper));
            line(canvas, -DEVICE, DEVICE);
        }
        Symbol::PullOut => {
            canvas.rect(axis.rect(18.0, 11.0), 0.0, Some(solid(stroke)), Some(Paint::Paper));
            line(canvas, -DEVICE, DEVICE);
            for end in [-1.0, 1.0] {
                let (tip, foot) = (end * 12.0, end * 17.0);
                let chevron = [axis.at(foot, -6.0), axis.at(tip, 0.0), axis.at(foot, 6.0)];
                canvas.line(&chevron, solid(stroke));
            }
        }
        Symbol::Switch => {
            line(canvas, -DEVICE, -12.0);
            line(canvas, 12.0, DEVICE);
            blade(canvas, axis, -12.0, 12.0, stroke);
        }
        Symbol::FusedSwitch => {
            line(canvas, -DEVICE, -17.0);
            blade(canvas, axis, -17.0, -2.0, stroke);
            let fuse = Axis { centre: point(axis.at(9.0, 0.0)), level };
            canvas.rect(fuse.rect(16.0, 10.0), 0.0, Some(solid(stroke)), Some(Paint::Paper));
            line(canvas, -2.0, DEVICE);
        }
        _ => {
            let frame = axis.rect(26.0, 26.0);
            line(canvas, -DEVICE, -13.0);
            line(canvas, 13.0, DEVICE);
            canvas.rect(frame, 2.0, Some(Stroke::INK.dashed(Dash::Dashed)), Some(Paint::Paper));
            canvas.text(frame, Style::SMALL.bold().at(Anchor::Middle).in_paint(Paint::Ink), "?");
        }
    }
}

fn point((x, y): (f32, f32)) -> Point {
    Point::new(x, y)
}

/// Symbols are never dashed, only their wires.
fn solid(stroke: Stroke) -> Stroke {
    Stroke { dash: Dash::Solid, ..stroke }
}

fn contact(canvas: &mut Canvas<'_>, axis: Axis, along: f32, stroke: Stroke) {
    let (x, y) = axis.at(along, 0.0);
    canvas.circle(x, y, 3.0, Some(solid(stroke)), Some(Paint::Paper));
}

/// A blade that stands open.
fn blade(canvas: &mut Canvas<'_>, axis: Axis, hinge: f32, contact: f32, stroke: Stroke) {
    let lift = (contact - hinge) * 0.45;
    let side = if axis.level { -lift } else { lift };
    canvas.line(&[axis.at(contact, 0.0), axis.at(hinge + 1.0, side)], solid(stroke));
    let tick = 5.0;
    canvas.line(&[axis.at(hinge, -tick), axis.at(hinge, tick)], solid(stroke));
}

/// Draws a transfer switch around a middle: two contacts, and a blade that can be at one of them only.
pub(super) fn transfer(canvas: &mut Canvas<'_>, x: f32, y: f32) {
    for dx in [-20.0, 20.0] {
        canvas.line(&[(x + dx, y - 26.0), (x + dx, y - 14.0)], Stroke::INK);
        canvas.circle(x + dx, y - 14.0, 3.5, Some(Stroke::INK), Some(Paint::Paper));
    }
    canvas.line(&[(x, y + 26.0), (x, y + 12.0), (x - 16.0, y - 9.0)], Stroke::INK);
    canvas.circle(x, y + 12.0, 3.5, Some(Stroke::INK), Some(Paint::Paper));
}

/// Draws a source, a load or the like around a middle, within [`SOURCE`].
pub(super) fn source(canvas: &mut Canvas<'_>, symbol: Symbol, x: f32, y: f32, stroke: Stroke) {
    let stroke = solid(stroke);
    match symbol {
        Symbol::Transformer => {
            for (up, fill) in [(-9.0, Some(Paint::Paper)), (9.0, None)] {
                canvas.circle(x, y + up, 15.0, Some(stroke), fill);
            }
        }
        Symbol::Generator => {
            canvas.circle(x, y, SOURCE, Some(stroke), Some(Paint::Paper));
            letter(canvas, Rect::new(x - 20.0, y - 17.0, 40.0, 22.0), "G");
            wave(canvas, x, y + 11.0, stroke);
        }
        Symbol::Inverter => inverter(canvas, x, y, stroke),
        Symbol::Battery => battery(canvas, x, y, stroke),
        Symbol::Array => array(canvas, x, y, stroke),
        Symbol::Motor => {
            canvas.circle(x, y, 20.0, Some(stroke), Some(Paint::Paper));
            letter(canvas, Rect::new(x - 16.0, y - 12.0, 32.0, 24.0), "M");
        }
        Symbol::Heater => {
            let body = Rect::new(x - 10.0, y - 20.0, 20.0, 40.0);
            canvas.rect(body, 0.0, Some(stroke), Some(Paint::Paper));
            for step in 1..4 {
                let y = body.y + 10.0 * step as f32;
                canvas.line(&[(body.x, y), (body.right(), y)], stroke);
            }
        }
        Symbol::Charger => {
            canvas.rect(Rect::new(x - 19.0, y - 19.0, 38.0, 38.0), 5.0, Some(stroke), Some(Paint::Paper));
            letter(canvas, Rect::new(x - 18.0, y - 12.0, 36.0, 24.0), "EV");
        }
        Symbol::Outlet => {
            canvas.line(&[(x, y - 20.0), (x, y - 4.0)], stroke);
            canvas.line(&[(x - 14.0, y - 4.0), (x + 14.0, y - 4.0)], stroke);
            canvas.path(
                PathShape::from(x - 14.0, y + 10.0).half_turn(x + 14.0, y + 10.0, -14.0),
                Some(stroke),
                None,
            );
        }
        Symbol::Lamp => {
            canvas.circle(x, y, 16.0, Some(stroke), Some(Paint::Paper));
            let d = 11.3;
            canvas.line(&[(x - d, y - d), (x + d, y + d)], stroke);
            canvas.line(&[(x - d, y + d), (x + d, y - d)], stroke);
        }
        Symbol::Inlet => inlet(canvas, x, y, stroke),
        Symbol::Loose => {
            let dashed = stroke.dashed(Dash::Dashed);
            canvas.circle(x, y, 18.0, Some(dashed), Some(Paint::Paper));
            letter(canvas, Rect::new(x - 16.0, y - 12.0, 32.0, 24.0), "?");
        }
        _ => {
            let head = PathShape::from(x - 9.0, y - 4.0).line(x + 9.0, y - 4.0).line(x, y + 16.0).close();
            canvas.line(&[(x, y - 20.0), (x, y - 4.0)], stroke);
            canvas.path(head, None, Some(stroke.paint));
        }
    }
}

fn letter(canvas: &mut Canvas<'_>, frame: Rect, text: &str) {
    let style = Style { size: TextSize::Body, ..Style::BODY.bold().at(Anchor::Middle) };
    canvas.text(frame, style, text);
}

/// The sign of alternating current.
fn wave(canvas: &mut Canvas<'_>, x: f32, y: f32, stroke: Stroke) {
    let path = PathShape::from(x - 9.0, y).half_turn(x, y, -5.0).half_turn(x + 9.0, y, 5.0);
    canvas.path(path, Some(stroke), None);
}

fn inverter(canvas: &mut Canvas<'_>, x: f32, y: f32, stroke: Stroke) {
    let half = SOURCE - 1.0;
    canvas.rect(Rect::new(x - half, y - half, 2.0 * half, 2.0 * half), 0.0, Some(stroke), Some(Paint::Paper));
    canvas.line(&[(x - half, y + half), (x + half, y - half)], stroke);
    let (dx, dy) = (x - 11.0, y - 11.0);
    canvas.line(&[(dx - 7.0, dy - 3.0), (dx + 7.0, dy - 3.0)], stroke);
    let dashed = Stroke { dash: Dash::Dotted, ..stroke };
    canvas.line(&[(dx - 7.0, dy + 3.0), (dx + 7.0, dy + 3.0)], dashed);
    wave(canvas, x + 11.0, y + 12.0, stroke);
}

/// Two cells: the longer plate is positive.
fn battery(canvas: &mut Canvas<'_>, x: f32, y: f32, stroke: Stroke) {
    let thick = Stroke { weight: Weight::Strong, ..stroke };
    for (at, long) in [(-12.0, true), (-4.0, false), (4.0, true), (12.0, false)] {
        let half = if long { 18.0 } else { 9.0 };
        let line = [(x - half, y + at), (x + half, y + at)];
        canvas.line(&line, if long { stroke } else { thick });
    }
    canvas.line(&[(x, y - SOURCE), (x, y - 12.0)], stroke);
    canvas.line(&[(x, y + 12.0), (x, y + SOURCE)], stroke);
}

/// A module with its corner mark, and light falling in.
fn array(canvas: &mut Canvas<'_>, x: f32, y: f32, stroke: Stroke) {
    let body = Rect::new(x - 22.0, y - 12.0, 36.0, 34.0);
    canvas.rect(body, 0.0, Some(stroke), Some(Paint::Paper));
    let mark =
        PathShape::from(body.x, body.y).line(body.x + 12.0, body.y).line(body.x, body.y + 12.0).close();
    canvas.path(mark, Some(stroke), None);
    wave(canvas, body.centre().x + 2.0, body.centre().y + 5.0, stroke);
    for shift in [0.0, 9.0] {
        let (tip_x, tip_y) = (x + 6.0 + shift, y - 10.0 + shift);
        canvas.line(&[(tip_x + 12.0, tip_y - 12.0), (tip_x, tip_y)], stroke);
        let head =
            PathShape::from(tip_x + 7.0, tip_y - 1.5).line(tip_x, tip_y).line(tip_x + 1.5, tip_y - 7.0);
        canvas.path(head, Some(stroke), None);
    }
}

/// Recessed pins in a ring.
fn inlet(canvas: &mut Canvas<'_>, x: f32, y: f32, stroke: Stroke) {
    canvas.circle(x, y, 20.0, Some(stroke), Some(Paint::Paper));
    for (dx, dy) in [(-8.0, -6.0), (8.0, -6.0), (-8.0, 7.0), (8.0, 7.0)] {
        canvas.rect(Rect::new(x + dx - 2.0, y + dy - 4.0, 4.0, 8.0), 0.0, None, Some(stroke.paint));
    }
}

/// Three lines, shorter and shorter.
pub(super) fn earth(canvas: &mut Canvas<'_>, x: f32, y: f32, stroke: Stroke) {
    canvas.line(&[(x, y - 11.0), (x, y - 2.0)], stroke);
    for (at, half) in [(-2.0, 10.0), (3.0, 6.5), (8.0, 3.0)] {
        canvas.line(&[(x - half, y + at), (x + half, y + at)], stroke);
    }
}

/// Neutral and ground joined by a link; dashed with "?" where nobody knows.
pub(super) fn bond(canvas: &mut Canvas<'_>, x: f32, y: f32, known: bool) {
    let stroke = if known { Stroke::INK } else { Stroke::INK.dashed(Dash::Dotted) };
    let style = Style::SMALL.bold().at(Anchor::Middle).in_paint(Paint::Ink);
    canvas.text(Rect::new(x - 22.0, y - 9.0, 14.0, 18.0), style, "N");
    canvas.line(&[(x - 8.0, y), (x + 9.0, y)], stroke);
    for (at, half) in [(9.0, 8.0), (13.0, 5.0), (17.0, 2.5)] {
        canvas.line(&[(x + at, y - half), (x + at, y + half)], Stroke::INK);
    }
}
