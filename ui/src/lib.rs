//! The window. It shows what it is given and tells what the person wants.
//! It knows no file, no JSON and no rule of electricity.

mod answering;
mod ask;
mod capacity;
mod desk;
mod detail;
mod display;
mod findings;
mod generated;
mod handover;
mod intent;
mod isolation;
mod licences;
mod lists;
mod mark;
mod models;
mod picture;
mod places;
mod readings;
mod rows;
mod scene;
mod sheet;
mod shown;
mod sizing;
mod trying;
mod viewer;
mod window;
mod words;

pub use handover::{Deed, SIGN, Told};
pub use intent::{Browsed, DisplayChoice, Entry, Folder, Intent, Recent, Standing};
pub use mark::Mark;
pub use picture::Picture;
pub use places::{Place, Theme};
pub use sizing::{Per, Price, Prices};
pub use window::{AppWindow, Runner, WindowError};

// The invented house of the examples serves the tests too, and names this crate from outside.
#[cfg(test)]
extern crate self as deadfront_ui;

#[cfg(test)]
mod contrast_tests;
#[cfg(test)]
mod window_tests;
