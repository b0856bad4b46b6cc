//! The window by hand and by keyboard, without a display.

use std::collections::HashSet;
use std::ops::ControlFlow;

use i_slint_backend_testing::{AccessibleRole, ElementHandle, ElementQuery};
use slint::platform::{Key, PointerEventButton, WindowEvent};
use slint::{ComponentHandle as _, Model as _, SharedString};

use crate::generated::{FindingsAdapter, Mark, Navigation, Place as Shown};
use crate::{AppWindow, Place};

#[path = "../examples/sample/mod.rs"]
mod sample;

/// The sizes that must be usable [logical px], each at the smallest and largest text.
const SIZES: [(f32, f32); 4] = [(1280.0, 800.0), (1024.0, 600.0), (800.0, 1280.0), (600.0, 960.0)];
const WIDE: (f32, f32) = SIZES[0];
const TALL: (f32, f32) = SIZES[2];

fn open((width, height): (f32, f32), text_scale: f32) -> AppWindow {
    let app = AppWindow::new().unwrap();
    app.set_text_scale(text_scale);
    app.show(&sample::survey());
    app.window.show().unwrap();
    app.set_size(width, height);
    app.go_to(Place::Site);
    settle();
    app
}

/// Lets deferred property changes happen.
fn settle() {
    i_slint_backend_testing::mock_elapsed_time(std::time::Duration::from_millis(20));
    slint::platform::update_timers_and_animations();
}

fn place(app: &AppWindow) -> Shown {
    app.window.global::<Navigation>().get_place()
}

fn detail_is_open(app: &AppWindow) -> bool {
    app.window.global::<Navigation>().get_detail_open()
}

/// The elements in sight that have one of these roles. A query names an element once for each
/// component it is inlined into, so doubles are left out.
fn by_roles(app: &AppWindow, roles: &[AccessibleRole]) -> Vec<ElementHandle> {
    let roles = roles.to_vec();
    let mut seen = HashSet::new();
    ElementQuery::from_root(&app.window)
        .match_descendants()
        .match_predicate(move |element| element.accessible_role().is_some_and(|role| roles.contains(&role)))
        .find_all()
        .into_iter()
        .filter(|element| {
            let position = element.absolute_position();
            let label = element.accessible_label();
            seen.insert((label, position.x.to_bits(), position.y.to_bits()))
        })
        .collect()
}

fn by_role(app: &AppWindow, role: AccessibleRole) -> Vec<ElementHandle> {
    by_roles(app, &[role])
}

fn with_label(app: &AppWindow, role: AccessibleRole, label: &str) -> ElementHandle {
    by_role(app, role)
        .into_iter()
        .find(|element| element.accessible_label().as_deref() == Some(label))
        .unwrap_or_else(|| panic!("no {role:?} is called {label}"))
}

fn press(app: &AppWindow, key: impl Into<SharedString>) {
    let text = key.into();
    let window = app.window.window();
    window.dispatch_event(WindowEvent::KeyPressed { text: text.clone() });
    window.dispatch_event(WindowEvent::KeyReleased { text });
    settle();
}

fn tap(element: &ElementHandle) {
    element.mock_single_click(PointerEventButton::Left);
    settle();
}

/// The label of what Tab reaches, step by step, until `wanted` is reached.
fn tab_to(app: &AppWindow, wanted: &str) {
    for _ in 0..60 {
        press(app, Key::Tab);
        if focused(app).as_deref() == Some(wanted) {
            return;
        }
    }
    panic!("Tab never reaches {wanted}");
}

/// The label of the control whose focus ring is drawn.
fn focused(app: &AppWindow) -> Option<String> {
    let mut label = None;
    ElementQuery::from_root(&app.window)
        .match_descendants()
        .match_inherits("TouchSurface")
        .find_all()
        .into_iter()
        .for_each(|surface| {
            surface.visit_descendants(|inner| {
                if inner.id().as_deref() == Some("TouchSurface::focus-ring") {
                    label = surface.accessible_label().map(Into::into);
                    return ControlFlow::Break(());
                }
                ControlFlow::<()>::Continue(())
            });
        });
    label
}

