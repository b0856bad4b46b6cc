//! Every page whole: each control named, large enough, inside the window.

use i_slint_backend_testing::AccessibleRole;

use super::hand::{Hand, SIZES, settle};
use crate::Place;

/// Only what is in sight is found, so the windows are made tall enough for whole pages.
const WHOLE_PAGE: f32 = 3600.0;

const CONTROLS: [AccessibleRole; 3] = [AccessibleRole::Button, AccessibleRole::Tab, AccessibleRole::ListItem];

#[test]
fn every_control_is_named_large_enough_and_inside_the_window() {
    for (width, _) in SIZES {
        for text_scale in [1.0, 1.5] {
            let hand = Hand::on_demo((width, WHOLE_PAGE), text_scale);
            for place in Place::ALL {
                hand.go_to(place);
                check_page(&hand, 11, width, &format!("{place:?} {width} {text_scale}"));
                hand.app.open(0);
                settle();
                check_page(&hand, 11, width, &format!("{place:?} open {width} {text_scale}"));
            }
        }
    }
}

#[test]
fn every_sheet_and_page_is_named_large_enough_and_inside_the_window() {
    for (width, _) in SIZES {
        for text_scale in [1.0, 1.5] {
            let hand = Hand::on_demo((width, WHOLE_PAGE), text_scale);
            for (item, field) in [
                ("P1.01", "device.rating"),
                ("P1.01", "device.kind"),
                ("R002", "size"),
                ("site", "name"),
                ("R002", "to"),
            ] {
                hand.app.open_item(item);
                hand.app.open_field(field);
                settle();
                check_page(&hand, 13, width, &format!("sheet {field} {width} {text_scale}"));
                hand.app.close_page();
            }
            hand.app.open_sizing_page();
            settle();
            check_page(&hand, 30, width, &format!("sizing {width} {text_scale}"));
            hand.app.open_surveys_page();
            settle();
            check_page(&hand, 13, width, &format!("surveys {width} {text_scale}"));
            hand.app.open_display_page();
            settle();
            check_page(&hand, 17, width, &format!("display {width} {text_scale}"));
        }
    }
}

/// At least this many controls, each with a name and 48 px high and wide; nothing ends outside.
fn check_page(hand: &Hand, least: usize, width: f32, page: &str) {
    let shown = hand.by_roles(&[&CONTROLS[..], &[AccessibleRole::Text]].concat());
    let mut controls = 0;
    for element in shown {
        let label = element.accessible_label().unwrap_or_default();
        let size = element.size();
        let right = element.absolute_position().x + size.width;
        let is_drawn = is_in_drawing(&element);
        assert!(is_drawn || right <= width + 0.5, "{page}: {label} ends at {right}");
        if element.accessible_role() == Some(AccessibleRole::Text) {
            continue;
        }
        controls += 1;
        assert!(!label.is_empty(), "{page}: a control has no name");
        // A drawing is made larger by the finger; each of its spots has 48 units of the drawing.
        if is_drawn {
            continue;
        }
        let least = 48.0;
        assert!(
            size.width >= least && size.height >= least,
            "{page}: {label} is {} x {}",
            size.width,
            size.height
        );
    }
    assert!(controls >= least, "{page}: {controls} controls");
}

/// A drawing too wide for its pane moves sideways under the finger.
fn is_in_drawing(element: &i_slint_backend_testing::ElementHandle) -> bool {
    element.id().is_some_and(|id| id.contains("drawn-spot"))
}
