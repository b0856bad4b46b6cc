//! Devices as they look from the front.

use super::super::canvas::{CORNER, Canvas, Style};
use super::super::path::PathShape;
use super::super::scene::{Anchor, Dash, Paint, Rect, Stroke, TextSize, Weight};
use super::super::words::device as device_word;
use crate::survey::{Device, DeviceKind, PlugBase};

/// Which way a handle lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Towards {
    /// The bus lies to the left.
    Left,
    /// The bus lies to the right.
    Right,
}

/// Most poles that are drawn.
const MOST_POLES: usize = 4;
/// Width of a breaker's lever [units].
const LEVER: f32 = 30.0;

/// Draws a device in a box: its shape, and its rating inside.
pub(super) fn draw(canvas: &mut Canvas<'_>, rect: Rect, device: &Device, poles: usize, towards: Towards) {
    match device.kind.get() {
        Some(DeviceKind::Breaker | DeviceKind::TandemBreaker) => {
            breaker(canvas, rect, device, poles, towards);
        }
        Some(DeviceKind::PlugFuse) => plug_fuse(canvas, rect, device),
        Some(DeviceKind::CartridgeFuse) => cartridge(canvas, rect, device),
        Some(DeviceKind::PullOut) => pull_out(canvas, rect, device),
        Some(DeviceKind::Switch) => switch(canvas, rect, device, towards),
        Some(DeviceKind::FusedSwitch) => fused_switch(canvas, rect, device, towards),
        Some(DeviceKind::Lugs) => lugs(canvas, rect),
        Some(DeviceKind::Spare) => {
            let hair = Stroke::HAIR.dashed(Dash::Dashed);
            canvas.rect(rect, CORNER, Some(hair), None);
            let word = canvas.letters.word(device_word(DeviceKind::Spare));
            canvas.text(rect, Style::SMALL.at(Anchor::Middle), &word);
        }
        None => unknown(canvas, rect, device),
    }
}

/// The rating in a device, or "?".
fn rating(canvas: &mut Canvas<'_>, frame: Rect, device: &Device, size: TextSize) {
    let style = Style { size, ..Style::BODY.bold().at(Anchor::Middle) };
    match device.rating.known() {
        Some(rating) => canvas.text(frame, style, rating.text()),
        None => canvas.text(frame, style, "? A"),
    };
}

/// Size of type of a rating in a box of this height.
fn size_for(height: f32) -> TextSize {
    if height >= 66.0 { TextSize::Large } else { TextSize::Body }
}

fn unknown(canvas: &mut Canvas<'_>, rect: Rect, device: &Device) {
    let stroke = Stroke::INK.dashed(Dash::Dashed);
    canvas.rect(rect, CORNER, Some(stroke), Some(Paint::Paper));
    match device.rating.known() {
        Some(_) => rating(canvas, rect, device, TextSize::Body),
        None => {
            canvas.text(rect, Style::BODY.bold().at(Anchor::Middle), "?");
        }
    }
}

fn breaker(canvas: &mut Canvas<'_>, rect: Rect, device: &Device, poles: usize, towards: Towards) {
    canvas.rect(rect, CORNER, Some(Stroke::INK), Some(Paint::Paper));
    let room = LEVER + 10.0;
    let (text_x, lever_x) = match towards {
        Towards::Right => (rect.x, rect.right() - room),
        Towards::Left => (rect.x + room, rect.x + 10.0),
    };
    let frame = Rect::new(text_x, rect.y, rect.width - room, rect.height).inset(2.0);
    rating(canvas, frame, device, TextSize::Body);
    levers(canvas, Rect::new(lever_x, rect.y, LEVER, rect.height), poles);
}

/// One lever a pole, joined by the tie.
fn levers(canvas: &mut Canvas<'_>, rect: Rect, poles: usize) {
    let poles = poles.clamp(1, MOST_POLES);
    let step = rect.height / poles as f32;
    let height = (step * 0.5).min(26.0);
    let middle = |pole: usize| rect.y + step * (pole as f32 + 0.5);
    if poles > 1 {
        let x = rect.x + rect.width / 2.0;
        let tie = Rect::new(x - 4.0, middle(0), 8.0, middle(poles - 1) - middle(0));
        canvas.rect(tie, 0.0, Some(Stroke::new(Paint::Ink, Weight::Hair)), Some(Paint::Tint));
    }
    for pole in 0..poles {
        let lever = Rect::new(rect.x, middle(pole) - height / 2.0, rect.width, height);
        canvas.rect(lever, 3.0, Some(Stroke::INK), Some(Paint::Tint));
        let grip = Stroke::new(Paint::SoftInk, Weight::Hair);
        for share in [0.35, 0.5, 0.65] {
            let x = lever.x + lever.width * share;
            canvas.line(&[(x, lever.y + 5.0), (x, lever.bottom() - 5.0)], grip);
        }
    }
}

fn plug_fuse(canvas: &mut Canvas<'_>, rect: Rect, device: &Device) {
    let centre = rect.centre();
    let radius = rect.width.min(rect.height) / 2.0;
    canvas.circle(centre.x, centre.y, radius, Some(Stroke::INK), Some(Paint::Tint));
    let inner = radius * 0.76;
    let window = Stroke::new(Paint::Ink, if radius > 24.0 { Weight::Line } else { Weight::Hair });
    canvas.circle(centre.x, centre.y, inner, Some(window), Some(Paint::Paper));
    if device.base.get() == Some(PlugBase::TypeS) {
        // The adapter shows as a second ring.
        let ring = Stroke::new(Paint::Ink, Weight::Hair);
        canvas.circle(centre.x, centre.y, radius * 0.88, Some(ring), None);
    }
    let frame = Rect::new(centre.x - inner, centre.y - inner, inner * 2.0, inner * 2.0);
    rating(canvas, frame, device, TextSize::Body);
}

