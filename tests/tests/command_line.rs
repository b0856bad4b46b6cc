//! The program as a person or a script meets it: answers, exit codes, files.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

fn deadfront() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_deadfront-under-test"));
    // No test opens a window.
    command.env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY").env_remove("WAYLAND_SOCKET");
    command
}

fn run(arguments: &[&str]) -> Output {
    deadfront().args(arguments).output().expect("the program starts")
}

fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("answers are UTF-8")
}

fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("complaints are UTF-8")
}

fn demo_file(folder: &Path) -> PathBuf {
    let file = folder.join("house.json");
    fs::write(&file, deadfront::demo::DEMO).expect("the folder can be written");
    file
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain path")
}

#[test]
fn demo_writes_survey_and_paper_and_is_no_failure() {
    let folder = TempDir::new().expect("a folder");
    let output = run(&["demo", "--no-window", "--out", text(folder.path())]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    assert!(stdout(&output).contains("DANGER"));
    let pdf = fs::read(folder.path().join("demo-survey.pdf")).expect("the PDF is there");
    assert!(pdf.starts_with(b"%PDF-"));
    let survey = fs::read_to_string(folder.path().join("demo-survey.json")).expect("the survey is there");
    assert_eq!(survey.trim_end(), deadfront::demo::DEMO.trim_end());
}

#[test]
fn demo_without_a_display_says_so_in_one_line_and_goes_on() {
    let folder = TempDir::new().expect("a folder");
    let output = run(&["demo", "--out", text(folder.path())]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    assert!(
        stdout(&output).ends_with("No display here, so the window stays closed.\n"),
        "{}",
        stdout(&output)
    );
}

#[test]
fn open_without_a_display_names_the_commands_that_need_none() {
    let folder = TempDir::new().expect("a folder");
    let output = run(&["open", text(&demo_file(folder.path()))]);
    assert_eq!(output.status.code(), Some(2));
    let said = stderr(&output);
    assert!(said.contains("no display was found") && said.contains("`check`"), "{said}");
}

#[test]
fn check_tells_findings_by_its_exit_code() {
    let folder = TempDir::new().expect("a folder");
    let output = run(&["check", text(&demo_file(folder.path()))]);
    assert_eq!(output.status.code(), Some(1));
    assert!(stdout(&output).starts_with("Demo house (invented)\nAn invented example.\n"));
}

/// A survey in which nothing is entered has nothing to find and nothing to be sure of.
#[test]
fn an_empty_survey_is_not_called_right() {
    let folder = TempDir::new().expect("a folder");
    let file = folder.path().join("empty.json");
    fs::write(&file, r#"{"deadfront_survey":1,"site":{"name":"Empty (invented)","rules":"us"}}"#)
        .expect("written");
    let output = run(&["check", text(&file), "--json"]);
    assert_eq!(output.status.code(), Some(1), "an empty survey must not end with 0");
    let answer: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert!(answer["counts"]["cannot_tell"].as_u64() > Some(0));
    assert_eq!(answer["counts"]["meets"], 0);
}

#[test]
fn check_json_has_the_published_shape() {
    let folder = TempDir::new().expect("a folder");
    let file = demo_file(folder.path());
    let output = run(&["check", text(&file), "--json", "--all"]);
    let answer: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    for count in ["danger", "warning", "caution", "notice", "cannot_tell", "meets"] {
        assert!(answer["counts"][count].is_u64(), "{count}");
    }
    let findings = answer["findings"].as_array().expect("a list");
    let told = |verdict: &str| findings.iter().filter(|finding| finding["verdict"] == verdict).count() as u64;
    assert_eq!(Some(told("meets")), answer["counts"]["meets"].as_u64());
    assert_eq!(Some(told("cannot_tell")), answer["counts"]["cannot_tell"].as_u64());
    for finding in findings {
        for field in ["check", "verdict", "severity", "message", "caution", "next_step"] {
            assert!(finding[field].is_string(), "{field} of {finding}");
        }
        for field in ["derivation", "citations", "missing"] {
            assert!(finding[field].is_array(), "{field} of {finding}");
        }
        let missing = finding["missing"].as_array().map_or(0, Vec::len);
        assert_eq!(finding["verdict"] == "cannot_tell", missing > 0, "{finding}");
        for step in finding["derivation"].as_array().into_iter().flatten() {
            assert!(step["source"].as_str().is_some_and(|source| !source.is_empty()), "{step}");
        }
    }
    let open = run(&["check", text(&file), "--json"]);
    let open: Value = serde_json::from_slice(&open.stdout).expect("JSON");
    assert!(open["findings"].as_array().expect("a list").iter().all(|finding| finding["verdict"] != "meets"));
}

#[test]
fn report_gives_the_same_bytes_for_the_same_time() {
    let folder = TempDir::new().expect("a folder");
    let file = demo_file(folder.path());
    let made = |name: &str, paper: &str| {
        let pdf = folder.path().join(name);
        let time = "2026-11-25T10:00:00-05:00";
        let output = run(&["report", text(&file), "--pdf", text(&pdf), "--paper", paper, "--time", time]);
        assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
        fs::read(pdf).expect("the PDF is there")
    };
    assert_eq!(made("a.pdf", "letter"), made("b.pdf", "letter"));
    assert_ne!(made("a.pdf", "letter"), made("c.pdf", "a4"));
}

#[test]
fn explain_lists_every_check_and_tells_each() {
    let list = stdout(&run(&["explain"]));
    for check in deadfront_rules::checks::registry() {
        assert!(list.contains(check.name), "{}", check.name);
        let told = stdout(&run(&["explain", check.name]));
        assert!(
            told.contains("# Why") && told.contains(deadfront_rules::words::word(check.caution)),
            "{told}"
        );
    }
    let output = run(&["explain", "no_such_check"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("there is no check \"no_such_check\""));
}

#[test]
fn schema_is_json_and_takes_the_demo_house() {
    let schema: Value = serde_json::from_str(&stdout(&run(&["schema"]))).expect("JSON");
    let house: Value = serde_json::from_str(deadfront::demo::DEMO).expect("JSON");
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    assert!(validator.is_valid(&house));
}

#[test]
fn bad_input_ends_with_2_and_says_where() {
    let folder = TempDir::new().expect("a folder");
    let missing = folder.path().join("none.json");
    let output = run(&["check", text(&missing)]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("none.json"), "{}", stderr(&output));
    assert_eq!(run(&["check"]).status.code(), Some(2));
    assert_eq!(run(&["no-such-command"]).status.code(), Some(2));
    assert_eq!(run(&["--help"]).status.code(), Some(0));
    let file = demo_file(folder.path());
    let output = run(&["report", text(&file), "--pdf", text(&folder.path().join("no/such/folder.pdf"))]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("cannot be written"), "{}", stderr(&output));
}

#[test]
fn size_answers_for_a_load() {
    let output = run(&[
        "size",
        "--amps",
        "32",
        "--volts",
        "240",
        "--length",
        "85 ft",
        "--method",
        "nm_b",
        "--typical",
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    assert!(stdout(&output).contains("AWG"), "{}", stdout(&output));
    assert_eq!(run(&["size", "--amps", "32"]).status.code(), Some(2));
}

#[test]
fn verify_tells_survey_and_pdf_by_its_exit_code() {
    use deadfront::sign::{Signer, new_revision, sign};
    use deadfront_rules::survey::{Ink, Role};
    let folder = TempDir::new().expect("a folder");
    let file = demo_file(folder.path());
    let unsigned = run(&["verify", text(&file)]);
    assert_eq!(unsigned.status.code(), Some(1));
    assert!(stdout(&unsigned).contains("Revision 1 is a draft: nobody has signed it."));

    let mut survey = deadfront::file::open(&file).expect("a survey");
    let signer = Signer {
        name: "S. Example".to_owned(),
        role: Role::Surveyor,
        licence: String::new(),
        when: chrono::DateTime::parse_from_rfc3339("2026-11-25T10:00:00-05:00").expect("a time"),
        ink: Ink::drawn(0.3, &[vec![(0.1, 0.1, None), (0.5, 0.2, None)]]),
    };
    sign(&mut survey, signer, None).expect("signed");
    deadfront::file::save(&file, &survey).expect("saved");
    let pdf = folder.path().join("house.pdf");
    run(&["report", text(&file), "--pdf", text(&pdf)]);
    for arguments in
        [vec!["verify", text(&file)], vec!["verify", text(&pdf), text(&file)], vec!["verify", text(&pdf)]]
    {
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(0), "{}{}", stdout(&output), stderr(&output));
        assert!(stdout(&output).ends_with("Everything is as it was signed.\n"));
    }
    // The PDF opens as the survey does, and is never saved over.
    assert_eq!(run(&["check", text(&pdf)]).stdout, run(&["check", text(&file)]).stdout);
    let refused = deadfront::file::save(&pdf, &survey).expect_err("a PDF stands there").to_string();
    assert!(refused.contains("cannot be saved into a PDF"), "{refused}");

    let changed = fs::read_to_string(&file).expect("read").replacen("S. Example", "S. Exempla", 1);
    fs::write(&file, changed).expect("written");
    let output = run(&["verify", text(&file), text(&pdf), "--json"]);
    assert_eq!(output.status.code(), Some(1));
    let answer: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let broken = |remark: &&Value| remark["mark"] == "broken";
    let said =
        answer["remarks"].as_array().expect("a list").iter().find(broken).expect("something is broken");
    assert_eq!(said["text"], "The signature of S. Exempla, surveyor, was changed after it was made.");
    assert_eq!(run(&["verify"]).status.code(), Some(2));
    assert_eq!(run(&["verify", text(&file), text(&file)]).status.code(), Some(2));

    let next = new_revision(&survey).expect("signed");
    deadfront::file::save(&file, &next).expect("saved");
    let out = folder.path().join("new.json");
    fs::write(folder.path().join("panels.csv"), "panel,id\n").expect("written");
    let table = folder.path().join("panels.csv");
    let output = run(&["import", text(&pdf), "--panels", text(&table), "--out", text(&out)]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("start a new revision"), "{}", stderr(&output));
}

#[test]
fn a_handout_goes_out_and_its_schedule_comes_back() {
    let folder = TempDir::new().expect("a folder");
    let file = demo_file(folder.path());
    let out = folder.path().join("out");
    let time = "2026-11-25T10:00:00-05:00";
    let output = run(&["handout", text(&file), "--out", text(&out), "--time", time]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let stem = "demo-house-invented-revision-1";
    for name in
        [&format!("{stem}.pdf"), &format!("{stem}.json"), "panels.csv", "runs.csv", "loads.csv", "cables.csv"]
    {
        assert!(fs::metadata(out.join(name)).is_ok_and(|about| about.len() > 100), "{name}");
    }
    let archives = ["a.zip", "b.zip"].map(|name| {
        let archive = folder.path().join(name);
        run(&["handout", text(&file), "--out", text(&archive), "--time", time]);
        fs::read(archive).expect("the archive is there")
    });
    assert!(archives[0].starts_with(b"PK") && archives[0] == archives[1]);

    let new = folder.path().join("new.json");
    let table = out.join("panels.csv");
    let import = || run(&["import", text(&file), "--panels", text(&table), "--out", text(&new)]);
    assert_eq!(import().status.code(), Some(0));
    assert_eq!(run(&["compare", text(&file), text(&new)]).status.code(), Some(0));
    let again = import();
    assert_eq!(again.status.code(), Some(2), "an existing file is never replaced");
    fs::remove_file(&new).expect("removed");
    let rows = fs::read_to_string(&table).expect("read").replacen("20 A", "20 B", 1);
    fs::write(&table, rows).expect("written");
    let wrong = import();
    assert_eq!(wrong.status.code(), Some(2));
    assert!(
        stderr(&wrong).contains("(device.rating): \"20 B\" needs one of the units"),
        "{}",
        stderr(&wrong)
    );
    assert!(!new.exists());
}

#[test]
fn compare_tells_facts_and_verdicts() {
    let folder = TempDir::new().expect("a folder");
    let file = demo_file(folder.path());
    let new = folder.path().join("new.json");
    let changed = deadfront::demo::DEMO.replacen("\"20 A\"", "\"200 A\"", 1);
    fs::write(&new, changed).expect("written");
    let output = run(&["compare", text(&file), text(&new)]);
    assert_eq!(output.status.code(), Some(1));
    assert!(stdout(&output).contains("20 A -> 200 A"), "{}", stdout(&output));
    let output = run(&["compare", text(&file), text(&new), "--json"]);
    let answer: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(answer["facts"].as_array().map(Vec::len), Some(1));
}
