//! The Handover place: what stands on it comes from outside; the signature is drawn here.

use std::fmt::Write as _;

use deadfront_rules::finding::Said;
use deadfront_rules::survey::Role;
use slint::{ComponentHandle as _, SharedString};

use crate::Intent;
use crate::generated::{Action, DeadfrontWindow, Handover, Line, Part, Pick};
use crate::models::fixed;
use crate::words::{capital, label, tell};

/// Points of one signature at most: what a long name in a slow hand takes, many times over.
const MOST_POINTS: usize = 20_000;

/// A part of the page: a heading, sentences, lines of label and value.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Told {
    /// Its heading.
    pub title: String,
    /// Sentences.
    pub sentences: Vec<String>,
    /// Labels and values.
    pub lines: Vec<(String, String)>,
}

/// Something that can be done on the page; told again by [`Intent::Handover`].
#[derive(Clone, Debug, PartialEq)]
pub struct Deed {
    /// Its name in the intent.
    pub key: &'static str,
    /// The button.
    pub text: Said,
}

/// The key of the deed that opens the signature.
pub const SIGN: &str = "sign";

/// A signature in the making.
#[derive(Default)]
pub(crate) struct Pen {
    /// Strokes of points, in heights of the pad from its upper left corner.
    strokes: Vec<Vec<(f32, f32)>>,
    down: bool,
    role: Option<Role>,
}

impl Pen {
    pub(crate) fn down(&mut self, x: f32, y: f32) {
        if self.count() < MOST_POINTS {
            self.strokes.push(vec![(x, y)]);
            self.down = true;
        }
    }

    pub(crate) fn moved(&mut self, x: f32, y: f32) {
        let full = self.count() >= MOST_POINTS;
        if let Some(stroke) = self.strokes.last_mut().filter(|_| self.down && !full) {
            stroke.push((x, y));
        }
    }

    pub(crate) fn up(&mut self) {
        self.down = false;
    }

    pub(crate) fn wipe(&mut self) {
        self.strokes.clear();
        self.down = false;
    }

    pub(crate) fn choose(&mut self, key: &str) {
        self.role = Role::ALL.iter().copied().find(|role| role.file_word() == key);
    }

    /// As whom somebody signs; the surveyor, until another role is chosen.
    pub(crate) fn role(&self) -> Role {
        self.role.unwrap_or(Role::Surveyor)
    }

    fn count(&self) -> usize {
        self.strokes.iter().map(Vec::len).sum()
    }

    fn commands(&self) -> String {
        let mut commands = String::new();
        for stroke in &self.strokes {
            for (at, (x, y)) in stroke.iter().enumerate() {
                let _ = write!(commands, "{} {x:.4} {y:.4} ", if at == 0 { 'M' } else { 'L' });
            }
            // A dot is a stroke too.
            if let [(x, y)] = stroke.as_slice() {
                let _ = write!(commands, "L {:.4} {y:.4} ", x + 0.005);
            }
        }
        commands
    }

    /// The signature, as it is handed on.
    pub(crate) fn signed(&self, name: &str, licence: &str, typed: bool) -> Intent {
        Intent::Sign {
            name: name.trim().to_owned(),
            role: self.role(),
            licence: licence.trim().to_owned(),
            strokes: self.strokes.clone(),
            typed,
        }
    }
}

/// Shows the signature as it stands.
pub(crate) fn fill_pen(window: &DeadfrontWindow, pen: &Pen) {
    let page = window.global::<Handover>();
    page.set_ink(pen.commands().into());
    let chosen = pen.role();
    page.set_wants_licence(chosen == Role::Electrician);
    page.set_roles(fixed(Role::ALL.iter().map(|role| Pick {
        key: role.file_word().into(),
        text: label(role.words()),
        chosen: *role == chosen,
    })));
}

/// Shows what stands on the page.
pub(crate) fn fill(window: &DeadfrontWindow, told: &[Told], deeds: &[Deed]) {
    let page = window.global::<Handover>();
    page.set_parts(fixed(told.iter().map(|part| Part {
        title: part.title.as_str().into(),
        sentences: fixed(part.sentences.iter().map(SharedString::from)),
        lines: fixed(
            part.lines.iter().map(|(name, value)| Line { name: capital(name), value: value.into() }),
        ),
        ..Part::default()
    })));
    page.set_actions(fixed(deeds.iter().map(|deed| Action {
        key: deed.key.into(),
        text: tell(&deed.text),
        told: SharedString::new(),
        enabled: true,
    })));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ink_is_kept_as_strokes() {
        let mut pen = Pen::default();
        pen.moved(0.5, 0.5);
        assert!(pen.strokes.is_empty(), "nothing is drawn before the pen is down");
        pen.down(0.1, 0.2);
        pen.moved(0.2, 0.3);
        pen.up();
        pen.moved(0.9, 0.9);
        pen.down(1.0, 0.5);
        pen.up();
        assert_eq!(pen.strokes, [vec![(0.1, 0.2), (0.2, 0.3)], vec![(1.0, 0.5)]]);
        assert!(pen.commands().starts_with("M 0.1000 0.2000 L 0.2000 0.3000"));
        pen.choose("owner");
        let Intent::Sign { role, name, strokes, .. } = pen.signed(" A. Owner ", "", false) else {
            panic!("a signature")
        };
        assert_eq!((role, name.as_str(), strokes.len()), (Role::Owner, "A. Owner", 2));
        pen.wipe();
        assert!(pen.commands().is_empty());
    }

    #[test]
    fn a_hand_that_never_lifts_ends_somewhere() {
        let mut pen = Pen::default();
        pen.down(0.0, 0.0);
        (0..MOST_POINTS * 2).for_each(|_| pen.moved(0.5, 0.5));
        assert_eq!(pen.count(), MOST_POINTS);
    }
}
