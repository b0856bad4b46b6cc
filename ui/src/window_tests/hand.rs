//! A hand on the window: it taps, presses keys, and looks for what is in sight.

use std::cell::RefCell;
use std::collections::HashSet;
use std::ops::ControlFlow;
use std::rc::Rc;
use std::sync::Arc;

use deadfront_rules::assess;
use deadfront_rules::edit::Edit;
use deadfront_rules::survey::{Answer, Survey};
use deadfront_rules::words::{Language, speak_from_now};
use i_slint_backend_testing::{AccessibleRole, ElementHandle, ElementQuery};
use slint::platform::{PointerEventButton, WindowEvent};
use slint::{ComponentHandle as _, SharedString};

use crate::generated::Navigation;
use crate::{AppWindow, Intent, Place, Standing};

#[path = "../../examples/sample/mod.rs"]
pub(super) mod sample;

/// A field of each kind of entry, with its item.
pub(super) const SHEETS: [(&str, &str); 5] = [
    ("P1.01", "device.rating"),
    ("P1.01", "device.kind"),
    ("R002", "size"),
    ("site", "name"),
    ("R002", "to"),
];

/// The sizes that must be usable [logical px], each at the smallest and largest text.
pub(super) const SIZES: [(f32, f32); 4] = [(1280.0, 800.0), (1024.0, 600.0), (800.0, 1280.0), (600.0, 960.0)];
pub(super) const WIDE: (f32, f32) = SIZES[0];
pub(super) const TALL: (f32, f32) = SIZES[2];

/// A window over a survey that lives in memory, with undo and redo.
pub(super) struct Hand {
    pub(super) app: AppWindow,
    pub(super) kept: Rc<RefCell<Kept>>,
}

/// What the rest of the program would keep.
pub(super) struct Kept {
    pub(super) survey: Survey,
    done: Vec<Edit>,
    undone: Vec<Edit>,
    pub(super) others: Vec<Intent>,
    /// Whether the checks take long: an edit is shown before they are done.
    pub(super) slow: bool,
}

impl Hand {
    pub(super) fn on(survey: Survey, (width, height): (f32, f32), text_scale: f32) -> Self {
        begin();
        let app = AppWindow::new().unwrap();
        app.set_text_scale(text_scale);
        let kept = Kept { survey, done: Vec::new(), undone: Vec::new(), others: Vec::new(), slow: false };
        let this = Self { app, kept: Rc::new(RefCell::new(kept)) };
        this.listen();
        let survey = Arc::new(this.kept.borrow().survey.clone());
        this.app.show(Arc::clone(&survey), Arc::new(assess(&survey)));
        let editable = survey.frozen_by().is_none();
        this.app.set_standing(&Standing { editable, ..Standing::default() });
        this.app.window.show().unwrap();
        this.app.set_size(width, height);
        this.go_to(Place::Site);
        this
    }

    pub(super) fn on_demo(size: (f32, f32), text_scale: f32) -> Self {
        Self::on((*sample::house().0).clone(), size, text_scale)
    }

    /// The demo house in a language; a test has a thread of its own, so it speaks that from now on.
    pub(super) fn on_demo_in(size: (f32, f32), text_scale: f32, language: Language) -> Self {
        speak_from_now(language);
        Self::on_demo(size, text_scale)
    }

    fn listen(&self) {
        let (kept, window, desk) = (Rc::clone(&self.kept), self.app.window.as_weak(), self.app.desk());
        self.app.on_intent(move |intent| {
            let mut kept = kept.borrow_mut();
            match intent {
                Intent::Edit(edit) => {
                    edit.apply(&mut kept.survey).unwrap();
                    kept.done.push(*edit);
                    kept.undone.clear();
                }
                Intent::Undo => {
                    let Some(edit) = kept.done.pop() else { return };
                    edit.inverse().apply(&mut kept.survey).unwrap();
                    kept.undone.push(edit);
                }
                Intent::Redo => {
                    let Some(edit) = kept.undone.pop() else { return };
                    edit.apply(&mut kept.survey).unwrap();
                    kept.done.push(edit);
                }
                other => {
                    answered(&mut kept.survey, &other);
                    kept.others.push(other);
                }
            }
            assert!(window.upgrade().is_some());
            let survey = Arc::new(kept.survey.clone());
            let name =
                |edit: Option<&Edit>| edit.map_or_else(String::new, |edit| edit.described().to_string());
            let standing = Standing {
                editable: kept.survey.frozen_by().is_none(),
                undo: name(kept.done.last()),
                redo: name(kept.undone.last()),
                banner: String::new(),
                nothing_open: false,
            };
            let slow = kept.slow;
            drop(kept);
            desk.stand(&standing);
            if slow {
                desk.show_unchecked(survey);
                return;
            }
            desk.show(Arc::clone(&survey), Arc::new(assess(&survey)), None, true);
        });
    }

    /// Checks that took long are in.
    pub(super) fn checks_are_in(&self) {
        let survey = Arc::new(self.kept.borrow().survey.clone());
        let assessment = Arc::new(assess(&survey));
        let walk = Arc::new(deadfront_rules::walk::walk(&survey, &assessment));
        self.app.show_checked(survey, assessment, walk);
        settle();
    }

    pub(super) fn go_to(&self, place: Place) {
        self.app.go_to(place);
        settle();
    }

    pub(super) fn place(&self) -> Place {
        self.navigation(|navigation| navigation.get_place()).into()
    }

