//! A survey that is being worked on: nothing entered is lost.
//!
//! # Where things stand
//! Beside the survey `house.json` lies the hidden folder `.house.json.deadfront` with
//! - `journal.jsonl`, one line for each edit, undo and redo of the session;
//! - `states/`, the last 20 saved states, compressed;
//! - `kept/`, journals that did not fit the survey;
//! - `lock`, held by the window that has the survey open.
//!
//! It lies beside the survey and not in the platform's data folder because it belongs to the
//! survey: a stick or a folder that is carried to another computer after a crash carries the last edits
//! along, and a second computer on a shared folder sees the lock. Where that folder cannot be
//! written, the journal goes to the platform's data folder instead; opening looks in both.
//!
//! # When what is written
//! An edit is acknowledged when its line is on the disk (one write and one fsync). The whole file
//! follows when nothing was entered for a second, at the latest five seconds after an edit, written by
//! a second thread. Writing it at each edit would cost two more fsyncs and the whole text each
//! time a value is touched, in the way of the finger, and would make no edit safer: the line is on the
//! disk already. `cargo run -p deadfront --example save_times` measures both.
//!
//! A line carries a checksum and the fingerprints of the survey before and after. A line that was torn when
//! the power went was never acknowledged and is dropped. The journal is removed when the
//! session ends and the file holds everything.

mod copy;
mod history;
mod job;
mod journal;
mod kept;
mod line;
mod lock;
mod name;
mod open;
mod out_of_pdf;
mod places;
mod recents;
mod replay;
mod saver;
mod session;
mod side;
mod signed;
mod state;
#[cfg(test)]
mod tests;
mod trouble;

pub use copy::copy_survey;
pub use history::Step;
pub use job::{Job, Poll};
pub use kept::KeptState;
pub use open::{NotOpened, Opened, earlier_states};
pub use places::Places;
pub use recents::{Recent, forget, opened_before, recents};
pub use saver::Pace;
pub use session::{Banner, Closed, Kept, Session};
pub(crate) use state::hexadecimal;
pub(crate) use trouble::why;
