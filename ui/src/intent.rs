//! What a person wants, as the window tells it to the rest of the program.

use deadfront_rules::edit::Edit;
use deadfront_rules::survey::{AnswerKind, Id, Role};
use deadfront_rules::words::Language;

use crate::Prices;

/// What a person wants. The window changes nothing itself: it shows what it is given next.
#[derive(Clone, Debug, PartialEq)]
pub enum Intent {
    /// An edit of the survey.
    Edit(Box<Edit>),
    /// The last edit taken back.
    Undo,
    /// The last edit that was taken back, done again.
    Redo,
    /// An empty survey begun.
    NewSurvey,
    /// A copy of the survey written.
    SaveCopy,
    /// A survey of the list opened, by its key.
    OpenSurvey(String),
    /// A folder looked into, or a survey opened that lies elsewhere, by the path that was tapped or typed; what is
    /// found is given with `set_browsed`.
    GoElsewhere(String),
    /// A reading taken at an item, with the time of now.
    AddReading(Id),
    /// Prices of cable kept, by the name of the cable.
    KeepPrices(Prices),
    /// Light, text size or language chosen; the survey is to be checked anew, since names of nameless
    /// things are made in the language that is spoken.
    KeepDisplay(DisplayChoice),
    /// A deed of the Handover place, by its key.
    Handover(String),
    /// A signature.
    Sign {
        /// Name, written out.
        name: String,
        /// As what.
        role: Role,
        /// Licence number of an electrician; may be empty.
        licence: String,
        /// Strokes of points, in heights of the pad from its upper left corner.
        strokes: Vec<Vec<(f32, f32)>>,
        /// Signed by the written name alone, without ink.
        typed: bool,
    },
    /// An answer to a finding of a signed revision.
    Answer {
        /// The check that found it.
        check: String,
        /// The item that it is about.
        item: Id,
        /// What is said.
        answer: AnswerKind,
        /// Why; may be empty.
        reason: String,
        /// Who says it.
        by: String,
    },
    /// An answer taken back.
    Withdraw {
        /// The check of the finding.
        check: String,
        /// The item that it is about.
        item: Id,
    },
    /// A photo wanted large: its picture is given with `show_large_picture`.
    ViewPhoto(Id),
    /// A photo wanted for an item: the pictures that can be had are offered with `offer_photos`.
    AttachPhoto(Id),
    /// A picture made a photo of an item; a folder is watched from now on instead.
    TakePhoto {
        /// The item.
        item: Id,
        /// Path of the picture or folder, as chosen or typed.
        path: String,
        /// The place where it was taken goes into its caption.
        with_place: bool,
    },
}

/// A folder in which pictures may lie.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Folder {
    /// Its path, as it is told back in [`Intent::TakePhoto`].
    pub path: String,
    /// What it is called.
    pub name: String,
    /// Its pictures are the ones that are offered.
    pub is_watched: bool,
}

/// How the window is shown.
#[derive(Clone, Debug, PartialEq)]
pub struct DisplayChoice {
    /// For the dark instead of daylight.
    pub dark: bool,
    /// Size of text, in percent of the standard one: 100 to 150.
    pub percent: u8,
    /// What it speaks.
    pub language: Language,
}

impl Default for DisplayChoice {
    fn default() -> Self {
        Self { dark: false, percent: 100, language: Language::English }
    }
}

/// A survey that can be opened.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Recent {
    /// Names it in [`Intent::OpenSurvey`].
    pub key: String,
    /// Name of the house.
    pub name: String,
    /// Where the file is, in words.
    pub place: String,
    /// The file is not there.
    pub missing: bool,
    /// It is the one that is open.
    pub current: bool,
}

/// A folder, or a file that may hold a survey.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Entry {
    /// Its path, as it is told back in [`Intent::GoElsewhere`].
    pub path: String,
    /// What it is called.
    pub name: String,
    /// It is a folder.
    pub is_folder: bool,
}

/// What a folder holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Browsed {
    /// Its path.
    pub folder: String,
    /// The path of the folder that holds it; empty where there is none.
    pub above: String,
    /// Where else to look.
    pub roots: Vec<Entry>,
    /// Folders and files in it.
    pub entries: Vec<Entry>,
    /// What is wrong with what was chosen or typed; empty where all is well.
    pub problem: String,
}

/// How things stand with the file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Standing {
    /// A lasting trouble; empty where all is well.
    pub banner: String,
    /// What undo would take back; empty where there is nothing.
    pub undo: String,
    /// What redo would do again; empty where there is nothing.
    pub redo: String,
    /// Whether the survey can be edited here.
    pub editable: bool,
    /// No survey is open.
    pub nothing_open: bool,
}
