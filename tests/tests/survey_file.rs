//! The survey file as a whole: nothing in it makes the reader panic, what is written is read back
//! the same, and the published schema tells the truth.

#![expect(clippy::unwrap_used, reason = "helpers of tests, outside the test functions")]

use std::fs;
use std::sync::LazyLock;

use deadfront::file::{FileError, LARGEST, open, read_survey, save, schema, to_json};
use deadfront_rules::survey::{self, Survey};
use deadfront_tests::arbitrary;
use jsonschema::Validator;
use proptest::prelude::*;
use proptest::sample::Index;

/// A small survey with an item of most kinds; invented.
const SAMPLE: &str = include_str!("sample.json");

fn sample() -> Survey {
    read_survey(SAMPLE.as_bytes()).unwrap()
}

/// Whatever is read is a survey or an error with a place.
fn assert_read_or_refused(bytes: &[u8]) {
    match read_survey(bytes) {
        Ok(survey) => assert_eq!(survey::validate(&survey), []),
        Err(error) => {
            let complaints = error.complaints();
            assert!(!complaints.is_empty(), "{error}");
            for complaint in complaints {
                assert!(complaint.place.line >= 1 && complaint.place.column >= 1, "{complaint}");
                let lines = bytes.iter().filter(|byte| **byte == b'\n').count() + 1;
                assert!(complaint.place.line <= lines, "{complaint}");
                assert!(complaint.to_string().chars().all(|c| !c.is_control()), "{complaint:?}");
            }
        }
    }
}

/// A change that a bad disk, a bad copy or a bad editor makes.
#[derive(Debug, Clone)]
enum Damage {
    Flip(Index, u8),
    Insert(Index, Vec<u8>),
    Delete(Index, usize),
    Repeat(Index, usize, Index),
    CutOff(Index),
}

fn damage() -> impl Strategy<Value = Damage> {
    let piece = prop_oneof![
        prop::collection::vec(any::<u8>(), 1..8),
        prop::sample::select(vec![
            "{", "}", "[", "]", ",", ":", "\"", "\\u", "null", "-1", "1e999", "\u{feff}"
        ])
        .prop_map(|text| text.as_bytes().to_vec()),
    ];
    prop_oneof![
        (any::<Index>(), 1..=255_u8).prop_map(|(at, mask)| Damage::Flip(at, mask)),
        (any::<Index>(), piece).prop_map(|(at, piece)| Damage::Insert(at, piece)),
        (any::<Index>(), 1..60_usize).prop_map(|(at, length)| Damage::Delete(at, length)),
        (any::<Index>(), 1..60_usize, any::<Index>())
            .prop_map(|(at, length, to)| Damage::Repeat(at, length, to)),
        any::<Index>().prop_map(Damage::CutOff),
    ]
}

fn apply(damage: &Damage, bytes: &mut Vec<u8>) {
    let size = bytes.len();
    if size == 0 {
        return;
    }
    match damage {
        Damage::Flip(at, mask) => bytes[at.index(size)] ^= mask,
        Damage::Insert(at, piece) => {
            let at = at.index(size);
            bytes.splice(at..at, piece.iter().copied());
        }
        Damage::Delete(at, length) => {
            let at = at.index(size);
            bytes.drain(at..size.min(at + length));
        }
        Damage::Repeat(at, length, to) => {
            let at = at.index(size);
            let piece = bytes[at..size.min(at + length)].to_vec();
            let to = to.index(size);
            bytes.splice(to..to, piece);
        }
        Damage::CutOff(at) => bytes.truncate(at.index(size)),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn random_bytes_never_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        assert_read_or_refused(&bytes);
    }

    #[test]
    fn random_text_after_the_version_never_makes_it_panic(rest in "[\\[\\]{}:,\"0-9a-z \\\\\n.-]{0,80}") {
        assert_read_or_refused(format!("{{\"deadfront_survey\": 1, {rest}").as_bytes());
    }

    #[test]
    fn a_damaged_file_never_makes_it_panic(damages in prop::collection::vec(damage(), 1..4)) {
        let mut bytes = SAMPLE.as_bytes().to_vec();
        for damage in &damages {
            apply(damage, &mut bytes);
        }
        assert_read_or_refused(&bytes);
    }
}

