//! The PDF of a survey: what was seen, what falls short, what cannot be told, and how each figure
//! came about, for the licensed electrician who will do the work.
//!
//! Survey and assessment in, blocks for [`crate::paper`] out. No clock and no file in here: the
//! time of making is given. It is told in the language that the thread speaks
//! ([`deadfront_rules::words`]), in which the assessment has to be made too.

mod appendix;
mod cable;
mod capacity;
mod causes;
mod changes;
mod compared;
mod cover;
mod drops;
mod findings;
mod glossary;
mod grounding;
mod handover;
mod isolation;
mod meets;
mod one_line;
mod open_questions;
mod photos;
mod pictures;
mod qr;
mod readings;
mod runs;
mod scene;
mod schedules;
mod shared;
#[cfg(test)]
mod tests;
mod words;
mod work_list;

use chrono::{DateTime, FixedOffset};
use deadfront_rules::Assessment;
use deadfront_rules::finding::{Finding, Verdict};
use deadfront_rules::house::House;
use deadfront_rules::say;
use deadfront_rules::survey::Survey;
use deadfront_rules::words::word;

use crate::file;
use crate::paper::{self, Attachment, Block, Document, Extras, Meta, PaperError, Running, Sheet, Written};
use crate::sign::{self, ATTACHED, fingerprint};

pub use pictures::{Pictures, Shot, is_content_name, is_name_of};

/// The program that makes the PDF, as the PDF names it.
pub const CREATOR: &str = concat!("Deadfront ", env!("CARGO_PKG_VERSION"));

/// What a report is made of.
#[derive(Debug, Clone, Copy)]
pub struct Report<'a> {
    /// The survey.
    pub survey: &'a Survey,
    /// What the checks say of it.
    pub assessment: &'a Assessment,
    /// When the report is made.
    pub made: DateTime<FixedOffset>,
    /// Its paper.
    pub sheet: Sheet,
    /// The pictures of its photos.
    pub pictures: &'a Pictures,
}

/// Anchors of the parts to which the cover leads.
const WORK_LIST: &str = "work-list";
const OPEN_QUESTIONS: &str = "open-questions";
const ACCEPTANCE: &str = "acceptance";

/// A finding with its number in the report.
#[derive(Debug, Clone, Copy)]
struct Numbered<'a> {
    number: usize,
    finding: &'a Finding,
}

impl Numbered<'_> {
    /// The anchor of its derivation.
    fn derivation_anchor(&self) -> String {
        format!("d{}", self.number)
    }

    /// The anchor of its line among the findings.
    fn anchor(&self) -> String {
        format!("f{}", self.number)
    }
}

