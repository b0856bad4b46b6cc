//! No text is cut: each is measured, in the letters of its role, against the box that it stands in.
//!
//! The test measures by itself, with the font that the window brings, and wraps as the window does. So a
//! box that is made too low or too narrow is found, though the window says nothing of it. Tried: with the
//! value of a field in a box that gives it no width (`Rectangle { height: 32px; FieldValue { .. } }` in
//! `field-row.slint`), with picks of two lines whatever stands in them (`root.tall` for `root.even` in
//! `flow.slint`) and with chips of one width in every language (`Measure.chip-narrowest` for `root.least` in
//! `count-chip.slint`) these tests fail and name the text.

use std::ops::ControlFlow;

use deadfront_rules::house::site_id;
use deadfront_rules::words::Language;
use i_slint_backend_testing::{AccessibleRole, ElementHandle, ElementRoot as _};
use slint::ComponentHandle as _;

use super::hand::{Hand, SHEETS, SIZES, settle};
use crate::generated::Letter;
use crate::{Deed, Folder, Place, SIGN};

/// Only what is in sight is found, so the windows are made tall enough for whole pages: the lines of a text
/// follow from the width of a window alone.
const WHOLE_PAGE: f32 = 3600.0;
/// Edges are rounded to whole pixels, and letters are set a little closer in some pairs [px].
const ROUNDED: f32 = 1.5;
/// Ascent and descent of the font [sizes].
const LINE: f32 = 1.362;

#[derive(Clone, Copy, Debug, PartialEq)]
enum Size {
    Body,
    Field,
    Title,
    Figure,
}

/// How a text is set. By the component that it is drawn with: its size, whether it is strong, whether it
/// stands in one line.
const ROLES: &[(&str, Size, bool, bool)] = &[
    ("Sign", Size::Body, true, true),
    ("FigureText", Size::Figure, true, true),
    ("HeadlineLine", Size::Title, true, true),
    ("TitleLine", Size::Title, false, true),
    ("FieldLine", Size::Field, true, true),
    // What may be chosen must have room while it is.
    ("ChoiceLine", Size::Body, true, true),
    ("ChoiceText", Size::Body, true, false),
    ("StrongLine", Size::Body, true, true),
    ("SoftLine", Size::Body, false, true),
    ("BodyLine", Size::Body, false, true),
    ("Headline", Size::Title, true, false),
    ("FieldTitle", Size::Field, true, false),
    ("FieldValue", Size::Field, false, false),
    ("Strong", Size::Body, true, false),
    ("Soft", Size::Body, false, false),
    ("Body", Size::Body, false, false),
];

/// Texts that may end in dots, and why.
const SHORTENED: &[(&str, &str)] = &[
    ("ShortSoft", "the house and where a question stands: told in full on the page that they name"),
    ("Question", "the next question in two lines: its sheet asks it in full, and its button leads there"),
    ("TypedText", "what is typed on the pad: figures, of which the person sees the first while typing"),
];

/// Texts that are measured elsewhere, and why.
const ELSEWHERE: &[(&str, &str)] =
    &[("Lettered", "letters of a drawing: `rules::drawing` measures each when it lays out the scene")];