    pub(super) fn navigation<T>(&self, read: impl FnOnce(&Navigation<'_>) -> T) -> T {
        read(&self.app.window.global::<Navigation>())
    }

    pub(super) fn detail_is_open(&self) -> bool {
        self.navigation(|navigation| navigation.get_detail_open())
    }

    /// The elements in sight that have one of these roles. A query names an element once for each
    /// component it is inlined into, so doubles are left out.
    pub(super) fn by_roles(&self, roles: &[AccessibleRole]) -> Vec<ElementHandle> {
        let roles = roles.to_vec();
        let mut seen = HashSet::new();
        ElementQuery::from_root(&self.app.window)
            .match_descendants()
            .match_predicate(move |element| {
                element.accessible_role().is_some_and(|role| roles.contains(&role))
            })
            .find_all()
            .into_iter()
            .filter(|element| {
                let position = element.absolute_position();
                let label = element.accessible_label();
                seen.insert((label, position.x.to_bits(), position.y.to_bits()))
            })
            .collect()
    }

    pub(super) fn find(&self, role: AccessibleRole, label: &str) -> Option<ElementHandle> {
        let all = self.by_roles(&[role]).into_iter();
        all.into_iter().find(|element| element.accessible_label().as_deref() == Some(label))
    }

    pub(super) fn with_label(&self, role: AccessibleRole, label: &str) -> ElementHandle {
        self.find(role, label).unwrap_or_else(|| {
            let labels: Vec<_> =
                self.by_roles(&[role]).iter().filter_map(ElementHandle::accessible_label).collect();
            panic!("no {role:?} is called {label}; there are {labels:?}")
        })
    }

    /// Taps the button of this name.
    pub(super) fn tap(&self, label: &str) {
        tap(&self.with_label(AccessibleRole::Button, label));
    }

    /// A click where there is no control.
    pub(super) fn tap_at(&self, x: f32, y: f32) {
        let position = slint::LogicalPosition::new(x, y);
        let button = PointerEventButton::Left;
        let window = self.app.window.window();
        window.dispatch_event(WindowEvent::PointerMoved { position });
        window.dispatch_event(WindowEvent::PointerPressed { position, button });
        window.dispatch_event(WindowEvent::PointerReleased { position, button });
        settle();
    }

    /// Writes into the line of this name.
    pub(super) fn write(&self, label: &str, text: &str) {
        tap(&self.with_label(AccessibleRole::TextInput, label));
        text.chars().for_each(|letter| self.press(letter));
    }

    /// Whether a text in sight holds these words.
    pub(super) fn reads(&self, words: &str) -> bool {
        let texts = self.by_roles(&[AccessibleRole::Text]);
        texts.iter().any(|text| text.accessible_label().unwrap_or_default().contains(words))
    }

    pub(super) fn tap_row(&self, label: &str) {
        tap(&self.with_label(AccessibleRole::ListItem, label));
    }

    /// Types on the pad.
    pub(super) fn type_on_pad(&self, keys: &str) {
        for key in keys.chars() {
            self.tap(&key.to_string());
        }
    }

    pub(super) fn press(&self, key: impl Into<SharedString>) {
        let text = key.into();
        let window = self.app.window.window();
        window.dispatch_event(WindowEvent::KeyPressed { text: text.clone() });
        window.dispatch_event(WindowEvent::KeyReleased { text });
        settle();
    }

    /// The label of what Tab reaches, step by step, until `wanted` is reached.
    pub(super) fn tab_to(&self, wanted: &str) {
        for _ in 0..120 {
            self.press(slint::platform::Key::Tab);
            if self.focused().as_deref() == Some(wanted) {
                return;
            }
        }
        panic!("Tab never reaches {wanted}");
    }

    /// The label of the control whose focus ring is drawn.
    pub(super) fn focused(&self) -> Option<String> {
        let mut label = None;
        let surfaces = ElementQuery::from_root(&self.app.window)
            .match_descendants()
            .match_inherits("TouchSurface")
            .find_all();
        for surface in surfaces {
            surface.visit_descendants(|inner| {
                if inner.id().as_deref() == Some("TouchSurface::focus-ring") {
                    label = surface.accessible_label().map(Into::into);
                    return ControlFlow::Break(());
                }
                ControlFlow::<()>::Continue(())
            });
        }
        label
    }
}

/// Keeps and takes back answers, as the rest of the program would.
fn answered(survey: &mut Survey, intent: &Intent) {
    match intent {
        Intent::Answer { check, item, answer, reason, by } => {
            survey.answers.retain(|other| other.check != *check || other.item != *item);
            survey.answers.push(Answer {
                check: check.clone(),
                item: item.clone(),
                answer: *answer,
                reason: reason.clone(),
                by: by.clone(),
                when: "2026-05-01T10:00:00Z".parse().unwrap(),
            });
        }
        Intent::Withdraw { check, item } => {
            survey.answers.retain(|other| other.check != *check || other.item != *item);
        }
        _ => {}
    }
}

/// Each test has a thread and a platform of its own.
fn begin() {
    thread_local!(static BEGUN: std::cell::Cell<bool> = const { std::cell::Cell::new(false) });
    if !BEGUN.replace(true) {
        i_slint_backend_testing::init_no_event_loop();
    }
}

/// Lets deferred property changes happen.
pub(super) fn settle() {
    i_slint_backend_testing::mock_elapsed_time(std::time::Duration::from_millis(20));
    slint::platform::update_timers_and_animations();
}

pub(super) fn tap(element: &ElementHandle) {
    element.mock_single_click(PointerEventButton::Left);
    settle();
}

/// A drawing too wide for its pane moves sideways under the finger.
pub(super) fn is_in_drawing(element: &ElementHandle) -> bool {
    element.id().is_some_and(|id| id.contains("drawn-spot"))
}
