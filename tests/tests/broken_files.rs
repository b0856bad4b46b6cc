//! Each file in `broken` is refused with the place, the item, the field and what to do.

#![expect(clippy::unwrap_used, reason = "helpers of tests, outside the test functions")]

use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;
use deadfront::file::{FileError, read_survey};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("broken")
}

fn broken_files() -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> =
        fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|file| file.extension().is_some_and(|extension| extension == "json"));
    files.sort();
    assert!(files.len() >= 40, "the broken files are missing");
    files
}

fn name(file: &Path) -> String {
    file.file_stem().unwrap().to_string_lossy().into_owned()
}

fn refused(name: &str, bytes: &[u8]) -> FileError {
    read_survey(bytes).expect_err(&format!("{name} was read as a good survey"))
}

#[test]
fn every_broken_file_is_refused_in_words() {
    let mut said = String::new();
    for file in broken_files() {
        let name = name(&file);
        let error = refused(&name, &fs::read(&file).unwrap());
        for complaint in error.complaints() {
            assert!(complaint.place.line >= 1 && complaint.place.column >= 1, "{name}: {complaint}");
        }
        said += &format!("{name}\n  {}\n", error.to_string().replace('\n', "\n  "));
    }
    insta::assert_snapshot!(said);
}

#[test]
fn a_message_is_one_plain_line_in_lower_case_without_full_stop() {
    for file in broken_files() {
        let name = name(&file);
        for complaint in refused(&name, &fs::read(&file).unwrap()).complaints() {
            let text = complaint.to_string();
            assert!(text.chars().all(|c| !c.is_control()), "{name}: {text:?}");
            assert!(text.chars().count() < 1000, "{name}: {text}");
            assert!(!text.ends_with('.'), "{name}: {text}");
            let first = complaint.message.chars().next().unwrap();
            assert!(!first.is_uppercase() || complaint.message.starts_with("NaN"), "{name}: {text}");
            for jargon in ["EOF", "expected", "invalid type", "serde", "struct", "enum ", "variant", "u16"] {
                assert!(!text.contains(jargon), "{name}: {text}");
            }
        }
    }
}

#[test]
fn the_program_ends_with_2_and_leaves_the_file_alone() {
    let folder = tempfile::tempdir().unwrap();
    for broken in broken_files() {
        let name = name(&broken);
        let before = fs::read(&broken).unwrap();
        let file = folder.path().join(broken.file_name().unwrap());
        fs::write(&file, &before).unwrap();
        let output = program().arg("check").arg(&file).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{name}");
        let said = String::from_utf8(output.stderr).unwrap();
        let wanted = refused(&name, &before).complaints()[0].to_string();
        assert!(said.contains(&wanted), "{name}: {said}");
        assert!(said.contains(&*file.file_name().unwrap().to_string_lossy()), "{name}: {said}");
        assert_eq!(fs::read(&file).unwrap(), before, "{name} was changed");
    }
    let left: Vec<_> = fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(left.len(), broken_files().len(), "something was left beside the files");
}

fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_deadfront-under-test"))
}
