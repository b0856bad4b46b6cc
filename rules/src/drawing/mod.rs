//! The house as drawings, computed without a window: panel faces, the one-line, plots.
//!
//! A drawing is a [`Scene`] in plain numbers and roles. It holds no colour and no font: the window and
//! the paper choose those, and measure text through [`Letters`]. The same survey gives the same
//! scene.

mod about;
mod canvas;
#[cfg(test)]
mod checked;
mod face;
mod letters;
mod mark;
mod names;
mod one_line;
mod pages;
mod path;
mod plot;
mod scene;
mod words;

pub use about::{About, about};
pub use face::{panel_face, panel_face_on_paper};
pub use letters::Letters;
pub use mark::{Mark, Marks, marks};
pub use one_line::{
    Emphasis, OneLine, PartDrawn, Role, Symbol, one_line, one_line_in_parts, one_line_of_house,
    one_line_of_panel, one_line_overview, one_line_with_ids,
};
pub use pages::{Cut, cut, pages};
pub use path::{PathShape, Step};
pub use plot::{Bar, Level, Plot, Sample, Series, plot};
pub use scene::{
    Anchor, Dash, Hit, Paint, Place, Point, Rect, Scene, Shape, Stroke, TextShape, TextSize, Weight,
};