impl Report<'_> {
    /// The report as a document, not yet laid out.
    #[must_use]
    pub fn document(&self) -> Document {
        let numbered = self.numbered();
        let causes = causes::Causes::of(&numbered);
        let cover = cover::cover(self, &numbered, &causes);
        Document {
            sheet: self.sheet,
            running: self.running(),
            blocks: self.blocks(&numbered, &causes, paper::headings(&cover.blocks) + 1),
            cover: Some(cover),
        }
    }

    /// The report as a PDF. The same survey and time give the same bytes.
    ///
    /// # Errors
    /// When the document cannot be laid out or written; the message says why.
    pub fn pdf(&self) -> Result<Written, PaperError> {
        let laid = paper::lay_out(&self.document())?;
        paper::write_with(&laid, &self.meta(), &self.extras())
    }

    /// The survey, so that one file carries all, and what [`sign::verify_pdf`] needs to make it again.
    fn extras(&self) -> Extras {
        let sheet = match self.sheet {
            Sheet::A4 => "a4",
            Sheet::Letter => "letter",
        };
        Extras {
            entries: vec![
                (sign::FINGERPRINT_ENTRY, fingerprint(self.survey)),
                (sign::REVISION_ENTRY, self.survey.revision.to_string()),
                (sign::SHEET_ENTRY, sheet.to_owned()),
                (sign::MADE_ENTRY, self.made.to_rfc3339()),
                (sign::LANGUAGE_ENTRY, deadfront_rules::words::spoken().code().to_owned()),
                (sign::PHOTOS_ENTRY, self.pictures.entry(self.survey)),
            ],
            attachments: vec![Attachment {
                name: ATTACHED.to_owned(),
                media: "application/json",
                about: word("The survey that this paper was made from").to_owned(),
                bytes: file::to_json(self.survey).into_bytes(),
            }],
        }
    }

    fn running(&self) -> Running {
        Running {
            house: self.survey.site.name.clone(),
            revision: handover::revision_words(self.survey),
            fingerprint: say!("Fingerprint {}", sign::short(&fingerprint(self.survey)).to_string())
                .to_string(),
            page_pattern: word("Page {page} of {pages}").to_owned(),
        }
    }

    fn meta(&self) -> Meta {
        let site = &self.survey.site;
        let author = if site.surveyor.is_empty() { "surveyor not named" } else { &site.surveyor };
        Meta {
            title: say!("Survey of {}", &site.name).to_string(),
            author: author.to_owned(),
            subject: say!("Electrical survey, fingerprint {}", fingerprint(self.survey).to_string())
                .to_string(),
            creator: CREATOR.to_owned(),
            language: deadfront_rules::words::spoken().tag().to_owned(),
            created: self.made,
            modified: self.made,
        }
    }

    /// First what the reader with ten minutes needs and what is signed, then the records, then how the figures
    /// came about.
    fn blocks(&self, numbered: &[Numbered<'_>], causes: &causes::Causes<'_>, from: usize) -> Vec<Block> {
        let contents = paper::BlockKind::Contents { deepest: 2, from };
        let mut blocks = vec![Block::heading(1, "Contents"), Block::new(contents)];
        let house = House::new(self.survey);
        let isolation = isolation::Isolation::of(&house);
        blocks.extend(changes::section(self.survey));
        blocks.extend(findings::falls_short(&house, numbered, &isolation, causes));
        blocks.extend(handover::answers(self.survey, self.assessment, numbered));
        blocks.extend(work_list::section(&house, numbered));
        blocks.extend(open_questions::section(self.survey, self.assessment));
        blocks.extend(appendix::cautions());
        blocks.extend(handover::acceptance(self.survey));
        blocks.extend(one_line::section(self));
        blocks.extend(schedules::section(self));
        blocks.extend(runs::section(&house));
        blocks.extend(drops::section(&house));
        blocks.extend(schedules::loads(self.survey));
        blocks.extend(capacity::section(self.survey));
        blocks.extend(isolation.section(numbered));
        blocks.extend(grounding::section(&house, &isolation, numbered));
        blocks.extend(meets::meets(self.assessment));
        blocks.extend(readings::section(self.survey));
        blocks.extend(photos::section(self.survey, self.pictures));
        blocks.extend(schedules::notes(self.survey));
        blocks.extend(cable::section(&house));
        blocks.extend(appendix::from_memory(self.assessment));
        blocks.extend(glossary::section(&blocks));
        // Tens of pages that are looked up, not read: nothing that is read or signed stands behind them.
        blocks.extend(appendix::derivations(numbered));
        blocks
    }

    /// What falls short, numbered in the order in which it is told.
    fn numbered(&self) -> Vec<Numbered<'_>> {
        let short = self.assessment.findings.iter().filter(|finding| finding.verdict == Verdict::FallsShort);
        let mut grouped: Vec<&Finding> = short.collect();
        // Findings of one check stand together; the assessment has sorted them by severity.
        grouped.sort_by_key(|finding| (finding.severity, place_of(finding.check)));
        grouped.into_iter().enumerate().map(|(at, finding)| Numbered { number: at + 1, finding }).collect()
    }
}

/// A check's place in the registry.
fn place_of(check: &str) -> usize {
    deadfront_rules::checks::registry().position(|info| info.name == check).unwrap_or(usize::MAX)
}
