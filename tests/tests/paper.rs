//! The PDF: every finding and derivation can be read in it, other programs find no fault, all is
//! inside the margins.

use std::process::Command;

use chrono::DateTime;
use deadfront::file::read_survey;
use deadfront::paper::{Sheet, lay_out};
use deadfront::report::{Pictures, Report, Shot};
use deadfront_rules::assess;
use deadfront_rules::finding::{Finding, Verdict};
use deadfront_rules::house::House;
use deadfront_rules::isolation::overview;
use deadfront_rules::isolation::overview::APPROVAL;
use deadfront_rules::survey::Survey;
use deadfront_rules::words::word;
use image::codecs::jpeg::JpegEncoder;
use serde_json::json;
use tempfile::TempDir;

fn demo() -> Survey {
    read_survey(deadfront::demo::DEMO.as_bytes()).expect("the demo is a survey")
}

fn made() -> DateTime<chrono::FixedOffset> {
    DateTime::parse_from_rfc3339("2026-11-25T10:00:00-05:00").expect("a time")
}

fn pdf(survey: &Survey, sheet: Sheet) -> Vec<u8> {
    let assessment = assess(survey);
    let report = Report { survey, assessment: &assessment, made: made(), sheet, pictures: Pictures::NONE };
    report.pdf().expect("a PDF").bytes
}

/// The demo with 80 photos, each its own picture.
fn pdf_with_photos(sheet: Sheet) -> Vec<u8> {
    let mut survey = demo();
    for number in 0..80 {
        let photo = json!({ "id": format!("F{number}"), "of": "P1", "file": format!("{number}.jpg"), "caption": "open" });
        survey.photos.push(serde_json::from_value(photo).expect("a photo"));
    }
    let pictures = Pictures::of(&survey, |file| {
        let shade = file.trim_end_matches(".jpg").parse().expect("a number");
        let image = image::RgbImage::from_fn(60, 40, |x, y| image::Rgb([shade, x as u8 * 4, y as u8 * 6]));
        let mut bytes = Vec::new();
        image.write_with_encoder(JpegEncoder::new(&mut bytes)).expect("a JPEG");
        Shot::Whole(bytes.into())
    });
    let assessment = assess(&survey);
    let report =
        Report { survey: &survey, assessment: &assessment, made: made(), sheet, pictures: &pictures };
    report.pdf().expect("a PDF").bytes
}

/// Runs a program on the PDF, or says loudly that it is not here.
fn read_by(program: &str, arguments: &[&str], pdf: &[u8]) -> Option<String> {
    let folder = TempDir::new().expect("a folder");
    let file = folder.path().join("survey.pdf");
    std::fs::write(&file, pdf).expect("written");
    match Command::new(program).args(arguments).arg(&file).arg("-").output() {
        Ok(output) => Some(String::from_utf8_lossy(&output.stdout).into_owned()),
        Err(error) => {
            eprintln!("SKIPPED: {program} is not here ({error}); .ci/run installs it");
            None
        }
    }
}

/// Letters without any space: cells and lines wrap where they must.
fn squeezed(text: &str) -> String {
    text.chars().filter(|letter| !letter.is_whitespace()).collect()
}

/// The text of each page without its head and foot, squeezed.
fn pages(pdf: &[u8]) -> Option<Vec<String>> {
    let text = read_by("pdftotext", &["-raw"], pdf)?;
    let site = demo().site.name;
    let is_furniture = |line: &str| line.starts_with("Fingerprint ") || line.starts_with(&site);
    let page = |page: &str| {
        // Head and foot are written first.
        let own = page.lines().enumerate().filter(|(at, line)| *at > 1 || !is_furniture(line));
        let own: Vec<&str> = own.map(|(_, line)| line).collect();
        // The title of a block that goes on stands again, on three lines at most beside its signal word.
        let again = own.iter().take(4).position(|line| line.ends_with(", continued"));
        squeezed(&own.into_iter().skip(again.map_or(0, |at| at + 1)).collect::<String>())
    };
    Some(text.split('\u{c}').map(page).collect())
}

#[test]
fn every_finding_and_step_can_be_read_in_the_text() {
    let survey = demo();
    let pdf = pdf(&survey, Sheet::Letter);
    let Some(pages) = pages(&pdf) else { return };
    let text = pages.concat();
    let holds = |words: &str| assert!(text.contains(&squeezed(words)), "{words}");
    let assessment = assess(&survey);
    let wrong = || assessment.findings.iter().filter(|finding| finding.verdict == Verdict::FallsShort);
    for finding in wrong() {
        if !text.contains(&squeezed(&finding.message.to_string())) {
            // Of many of the same wording one is told in full, of the others what is their own.
            let alike = |other: &&Finding| {
                other.check == finding.check && other.message.template == finding.message.template
            };
            let told = |other: &Finding| text.contains(&squeezed(&other.message.to_string()));
            assert!(wrong().filter(alike).any(told), "{}", finding.message);
            finding.message.args.iter().for_each(|arg| holds(&arg.to_string()));
            holds(&finding.figure_line().unwrap_or_default());
        }
        // Of what another check has told before, the caution stands with the first finding of the cause.
        let mut of_cause = wrong().filter(|other| other.cause == finding.cause);
        let head = of_cause.next().filter(|_| finding.cause.is_some()).unwrap_or(finding);
        if head.check == finding.check {
            holds(&finding.caution.to_string());
        }
        holds(&head.caution.to_string());
        holds(&finding.next_step.to_string());
        holds(&finding.subject.name);
        for step in finding.derivation.steps() {
            holds(&step.label.to_string());
            holds(&step.expression.to_string());
            holds(&format!("{} {}", step.value_text(), step.unit()));
            holds(&step.source.words());
        }
    }
}

