//! What is wrong with the arguments, in the language that is spoken: the parser knows only English.

use clap::error::{ContextKind, ContextValue, ErrorKind};
use deadfront_rules::say;
use deadfront_rules::words::word;

/// The complaint about a mistake in the arguments; none where the parser printed help or a version, or met
/// something that is no mistake of who typed.
pub(super) fn complaint(error: &clap::Error) -> Option<String> {
    let mut lines = sentences(error)?;
    lines.extend(suggestions(error));
    lines.extend(error.get(ContextKind::Usage).map(usage));
    lines.push(say!("More about each command: {}", "--help").to_string());
    Some(lines.join("\n"))
}

fn sentences(error: &clap::Error) -> Option<Vec<String>> {
    let arg = || text(error, ContextKind::InvalidArg);
    let told = match error.kind() {
        ErrorKind::UnknownArgument => say!("Nothing here is called {}.", arg()),
        ErrorKind::InvalidSubcommand => {
            say!("There is no command {}.", text(error, ContextKind::InvalidSubcommand))
        }
        ErrorKind::InvalidValue | ErrorKind::ValueValidation => return Some(of_value(error)),
        ErrorKind::NoEquals => say!("The value of {} follows an equals sign.", arg()),
        ErrorKind::TooManyValues => say!("{} was given too many values.", arg()),
        ErrorKind::TooFewValues | ErrorKind::WrongNumberOfValues => {
            say!("{} was not given as many values as it takes.", arg())
        }
        ErrorKind::ArgumentConflict => return Some(of_conflict(error)),
        ErrorKind::MissingRequiredArgument => say!("This is missing: {}", arg()),
        ErrorKind::MissingSubcommand => say!("No command was given."),
        ErrorKind::InvalidUtf8 => say!("An argument holds bytes that are no text (UTF-8)."),
        _ => return None,
    };
    Some(vec![told.to_string()])
}

/// A value that is missing, or not among those that can be chosen, or not of its kind.
fn of_value(error: &clap::Error) -> Vec<String> {
    let (arg, value) = (text(error, ContextKind::InvalidArg), text(error, ContextKind::InvalidValue));
    let told = if value.is_empty() {
        say!("{} needs a value.", arg)
    } else {
        say!("{} cannot be read as {}.", value, arg)
    };
    let mut lines = vec![told.to_string()];
    // Why, where the reader of the value says it; it speaks the language already.
    lines.extend(std::error::Error::source(error).map(ToString::to_string));
    let valid = text(error, ContextKind::ValidValue);
    if !valid.is_empty() {
        lines.push(say!("It can be one of these: {}", valid).to_string());
    }
    lines
}

fn of_conflict(error: &clap::Error) -> Vec<String> {
    let (arg, prior) = (text(error, ContextKind::InvalidArg), text(error, ContextKind::PriorArg));
    let told = if prior.is_empty() || prior == arg {
        say!("{} was given more than once.", arg)
    } else {
        say!("{} and {} exclude each other.", arg, prior)
    };
    vec![told.to_string()]
}

/// What may have been meant.
fn suggestions(error: &clap::Error) -> Option<String> {
    let kinds = [ContextKind::SuggestedArg, ContextKind::SuggestedSubcommand, ContextKind::SuggestedValue];
    let meant: Vec<String> =
        kinds.iter().map(|kind| text(error, *kind)).filter(|meant| !meant.is_empty()).collect();
    (!meant.is_empty()).then(|| say!("Perhaps this was meant: {}", meant.join(", ")).to_string())
}

/// How the command is called; the parser puts its own English word before it.
fn usage(usage: &ContextValue) -> String {
    let text = usage.to_string();
    let called = text.trim().strip_prefix("Usage:").map_or(text.trim(), str::trim_start);
    format!("{} {called}", word("Usage:"))
}

fn text(error: &clap::Error, kind: ContextKind) -> String {
    match error.get(kind) {
        Some(ContextValue::Strings(texts)) => texts.join(", "),
        Some(ContextValue::String(text)) => text.clone(),
        Some(other) => other.to_string(),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory as _;
    use deadfront_rules::words::{self, Language};

    use super::super::{Arguments, help};
    use super::*;

    fn told(language: Language, line: &str) -> String {
        let _spoken = words::speak(language);
        let words = std::iter::once("deadfront").chain(line.split_whitespace());
        let error = help::told(Arguments::command()).try_get_matches_from(words).unwrap_err();
        complaint(&error).unwrap_or_default()
    }

    #[test]
    fn each_mistake_is_told_in_the_language_that_is_spoken() {
        for (line, english, spanish) in [
            ("check a.json --al", "Nothing here is called --al.", "Nada se llama aquí --al."),
            ("chek a.json", "There is no command chek.", "No hay ninguna orden chek."),
            ("check", "This is missing: <", "Esto falta: <"),
            (
                "demo --language",
                "--language <LANGUAGE> needs a value.",
                "--language <LANGUAGE> necesita un valor.",
            ),
            (
                "demo --language xx",
                "xx cannot be read as --language <LANGUAGE>.",
                "xx no se puede leer como --language <LANGUAGE>.",
            ),
        ] {
            let (en, es) = (told(Language::English, line), told(Language::Spanish, line));
            assert!(en.starts_with(english), "{line}: {en}");
            assert!(es.starts_with(spanish), "{line}: {es}");
            assert!(en.contains("--help") && es.contains("--help"));
        }
        let es = told(Language::Spanish, "check a.json --al");
        assert!(es.contains("Quizá se quiso decir: --all"), "{es}");
        assert!(es.contains("Uso: deadfront check") && !es.contains("Usage"), "{es}");
        assert!(told(Language::Spanish, "demo --language xx").contains("Puede ser una de estas: en, es"));
    }

    #[test]
    fn help_and_version_are_no_complaint() {
        for line in ["--help", "--version", "check --help"] {
            assert_eq!(told(Language::Spanish, line), "", "{line}");
        }
    }
}
