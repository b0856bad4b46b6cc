//! The window. It shows what it is given: text, already formatted, and the verdict beside it.
//! It knows no file, no JSON and no rule of electricity.

mod adapters;
mod convert;
mod generated;
mod picture;
mod places;
mod view;
mod window;

pub use adapters::survey_view;
pub use picture::Picture;
pub use places::{Place, Theme};
pub use view::{FigureView, FindingView, ItemView, KeyValue, Mark, PanelView, StepView, SurveyView, WayView};
pub use window::{AppWindow, WindowError};

// The invented house of the examples serves the tests too, and names this crate from outside.
#[cfg(test)]
extern crate self as deadfront_ui;

#[cfg(test)]
mod contrast_tests;
#[cfg(test)]
mod window_tests;