fn cartridge(canvas: &mut Canvas<'_>, rect: Rect, device: &Device) {
    let height = rect.height.min(44.0);
    let body = Rect::new(rect.x + 8.0, rect.centre().y - height / 2.0, rect.width - 16.0, height);
    canvas.rect(body, 2.0, Some(Stroke::INK), Some(Paint::Paper));
    let cap = (body.width * 0.14).max(6.0);
    for x in [body.x, body.right() - cap] {
        canvas.rect(Rect::new(x, body.y, cap, height), 2.0, Some(Stroke::INK), Some(Paint::Tint));
    }
    for (from, to) in [(rect.x, body.x), (body.right(), rect.right())] {
        let y = body.centre().y;
        canvas.line(&[(from, y), (to, y)], Stroke::new(Paint::Ink, Weight::Strong));
    }
    let frame = Rect::new(body.x + cap + 2.0, body.y, body.width - 2.0 * cap - 4.0, height);
    rating(canvas, frame, device, TextSize::Body);
}

fn pull_out(canvas: &mut Canvas<'_>, rect: Rect, device: &Device) {
    canvas.rect(rect, CORNER, Some(Stroke::INK), Some(Paint::Tint));
    let inner = rect.inset(6.0);
    canvas.rect(inner, 3.0, Some(Stroke::new(Paint::Ink, Weight::Hair)), Some(Paint::Paper));
    // The bail by which it is pulled.
    let (left, right) = (inner.x + inner.width * 0.22, inner.x + inner.width * 0.78);
    let (top, bottom) = (inner.bottom() - inner.height * 0.34, inner.bottom() - 5.0);
    let bail = PathShape::from(left, top)
        .line(left, bottom - 6.0)
        .line(left + 6.0, bottom)
        .line(right - 6.0, bottom)
        .line(right, bottom - 6.0)
        .line(right, top);
    canvas.path(bail, Some(Stroke::new(Paint::Ink, Weight::Strong)), None);
    let frame = Rect::new(inner.x, inner.y, inner.width, inner.height * 0.66);
    rating(canvas, frame, device, TextSize::Body);
}

/// A knife from its hinge to its contact.
fn knife(canvas: &mut Canvas<'_>, rect: Rect, towards: Towards) {
    let y = rect.centre().y + 4.0;
    let (hinge, contact) = match towards {
        Towards::Right => (rect.x + 8.0, rect.right() - 8.0),
        Towards::Left => (rect.right() - 8.0, rect.x + 8.0),
    };
    for x in [hinge, contact] {
        canvas.circle(x, y, 3.0, Some(Stroke::INK), Some(Paint::Paper));
    }
    let lift = (rect.height * 0.28).min(16.0);
    let along = (contact - hinge) * 0.86;
    canvas.line(&[(hinge, y), (hinge + along, y - lift)], Stroke::INK);
}

fn switch(canvas: &mut Canvas<'_>, rect: Rect, device: &Device, towards: Towards) {
    canvas.rect(rect, CORNER, Some(Stroke::INK), Some(Paint::Paper));
    if device.rating.known().is_some() {
        let half = rect.height / 2.0;
        knife(canvas, Rect::new(rect.x, rect.y, rect.width, half + 2.0), towards);
        rating(canvas, Rect::new(rect.x, rect.y + half, rect.width, half), device, TextSize::Body);
    } else {
        knife(canvas, rect, towards);
    }
}

fn fused_switch(canvas: &mut Canvas<'_>, rect: Rect, device: &Device, towards: Towards) {
    canvas.rect(rect, CORNER, Some(Stroke::INK), Some(Paint::Paper));
    let upper = Rect::new(rect.x, rect.y, rect.width, rect.height * 0.42);
    knife(canvas, upper, towards);
    let lower = Rect::new(rect.x + 4.0, rect.y + rect.height * 0.42, rect.width - 8.0, rect.height * 0.54);
    cartridge(canvas, lower, device);
}

/// Two lugs with their screws.
fn lugs(canvas: &mut Canvas<'_>, rect: Rect) {
    let radius = (rect.height * 0.22).min(rect.width * 0.16).min(16.0);
    let centre = rect.centre();
    for side in [-1.0, 1.0] {
        let x = centre.x + side * radius * 1.6;
        canvas.circle(x, centre.y, radius, Some(Stroke::INK), Some(Paint::Tint));
        let slot = radius * 0.6;
        canvas.line(&[(x - slot, centre.y + slot), (x + slot, centre.y - slot)], Stroke::INK);
    }
}

/// Draws a main: wider, with its rating in large type.
pub(super) fn draw_main(canvas: &mut Canvas<'_>, rect: Rect, device: &Device) {
    match device.kind.get() {
        Some(DeviceKind::Breaker | DeviceKind::TandemBreaker) => {
            canvas.rect(rect, CORNER, Some(Stroke::INK), Some(Paint::Paper));
            let half = rect.width / 2.0;
            rating(
                canvas,
                Rect::new(rect.x, rect.y, half, rect.height).inset(4.0),
                device,
                size_for(rect.height),
            );
            let lever = Rect::new(rect.x + half, rect.y, half - 14.0, rect.height);
            levers(canvas, lever, device.poles.get().map_or(1, usize::from));
        }
        _ => draw(canvas, rect, device, 1, Towards::Right),
    }
}
