//! The language in which texts are told.
//!
//! A text is kept as a template and its arguments ([`crate::finding::Said`]); fixed words are kept in
//! English, which is their key. Both are looked up when they are told, in the language that the
//! thread speaks: English, unless [`speak`] says otherwise. What a person wrote is never translated.
//!
//! Names of nameless things ("run from way 4 of Main") are made while a survey is assessed: speak
//! first, assess then.

mod catalogue;

use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::marker::PhantomData;

pub use catalogue::has;

/// A language of the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, PartialOrd, Ord)]
pub enum Language {
    /// As the texts stand in the source, in the spelling of the United States by `words/us.csv`.
    #[default]
    English,
    /// By the catalogue in `words/es`.
    Spanish,
}

impl Language {
    /// Every language.
    pub const ALL: &'static [Self] = &[Self::English, Self::Spanish];

    /// Its two letters (ISO 639-1).
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::Spanish => "es",
        }
    }

    /// Its tag (BCP 47), as a document names its language.
    #[must_use]
    pub fn tag(self) -> &'static str {
        match self {
            Self::English => "en-US",
            Self::Spanish => "es",
        }
    }

    /// Its own name for itself.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::Spanish => "Español",
        }
    }

    /// The language of these letters: `es`, `es-MX`, `es_US.UTF-8`; none where it is not known here.
    #[must_use]
    pub fn of_code(code: &str) -> Option<Self> {
        let letters = code.split(['-', '_', '.']).next().unwrap_or("").to_ascii_lowercase();
        Self::ALL.iter().copied().find(|language| language.code() == letters)
    }
}

thread_local! {
    static SPOKEN: Cell<Language> = const { Cell::new(Language::English) };
    /// Texts that were asked for and are not in the catalogue, while somebody asks for these.
    static MISSED: RefCell<Option<BTreeSet<String>>> = const { RefCell::new(None) };
}

/// While it lives, its thread speaks a language; then the one before.
#[derive(Debug)]
#[must_use = "the language is spoken only while this value lives"]
pub struct Spoken {
    before: Language,
    /// It belongs to the thread that it was made on.
    thread: PhantomData<*const ()>,
}

impl Drop for Spoken {
    fn drop(&mut self) {
        SPOKEN.set(self.before);
    }
}

/// Lets this thread speak `language` while the answer lives.
pub fn speak(language: Language) -> Spoken {
    Spoken { before: SPOKEN.replace(language), thread: PhantomData }
}

/// Lets this thread speak `language` until something else is chosen.
pub fn speak_from_now(language: Language) {
    SPOKEN.set(language);
}

/// The language that this thread speaks.
#[must_use]
pub fn spoken() -> Language {
    SPOKEN.get()
}

/// A fixed word or sentence of the program in the spoken language; as it stands where the
/// catalogue has none.
#[must_use]
pub fn word(english: &'static str) -> &'static str {
    told(english).unwrap_or(english)
}

/// A phrase that is made of a name of the program (`device larger than conductor`) in the spoken language.
#[must_use]
pub fn phrase(english: String) -> String {
    told(&english).map_or(english, str::to_owned)
}

/// A template in the spoken language, where that has other words or another spelling for it than the source.
pub(crate) fn told(english: &str) -> Option<&'static str> {
    match spoken() {
        Language::English => catalogue::us(english),
        Language::Spanish => {
            let spanish = catalogue::spanish(english);
            // A word that was told already is told once more where it stands inside another text.
            if spanish.is_none() && !catalogue::is_spanish(english) {
                miss(english);
            }
            spanish
        }
    }
}

/// A name of the program (a row of a table, a fact) that has no translation of its own, in the spelling of the
/// United States where English is spoken.
pub(crate) fn spelled(name: String) -> String {
    match spoken() {
        Language::English => catalogue::us(&name).map_or(name, str::to_owned),
        Language::Spanish => name,
    }
}

fn miss(english: &str) {
    MISSED.with_borrow_mut(|missed| {
        if let Some(missed) = missed {
            missed.insert(english.to_owned());
        }
    });
}

/// Does some work, and tells which texts were asked for meanwhile that the catalogue does not have.
pub fn missing_in<T>(work: impl FnOnce() -> T) -> (T, BTreeSet<String>) {
    let before = MISSED.replace(Some(BTreeSet::new()));
    let done = work();
    (done, MISSED.replace(before).unwrap_or_default())
}

/// The explanation of a check in the spoken language.
#[must_use]
pub fn explanation(check: &'static crate::checks::CheckInfo) -> &'static str {
    let page = match spoken() {
        Language::English => None,
        Language::Spanish => catalogue::spanish_page(check.name),
    };
    page.unwrap_or(check.explanation)
}

/// The part of a check's explanation that says why it matters, in one paragraph; empty where it has none.
#[must_use]
pub fn why(check: &'static crate::checks::CheckInfo) -> String {
    let heading = word("Why");
    let lines = explanation(check).lines().map(str::trim);
    let under = lines.skip_while(|line| line.strip_prefix("# ") != Some(heading)).skip(1);
    under.take_while(|line| !line.starts_with("# ")).collect::<Vec<_>>().join(" ").trim().to_owned()
}

#[cfg(test)]
mod tests;