const CONTROLS: [AccessibleRole; 3] = [AccessibleRole::Button, AccessibleRole::Tab, AccessibleRole::ListItem];

#[test]
fn every_place_is_reached_by_tapping_its_name() {
    i_slint_backend_testing::init_no_event_loop();
    for size in SIZES {
        let app = open(size, 1.0);
        assert_eq!(by_role(&app, AccessibleRole::Tab).len(), Place::ALL.len());
        for wanted in Place::ALL {
            tap(&with_label(&app, AccessibleRole::Tab, &format!("{wanted:?}")));
            assert_eq!(place(&app), Shown::from(wanted), "{size:?}");
        }
    }
}

#[test]
fn every_place_is_reached_by_keyboard_alone() {
    i_slint_backend_testing::init_no_event_loop();
    for size in [WIDE, TALL] {
        let app = open(size, 1.0);
        tab_to(&app, "Site");
        for wanted in &Place::ALL[1..] {
            press(&app, Key::DownArrow);
            assert_eq!(focused(&app), Some(format!("{wanted:?}")));
            press(&app, Key::Return);
            assert_eq!(place(&app), Shown::from(*wanted), "{size:?}");
        }
    }
}

#[test]
fn a_finding_opens_on_tap_and_closes_by_the_way_back() {
    i_slint_backend_testing::init_no_event_loop();
    let app = open(TALL, 1.0);
    app.go_to(Place::Findings);
    settle();
    let message = sample::survey().findings[1].message.clone();
    tap(&with_label(&app, AccessibleRole::ListItem, &message));
    assert!(detail_is_open(&app));
    assert_eq!(app.window.global::<FindingsAdapter>().get_selected(), 1);
    assert!(by_role(&app, AccessibleRole::ListItem).is_empty());
    tap(&with_label(&app, AccessibleRole::Button, "‹ Findings"));
    assert!(!detail_is_open(&app));
    assert!(!by_role(&app, AccessibleRole::ListItem).is_empty());
}

#[test]
fn a_finding_opens_on_enter_and_closes_on_escape() {
    i_slint_backend_testing::init_no_event_loop();
    for size in [WIDE, TALL] {
        let app = open(size, 1.0);
        app.go_to(Place::Findings);
        settle();
        let findings = sample::survey().findings;
        tab_to(&app, &findings[0].message);
        press(&app, Key::DownArrow);
        press(&app, Key::DownArrow);
        press(&app, Key::Return);
        assert!(detail_is_open(&app), "{size:?}");
        assert_eq!(app.window.global::<FindingsAdapter>().get_selected(), 2);
        if size == TALL {
            press(&app, Key::Escape);
            assert!(!detail_is_open(&app));
            // The row it came from has the focus again.
            assert_eq!(focused(&app).as_ref(), Some(&findings[2].message));
        }
    }
}

#[test]
fn a_way_leads_to_its_finding_and_back_to_its_panel() {
    i_slint_backend_testing::init_no_event_loop();
    let app = open(TALL, 1.0);
    app.go_to(Place::Panels);
    app.open(0);
    settle();
    tap(&with_label(&app, AccessibleRole::Button, "Way 5, Kitchen counter outlets"));
    assert_eq!(place(&app), Shown::Findings);
    assert_eq!(app.window.global::<FindingsAdapter>().get_selected(), 1);
    press(&app, Key::Escape);
    assert_eq!(place(&app), Shown::Panels);
    assert!(detail_is_open(&app));
}

#[test]
fn a_count_filters_and_a_second_tap_shows_what_asks_for_action() {
    i_slint_backend_testing::init_no_event_loop();
    for size in [WIDE, TALL] {
        let app = open(size, 1.0);
        app.go_to(Place::Findings);
        settle();
        let rows = || app.window.global::<FindingsAdapter>().get_rows().row_count();
        let asks = |mark| !matches!(mark, crate::Mark::Meets | crate::Mark::NotApplicable);
        let all = sample::survey().findings.iter().filter(|finding| asks(finding.mark)).count();
        assert_eq!(rows(), all);
        tap(&with_label(&app, AccessibleRole::Button, "2 CANNOT TELL"));
        assert_eq!(rows(), 2);
        assert_eq!(by_role(&app, AccessibleRole::ListItem).len(), 2);
        assert_eq!(app.window.global::<FindingsAdapter>().get_filter(), Mark::CannotTell);
        tap(&with_label(&app, AccessibleRole::Button, "2 CANNOT TELL"));
        assert_eq!(rows(), all);
    }
}