/// How sources meet: every device of every set, and how it stands then.
#[test]
fn every_wrong_move_can_be_read_in_the_text() {
    let survey = demo();
    let Some(pages) = pages(&pdf(&survey, Sheet::A4)) else { return };
    let text = pages.concat();
    let isolation = overview(&House::new(&survey));
    let told = isolation.meetings.iter().filter(|meeting| meeting.may_meet != Some(true));
    let wrong: Vec<_> = told.flat_map(|meeting| meeting.witnesses.iter().flatten()).collect();
    assert!(!wrong.is_empty());
    for one in wrong {
        let row = format!("{}{}{}", one.stand.name, one.stand.position, one.should_be_words);
        assert!(text.contains(&squeezed(&row)), "{row}");
    }
}

/// A card begins its page, every step is on it, and nothing else is.
#[test]
fn each_switching_card_stands_alone_on_its_page() {
    let survey = demo();
    for sheet in [Sheet::A4, Sheet::Letter] {
        let Some(pages) = pages(&pdf(&survey, sheet)) else { return };
        let isolation = overview(&House::new(&survey));
        let name = |id: &str| &isolation.modes.iter().find(|mode| mode.id == id).expect("a mode").name;
        let mut cards = 0;
        for order in &isolation.orders {
            let Some(steps) = order.steps.as_ref().filter(|steps| !steps.is_empty()) else { continue };
            cards += 1;
            let title = format!("Switching card: from \"{}\" to \"{}\"", name(&order.from), name(&order.to));
            // A page of the list of contents may begin with the same words.
            let title = squeezed(&format!("{title} WARNING"));
            let own: Vec<&String> = pages.iter().filter(|page| page.starts_with(&title)).collect();
            let [page] = own.as_slice() else { panic!("{} pages begin with {title}", own.len()) };
            let mut rest = page.as_str();
            for (at, step) in steps.iter().enumerate() {
                let step = squeezed(&format!("{}.{}", at + 1, step.words));
                let (_, after) = rest.split_once(&step).unwrap_or_else(|| panic!("{step} on {page}"));
                rest = after;
            }
            let below = squeezed(&format!("{}{}", order.still_live, word(APPROVAL)));
            assert!(rest.starts_with(&below), "{below} in {rest}");
            assert!(rest.ends_with(&squeezed("Signature and date")), "{rest}");
            assert_eq!(page.matches(&squeezed("Switching card:")).count(), 1);
        }
        assert!(cards > 0);
    }
}

#[test]
fn an_independent_reader_finds_no_fault() {
    for sheet in [Sheet::A4, Sheet::Letter] {
        let folder = TempDir::new().expect("a folder");
        let file = folder.path().join("survey.pdf");
        std::fs::write(&file, pdf_with_photos(sheet)).expect("written");
        match Command::new("qpdf").arg("--check").arg(&file).output() {
            Ok(output) => {
                let said = String::from_utf8_lossy(&output.stdout).into_owned();
                assert!(output.status.success(), "{said}");
                assert!(said.contains("No syntax or stream encoding errors found"), "{said}");
            }
            Err(error) => eprintln!("SKIPPED: qpdf is not here ({error}); .ci/run installs it"),
        }
    }
}

#[test]
fn an_empty_survey_has_a_paper_too() {
    let empty = r#"{"deadfront_survey":1,"site":{"name":"Empty (invented)","rules":"us"}}"#;
    let survey = read_survey(empty.as_bytes()).expect("a survey");
    assert!(pdf(&survey, Sheet::A4).starts_with(b"%PDF-"));
}

/// A page of text costs a few kilobytes: faces are embedded once and reduced to the used characters.
#[test]
fn it_stays_small_for_its_pages() {
    let survey = demo();
    let assessment = assess(&survey);
    let report = Report {
        survey: &survey,
        assessment: &assessment,
        made: made(),
        sheet: Sheet::Letter,
        pictures: Pictures::NONE,
    };
    let pages = lay_out(&report.document()).expect("laid out").pages.len();
    let bytes = pdf(&survey, Sheet::Letter).len();
    assert!(bytes < 60_000 + pages * 5_000, "{bytes} bytes on {pages} pages");
}

#[test]
fn long_and_foreign_names_are_printed_or_named() {
    let mut survey = demo();
    survey.site.name = "A very long name ".repeat(17);
    survey.panels[0].name = "盤 لوحة щит".to_owned();
    let assessment = assess(&survey);
    let report = Report {
        survey: &survey,
        assessment: &assessment,
        made: made(),
        sheet: Sheet::A4,
        pictures: Pictures::NONE,
    };
    let written = report.pdf().expect("a PDF");
    let warnings: Vec<String> = written.warnings.iter().map(ToString::to_string).collect();
    assert!(warnings.iter().any(|warning| warning.contains('盤')), "{warnings:?}");
}

#[test]
fn every_text_stands_inside_the_margins() {
    let survey = demo();
    let assessment = assess(&survey);
    for sheet in [Sheet::A4, Sheet::Letter] {
        let report = Report {
            survey: &survey,
            assessment: &assessment,
            made: made(),
            sheet,
            pictures: Pictures::NONE,
        };
        let laid = lay_out(&report.document()).expect("laid out");
        let (width, height) = sheet.size();
        assert!(laid.pages.len() > 10);
        for page in &laid.pages {
            for item in &page.items {
                let rect = item.rect;
                assert!(rect.x.0 >= 0.0 && rect.right().0 <= width.0, "{item:?}");
                assert!(rect.y.0 >= 0.0 && rect.bottom().0 <= height.0, "{item:?}");
            }
        }
    }
}
