//! Whether a file may be written over: what somebody signed or entered is no place for something that can be
//! made again.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::survey::Survey;

use super::{begins_as_pdf, open};

/// How an archive begins, one that holds nothing included.
const ARCHIVES: [[u8; 4]; 2] = [*b"PK\x03\x04", *b"PK\x05\x06"];

/// Why no PDF of this survey may be written over what lies there; `None` where it may.
pub(crate) fn spared_from_pdf(path: &Path, survey: &Survey) -> Option<Said> {
    if is_new_or_empty(path) {
        return None;
    }
    let name = path.display().to_string();
    if !begins_as_pdf(path) {
        return Some(say!("{} is no PDF and was left as it is; name another file for the PDF", name));
    }
    match open(path) {
        Err(_) => Some(say!(
            "{} is a PDF of something else and was left as it is; name another file for the PDF",
            name
        )),
        Ok(carried) if !carried.signatures.is_empty() && carried != *survey => Some(say!(
            "{} carries a signed survey and was left as it is; name another file for the PDF",
            name
        )),
        Ok(_) => None,
    }
}

/// Why no archive may be written over what lies there; `None` where it may.
pub(crate) fn spared_from_archive(path: &Path) -> Option<Said> {
    let mut start = [0; 4];
    let read = File::open(path).and_then(|mut file| file.read_exact(&mut start)).is_ok();
    let is_archive = read && ARCHIVES.contains(&start);
    let name = path.display().to_string();
    (!is_new_or_empty(path) && !is_archive)
        .then(|| say!("{} is no archive and was left as it is; name another file for the archive", name))
}

/// A device such as a pipe holds nothing that could be lost, and is written to as it is.
fn is_new_or_empty(path: &Path) -> bool {
    std::fs::metadata(path).is_ok_and(|about| !about.is_file() || about.len() == 0) || !path.exists()
}

#[cfg(test)]
mod tests {
    use deadfront_rules::survey::Role;

    use super::*;
    use crate::file::read_survey;
    use crate::sign::{Signer, sign};

    fn demo() -> Survey {
        read_survey(crate::demo::DEMO.as_bytes()).unwrap()
    }

    fn pdf(survey: &Survey) -> Vec<u8> {
        let assessment = deadfront_rules::assess(survey);
        let report = crate::report::Report {
            survey,
            assessment: &assessment,
            made: chrono::DateTime::parse_from_rfc3339("2026-11-25T10:00:00-05:00").unwrap(),
            sheet: crate::paper::Sheet::Letter,
            pictures: crate::report::Pictures::NONE,
        };
        report.pdf().unwrap().bytes
    }

    #[test]
    fn a_signed_paper_and_what_is_no_pdf_are_left() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str, bytes: &[u8]| {
            let path = folder.path().join(name);
            std::fs::write(&path, bytes).unwrap();
            path
        };
        let open = demo();
        let mut signed = demo();
        let signer = Signer {
            name: "S. Example (invented)".to_owned(),
            role: Role::Surveyor,
            licence: String::new(),
            when: chrono::DateTime::parse_from_rfc3339("2026-11-25T10:00:00-05:00").unwrap(),
            ink: None,
        };
        sign(&mut signed, signer, None).unwrap();
        let told = |path: &Path, survey: &Survey| spared_from_pdf(path, survey).map(|why| why.to_string());
        assert_eq!(told(&folder.path().join("new.pdf"), &open), None);
        assert_eq!(told(&at("empty.pdf", b""), &open), None);
        assert_eq!(told(&at("open.pdf", &pdf(&open)), &open), None);
        assert!(told(&at("survey.json", crate::demo::DEMO.as_bytes()), &open).unwrap().contains("is no PDF"));
        assert!(told(&at("bill.pdf", b"%PDF-1.7 a bill"), &open).unwrap().contains("something else"));
        let paper = at("signed.pdf", &pdf(&signed));
        assert!(told(&paper, &open).unwrap().contains("signed"));
        assert_eq!(told(&paper, &signed), None);
        assert!(spared_from_archive(&paper).is_some());
        assert!(spared_from_archive(&at("old.zip", b"PK\x03\x04 and more")).is_none());
        assert!(spared_from_archive(&folder.path().join("new.zip")).is_none());
    }
}