#[test]
fn an_unknown_finding_leads_nowhere() {
    i_slint_backend_testing::init_no_event_loop();
    let app = open(TALL, 1.0);
    app.open_finding("no such finding");
    assert_eq!(place(&app), Shown::Site);
    assert!(!detail_is_open(&app));
}

/// Only what is in sight is found, so the windows are made tall enough for whole pages.
const WHOLE_PAGE: f32 = 3600.0;

#[test]
fn every_control_is_named_large_enough_and_inside_the_window() {
    i_slint_backend_testing::init_no_event_loop();
    for (width, _) in SIZES {
        for text_scale in [1.0, 1.5] {
            let app = open((width, WHOLE_PAGE), text_scale);
            for place in Place::ALL {
                app.go_to(place);
                settle();
                check_page(&app, 7, width, &format!("{place:?} {width} {text_scale}"));
                app.open(0);
                settle();
                check_page(&app, 7, width, &format!("{place:?} open {width} {text_scale}"));
            }
            app.open_display_page();
            settle();
            check_page(&app, 13, width, &format!("display {width} {text_scale}"));
        }
    }
}

/// At least this many controls, each with a name and 48 px high and wide; nothing ends outside.
fn check_page(app: &AppWindow, least: usize, width: f32, page: &str) {
    let shown = by_roles(app, &[&CONTROLS[..], &[AccessibleRole::Text]].concat());
    let mut controls = 0;
    for element in shown {
        let label = element.accessible_label().unwrap_or_default();
        let size = element.size();
        let right = element.absolute_position().x + size.width;
        assert!(right <= width + 0.5, "{page}: {label} ends at {right}");
        if element.accessible_role() == Some(AccessibleRole::Text) {
            continue;
        }
        controls += 1;
        assert!(!label.is_empty(), "{page}: a control has no name");
        assert!(
            size.width >= 48.0 && size.height >= 48.0,
            "{page}: {label} is {} x {}",
            size.width,
            size.height
        );
    }
    assert!(controls >= least, "{page}: {controls} controls");
}

#[test]
fn an_empty_survey_says_what_belongs_in_each_place() {
    i_slint_backend_testing::init_no_event_loop();
    let app = open(TALL, 1.0);
    app.show(&crate::SurveyView::default());
    for place in Place::ALL {
        app.go_to(place);
        settle();
        let told = by_role(&app, AccessibleRole::Text).into_iter().any(|text| {
            let label = text.accessible_label().unwrap_or_default();
            label.contains("belong") || label.contains("Nothing has been checked yet")
        });
        assert!(told, "{place:?} is silent when empty");
    }
}

#[test]
fn text_scale_stays_in_its_range() {
    i_slint_backend_testing::init_no_event_loop();
    let app = open(TALL, 1.0);
    let scale = || app.window.global::<crate::generated::Setting>().get_text_scale();
    app.set_text_scale(9.0);
    assert_eq!(scale(), 1.5);
    app.set_text_scale(0.0);
    assert_eq!(scale(), 1.0);
    app.set_text_scale(f32::NAN);
    assert_eq!(scale(), 1.0);
}

#[test]
fn the_open_finding_is_brought_into_sight_in_its_list() {
    i_slint_backend_testing::init_no_event_loop();
    let app = open(WIDE, 1.0);
    let last = sample::survey().findings.pop().unwrap();
    app.open_finding(&last.id);
    settle();
    settle();
    let row = with_label(&app, AccessibleRole::ListItem, &last.message);
    let bottom = row.absolute_position().y + row.size().height;
    assert!(bottom <= WIDE.1, "its row ends at {bottom}");
}