struct Face(ttf_parser::Face<'static>);

impl Face {
    fn width(&self, text: &str, size: f32) -> f32 {
        let advance = |letter: char| {
            let glyph = self.0.glyph_index(letter).unwrap_or_default();
            f32::from(self.0.glyph_hor_advance(glyph).unwrap_or_default())
        };
        text.chars().map(advance).sum::<f32>() * size / f32::from(self.0.units_per_em())
    }

    /// Lines that the text takes in this width, and the widest part that cannot be broken.
    fn wrapped(&self, text: &str, size: f32, width: f32) -> (usize, f32) {
        let (mut lines, mut widest) = (0, 0.0_f32);
        for paragraph in text.split('\n') {
            lines += 1;
            let mut used = 0.0;
            for part in parts(paragraph) {
                let own = self.width(part.trim_end(), size);
                widest = widest.max(own);
                if used > 0.0 && used + own > width + ROUNDED {
                    lines += 1;
                    used = 0.0;
                }
                used += self.width(part, size);
            }
        }
        (lines, widest)
    }
}

/// What a line is never broken within: it is after a space, a dash or a slash, and between two parentheses.
fn parts(paragraph: &str) -> Vec<&str> {
    let (mut parts, mut from, mut last) = (Vec::new(), 0, ' ');
    for (at, letter) in paragraph.char_indices() {
        let after = matches!(last, ' ' | '-' | '–' | '—' | '/') && letter != ' ';
        if at > from && (after || (last == ')' && letter == '(')) {
            parts.push(&paragraph[from..at]);
            from = at;
        }
        last = letter;
    }
    parts.push(&paragraph[from..]);
    parts
}

struct Measuring {
    plain: Face,
    strong: Face,
    sizes: [f32; 4],
}

impl Measuring {
    fn of(hand: &Hand) -> Self {
        let face = |bytes| Face(ttf_parser::Face::parse(bytes, 0).unwrap());
        let letter = hand.app.window.global::<Letter>();
        let sizes = [letter.get_body(), letter.get_field(), letter.get_title(), letter.get_figure()];
        Self { plain: face(ttf_noto_sans::REGULAR), strong: face(ttf_noto_sans::BOLD), sizes }
    }

    /// What is wrong with a text in its box, if anything is.
    fn fault(
        &self,
        text: &str,
        role: (&str, Size, bool, bool),
        (width, height): (f32, f32),
    ) -> Option<String> {
        let (_, size, strong, one_line) = role;
        let face = if strong { &self.strong } else { &self.plain };
        let size = self.sizes[size as usize];
        let whole = face.width(text, size);
        let (lines, widest) = face.wrapped(text, size, width);
        let (lines, widest) = if one_line { (1, whole) } else { (lines, widest) };
        let tall = lines as f32 * size * LINE;
        if widest > width * 1.01 + ROUNDED {
            Some(format!("{widest:.0} px wide in {width:.0} px"))
        } else if tall > height + ROUNDED {
            Some(format!("{lines} lines of {tall:.0} px in {height:.0} px"))
        } else {
            None
        }
    }
}

/// The components that an element is, the outermost first.
fn chain(element: &ElementHandle) -> Vec<String> {
    let bases = element.bases().into_iter().flatten();
    element.type_name().into_iter().chain(bases).map(Into::into).collect()
}

/// A box in the window [px].
#[derive(Clone, Copy, Debug, PartialEq)]
struct Area {
    x: f32,
    y: f32,
    width: f32,
    height: f32,
}

impl Area {
    fn of(element: &ElementHandle) -> Self {
        let (at, size) = (element.absolute_position(), element.size());
        Self { x: at.x, y: at.y, width: size.width, height: size.height }
    }

    fn begins_in(&self, other: &Self) -> bool {
        let inside = |at: f32, from: f32, long: f32| (from - ROUNDED..from + long).contains(&at);
        inside(self.x, other.x, other.width) && inside(self.y, other.y, other.height)
    }
}

/// A text, and the control that it stands in: a screen reader hears its label in the text's place.
struct Seen {
    names: Vec<String>,
    label: Option<String>,
    area: Area,
    control: Option<(String, Area)>,
}

/// Every text in sight. A parent comes before what is in it, so the last control that a text begins in is
/// its own; a page scrolls under the bars at its foot, whose texts are in none of its controls.
fn texts(hand: &Hand) -> Vec<Seen> {
    let (mut texts, mut controls, mut strange): (Vec<Seen>, Vec<(String, Area)>, Option<Area>) =
        Default::default();
    hand.app.window.root_element().visit_descendants(|element| {
        let names = chain(&element);
        let has = |name: &str| names.iter().any(|one| one == name);
        if matches!(element.accessible_role(), Some(AccessibleRole::Region | AccessibleRole::TabList)) {
            controls.clear();
        }
        // The mark of the window toolkit brings its own texts.
        if has("AboutSlint") {
            strange = Some(Area::of(&element));
        } else if has("TouchSurface") {
            if let Some(label) = element.accessible_label() {
                controls.push((label.into(), Area::of(&element)));
            }
        } else if has("Text") {
            let area = Area::of(&element);
            if !strange.is_some_and(|strange| area.begins_in(&strange)) {
                let control = controls.iter().rev().find(|(_, of)| area.begins_in(of)).cloned();
                texts.push(Seen { label: element.accessible_label().map(Into::into), names, area, control });
            }
        }
        ControlFlow::<()>::Continue(())
    });
    texts
}

/// Looks at every text of a page; how many there were.
fn look(hand: &Hand, width: f32, page: &str, faults: &mut Vec<String>) -> usize {
    let measuring = Measuring::of(hand);
    let is_of = |text: &Seen, list: &[(&str, &str)]| {
        list.iter().any(|(role, _)| text.names.iter().any(|name| name == role))
    };
    let texts = texts(hand).into_iter().filter(|text| !is_of(text, ELSEWHERE));
    let mut count = 0;
    for text in texts {
        count += 1;
        let found = ROLES.iter().find(|(role, ..)| text.names.iter().any(|name| name == role));
        let Some(role) = found else {
            faults.push(format!("{page}: a text of no known role: {:?}", text.names));
            continue;
        };
        let outside = outside(&text, width);
        let words = text.label.as_ref().or(text.control.as_ref().map(|(label, _)| label));
        let is_free = role.0 == "Sign" || is_of(&text, SHORTENED);
        let fault = match words {
            _ if is_free => None,
            Some(words) => measuring.fault(words, *role, (text.area.width, text.area.height)),
            None => Some("said by nobody".to_owned()),
        };
        for fault in outside.into_iter().chain(fault) {
            faults.push(format!("{page}: {:?} ({}) is {fault}", words.map_or("", |words| words), role.0));
        }
    }
    count
}

/// What of a text lies outside the window or its control.
fn outside(text: &Seen, width: f32) -> Option<String> {
    let area = &text.area;
    if area.x < -ROUNDED || area.x + area.width > width + ROUNDED {
        return Some(format!("from {} to {} across", area.x, area.x + area.width));
    }
    let (_, control) = text.control.as_ref()?;
    let below = area.y + area.height - control.y - control.height;
    (below > ROUNDED).then(|| format!("{below} px below its control"))
}

/// Every place with what its first rows open to, a sheet of each kind, every page beside the places.
fn look_everywhere((width, _): (f32, f32), language: Language) {
    let mut faults = Vec::new();
    for scale in [1.0, 1.5] {
        let hand = Hand::on_demo_in((width, WHOLE_PAGE), scale, language);
        let name = |page: &str| format!("{page} {width} {scale} {language:?}");
        for place in Place::ALL {
            hand.go_to(place);
            let count = look(&hand, width, &name(&format!("{place:?}")), &mut faults);
            assert!(count > 10, "{place:?}: {count} texts");
            hand.app.open(1);
            settle();
            look(&hand, width, &name(&format!("{place:?} open")), &mut faults);
        }
        for (item, field) in SHEETS {
            hand.app.open_item(item);
            hand.app.open_field(field);
            settle();
            look(&hand, width, &name(&format!("sheet {field}")), &mut faults);
            hand.app.close_page();
        }
        hand.app.open_item("R002");
        settle();
        look(&hand, width, &name("readings"), &mut faults);
        offer_photos(&hand);
        look(&hand, width, &name("photos"), &mut faults);
        hand.app.close_page();
        hand.app.open_sizing_page();
        settle();
        look(&hand, width, &name("sizing"), &mut faults);
        hand.app.open_surveys_page();
        settle();
        look(&hand, width, &name("surveys"), &mut faults);
        hand.app.open_display_page();
        settle();
        look(&hand, width, &name("display"), &mut faults);
        hand.app.close_page();
        hand.go_to(Place::Handover);
        hand.app.set_handover(&[], &[Deed { key: SIGN, text: deadfront_rules::say!("Sign") }]);
        settle();
        look(&hand, width, &name("handover"), &mut faults);
        hand.tap(if language == Language::Spanish { "Firmar" } else { "Sign" });
        look(&hand, width, &name("signing"), &mut faults);
    }
    faults.sort();
    faults.dedup();
    assert!(faults.is_empty(), "{} texts are cut:\n{}", faults.len(), faults.join("\n"));
}

/// Names as a camera gives them: one long word each.
fn offer_photos(hand: &Hand) {
    let folders = ["Pictures", "/media/card/DCIM/100PICTS"];
    let folders =
        folders.map(|path| Folder { path: path.into(), name: path.into(), is_watched: path == "Pictures" });
    let pictures = (1..6).map(|at| (at.to_string(), format!("IMG_20261017_0940{at:02}.jpg")));
    hand.app.offer_photos(&site_id(), folders.to_vec(), pictures.collect());
    settle();
}

macro_rules! layouts {
    ($($name:ident: $size:expr, $language:ident;)*) => {
        $(#[test]
        fn $name() {
            look_everywhere(SIZES[$size], Language::$language);
        })*
    };
}

layouts! {
    nothing_is_cut_at_1280: 0, English;
    nothing_is_cut_at_1280_in_spanish: 0, Spanish;
    nothing_is_cut_at_1024: 1, English;
    nothing_is_cut_at_1024_in_spanish: 1, Spanish;
    nothing_is_cut_at_800: 2, English;
    nothing_is_cut_at_800_in_spanish: 2, Spanish;
    nothing_is_cut_at_600: 3, English;
    nothing_is_cut_at_600_in_spanish: 3, Spanish;
}

/// The measure itself: it wraps at the width, breaks at a hyphen, and finds a box that is too low, too
/// narrow for a word, or too narrow for what stands in one line.
#[test]
fn a_box_that_is_too_small_is_found() {
    let hand = Hand::on_demo((1280.0, 800.0), 1.0);
    let measuring = Measuring::of(&hand);
    let role = |name: &str| *ROLES.iter().find(|role| role.0 == name).unwrap();
    let text = "Leave the room dead before the cover comes off";
    let whole = measuring.plain.width(text, 18.0);
    assert!((300.0..600.0).contains(&whole), "{whole}");
    let fault =
        |role_name: &str, width: f32, height: f32| measuring.fault(text, role(role_name), (width, height));
    assert_eq!(fault("Body", whole + 1.0, 25.0), None);
    assert_eq!(fault("Body", whole * 0.6, 50.0), None);
    assert!(fault("Body", whole * 0.6, 25.0).unwrap().contains("2 lines"));
    assert!(fault("Body", whole + 1.0, 20.0).unwrap().contains("1 lines"));
    assert!(fault("BodyLine", whole * 0.6, 50.0).unwrap().contains("wide"));
    assert!(fault("Body", 20.0, 900.0).unwrap().contains("wide"));
    assert!(measuring.fault("Kitchen-and-hall", role("Body"), (90.0, 50.0)).is_none());
}

/// Sizes and weights are set in one file, so that the roles above are all there are.
#[test]
fn only_roles_set_the_size_of_a_text() {
    /// Lines that are written into, and drawings.
    const OTHERS: [&str; 4] = ["text.slint", "written-line.slint", "sheet-page.slint", "drawing.slint"];
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("ui");
    let mut files = 0;
    for part in ["", "widgets", "views"] {
        for file in std::fs::read_dir(folder.join(part)).unwrap() {
            let path = file.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if !name.ends_with(".slint") || OTHERS.contains(&name.as_str()) {
                continue;
            }
            files += 1;
            let source = std::fs::read_to_string(&path).unwrap();
            let sets = source.lines().find(|line| {
                let line = line.trim_start();
                ["font-size:", "font-weight:", "wrap:", "overflow:"].iter().any(|word| line.starts_with(word))
            });
            assert_eq!(sets, None, "{name}");
        }
    }
    assert!(files > 30, "{files}");
    let roles = hand_roles();
    for (role, ..) in ROLES {
        assert!(roles.contains(&(*role).to_owned()), "{role} is not in text.slint");
    }
}

/// The components of text.slint.
fn hand_roles() -> Vec<String> {
    let source = include_str!("../../ui/widgets/text.slint");
    let names = source.lines().filter_map(|line| line.strip_prefix("export component "));
    names.filter_map(|line| line.split(' ').next()).map(ToOwned::to_owned).collect()
}