proptest! {
    #[test]
    fn what_is_written_is_read_back_the_same(survey in arbitrary::survey()) {
        let text = to_json(&survey);
        let read = read_survey(text.as_bytes()).map_err(|error| TestCaseError::fail(error.to_string()))?;
        prop_assert_eq!(&read, &survey);
        prop_assert_eq!(to_json(&read), text);
    }

    #[test]
    fn the_schema_takes_what_is_written(survey in arbitrary::survey()) {
        static VALIDATOR: LazyLock<Validator> =
            LazyLock::new(|| jsonschema::draft202012::new(&schema()).unwrap());
        let written = serde_json::from_str(&to_json(&survey)).unwrap();
        let errors: Vec<String> = VALIDATOR.iter_errors(&written).map(|error| error.to_string()).collect();
        prop_assert!(errors.is_empty(), "{errors:?}");
    }
}

#[test]
fn a_file_cut_off_anywhere_is_refused_at_its_end() {
    let whole = SAMPLE.trim_end();
    for end in (0..whole.len()).filter(|end| whole.is_char_boundary(*end)) {
        let error = read_survey(&whole.as_bytes()[..end]).unwrap_err();
        let [complaint] = error.complaints() else { panic!("{end}: {error}") };
        assert!(
            complaint.message.contains("cut off") || complaint.message.contains("empty"),
            "{end}: {error}"
        );
    }
}

#[test]
fn a_byte_order_mark_and_any_line_end_are_accepted() {
    let marked = format!("\u{feff}{SAMPLE}");
    assert_eq!(read_survey(marked.as_bytes()).unwrap(), sample());
    assert_eq!(read_survey(SAMPLE.replace('\n', "\r\n").as_bytes()).unwrap(), sample());
    assert_eq!(read_survey(SAMPLE.replace('\n', "\r").as_bytes()).unwrap(), sample());
}

#[test]
fn a_byte_order_mark_does_not_move_the_place() {
    let error = read_survey("\u{feff}[]".as_bytes()).unwrap_err();
    assert_eq!(error.complaints()[0].place.column, 1);
    let error = read_survey(b"\xef\xbb\xbf\xff").unwrap_err().to_string();
    assert!(error.starts_with("line 1, column 1: byte 4 of the file is not UTF-8"), "{error}");
}

#[test]
fn a_text_of_ten_megabytes_is_refused_in_a_short_message() {
    let long = "x".repeat(10 * 1024 * 1024);
    for (from, field) in [
        ("\"name\": \"Invented house\"", "\"name\""),
        ("\"id\": \"P1\"", "\"id\""),
        ("\"room\": \"basement\"", "\"room\""),
        ("\"length\": \"45 ft\"", "\"length\""),
        ("\"length\": \"45 ft\"", "\"wet\""),
    ] {
        let text = SAMPLE.replacen(from, &format!("{field}: \"{long}\""), 1);
        assert_ne!(text, SAMPLE);
        let said = read_survey(text.as_bytes()).unwrap_err().to_string();
        assert!(said.len() < 2000, "{} bytes", said.len());
    }
    let text = SAMPLE.replacen("\"length\"", &format!("\"{long}\""), 1);
    let said = read_survey(text.as_bytes()).unwrap_err().to_string();
    assert!(said.contains("there is no such field") && said.len() < 2000, "{} bytes", said.len());
}

#[test]
fn nesting_without_end_is_refused() {
    for (open, close) in [("[", "]"), ("{\"a\":", "}")] {
        for before in [
            "",
            "{\"deadfront_survey\": 1, \"site\":",
            "{\"deadfront_survey\":",
            "{\"deadfront_survey\": 1, \"a\":",
        ] {
            assert_read_or_refused(format!("{before}{}", open.repeat(200_000)).as_bytes());
            let closed = format!("{before}{}1{}", open.repeat(200_000), close.repeat(200_000));
            assert_read_or_refused(closed.as_bytes());
            assert_read_or_refused(format!("{closed}}}").as_bytes());
        }
    }
}

#[test]
fn a_file_past_the_limit_is_refused_unread() {
    let size = LARGEST as usize + 1;
    let error = read_survey(&vec![b' '; size]).unwrap_err();
    assert!(matches!(error, FileError::TooLarge { bytes, .. } if bytes == LARGEST + 1));
    assert_eq!(error.to_string(), "the file has 65 MB, but a survey has at most 64 MB; choose another file");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("house.json");
    fs::File::create(&path).unwrap().set_len(3 * LARGEST).unwrap();
    let said = open(&path).unwrap_err().to_string();
    assert!(
        said.ends_with(
            "house.json: the file has 192 MB, but a survey has at most 64 MB; choose another file"
        )
    );
}

#[test]
fn a_survey_is_saved_and_opened() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("house.json");
    save(&path, &sample()).unwrap();
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.starts_with("{\n  \"deadfront_survey\": 1,\n  \"site\": {\n    \"name\""), "{text}");
    assert!(text.ends_with("\n}\n"));
    let mut survey = open(&path).unwrap();
    assert_eq!(survey, sample());
    survey.site.name = "Another invented house".into();
    save(&path, &survey).unwrap();
    assert_eq!(open(&path).unwrap(), survey);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "something was left beside the file");
}

#[test]
fn what_the_system_refuses_is_said_with_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let missing = folder.path().join("attic").join("house.json");
    for error in [open(&missing).unwrap_err(), save(&missing, &sample()).unwrap_err()] {
        let said = error.to_string();
        assert!(said.contains("house.json cannot be "), "{said}");
        assert!(said.ends_with("there is no such file or folder; check its name"), "{said}");
    }
    let said = save(folder.path(), &sample()).unwrap_err().to_string();
    assert!(said.ends_with("cannot be saved: it is a folder; name a file in it"), "{said}");
    assert!(open(folder.path()).is_err());
}

#[test]
fn an_error_names_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("house.json");
    fs::write(&path, SAMPLE.replace("\"45 ft\"", "\"45 fett\"")).unwrap();
    let said = open(&path).unwrap_err().to_string();
    let wanted = "house.json, line 18, column 55: run R1, field \"length\": \"45 fett\" needs one of the units \
                  ft, m, in, mm, like \"45 ft\"";
    assert!(said.ends_with(wanted), "{said}");
}

#[test]
fn the_schema_is_valid_and_names_every_fact() {
    let schema = schema();
    jsonschema::draft202012::meta::validate(&schema).unwrap();
    assert_eq!(schema["$id"], "urn:deadfront:survey:1");
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    assert!(schema["title"].is_string() && schema["description"].is_string());
    macro_rules! check {
        ($($record:ident),+) => {$(
            for fact in survey::$record::FACTS {
                let described = &schema["$defs"][stringify!($record)]["properties"][fact]["description"];
                assert!(described.is_string(), "{}.{fact}", stringify!($record));
            }
        )+};
    }
    check!(
        Site,
        Supply,
        Surge,
        EfficiencyAt,
        RestingAt,
        Battery,
        Panel,
        Bus,
        Way,
        Device,
        Run,
        Load,
        Rating,
        Transfer,
        Position,
        Interlock,
        Inlet,
        Mode,
        Stand,
        Electrode,
        Reading,
        Photo,
        Note,
        Signature
    );
}

#[test]
fn the_schema_refuses_what_the_reader_refuses() {
    let validator = jsonschema::draft202012::new(&schema()).unwrap();
    for (good, bad) in [
        ("\"deadfront_survey\": 1", "\"deadfront_survey\": 2"),
        ("\"room\": \"basement\"", "\"room\": \"moon\""),
        ("\"length\"", "\"lenght\""),
        ("\"wet\": false", "\"wet\": \"no\""),
        ("\"poles\": 2", "\"poles\": 256"),
        ("\"id\": \"R1\"", "\"id\": \"R 1\""),
        ("\"on\": \"R2\", ", ""),
    ] {
        assert!(validator.is_valid(&serde_json::from_str(SAMPLE).unwrap()));
        let broken = SAMPLE.replacen(good, bad, 1);
        assert_ne!(broken, SAMPLE);
        assert!(!validator.is_valid(&serde_json::from_str(&broken).unwrap()), "{bad}");
        assert!(read_survey(broken.as_bytes()).is_err(), "{bad}");
    }
}
