//! Help in the language that is asked for.

use std::ffi::OsString;

use clap::{Arg, ArgAction, Command};
use deadfront_rules::words::{self, Language};

/// The language that is asked for, before the arguments are read: help is asked for in it too.
pub(super) fn language_of(arguments: &[OsString]) -> Language {
    let mut words = arguments.iter().map(|word| word.to_string_lossy());
    while let Some(word) = words.next() {
        let named = match word.strip_prefix("--language") {
            Some("") => words.next().map(|name| name.into_owned()),
            Some(rest) => rest.strip_prefix('=').map(ToOwned::to_owned),
            None => None,
        };
        if let Some(language) = named.and_then(|name| Language::ALL.iter().find(|it| it.code() == name)) {
            return *language;
        }
    }
    Language::English
}

/// The command with its help in the language that is spoken; in English as it stands.
pub(super) fn told(command: Command) -> Command {
    if words::spoken() == Language::English {
        return command;
    }
    let asks = |name: &'static str, short, action, help: &'static str| {
        Arg::new(name).short(short).long(name).action(action).help(help)
    };
    with_texts(command)
        .disable_help_flag(true)
        .disable_version_flag(true)
        .arg(asks("help", 'h', ArgAction::Help, words::word("Print help")).global(true))
        .arg(asks("version", 'V', ArgAction::Version, words::word("Print version")))
        .mut_args(with_heading)
}

fn with_texts(mut command: Command) -> Command {
    if let Some(about) = command.get_about().map(ToString::to_string) {
        command = command.about(words::phrase(about));
    }
    if let Some(about) = command.get_long_about().map(ToString::to_string) {
        command = command.long_about(words::phrase(about));
    }
    if let Some(after) = command.get_after_help().map(ToString::to_string) {
        command = command.after_help(words::phrase(after));
    }
    let usage = words::word("Usage:");
    command
        .help_template(format!(
            "{{before-help}}{{about-with-newline}}\n{usage} {{usage}}\n\n{{all-args}}{{after-help}}"
        ))
        .subcommand_help_heading(words::word("Commands"))
        .mut_args(|arg| match arg.get_help().map(ToString::to_string) {
            Some(help) => with_heading(arg.help(words::phrase(help))),
            None => arg,
        })
        .mut_subcommands(with_texts)
}

fn with_heading(arg: Arg) -> Arg {
    let heading = if arg.is_positional() { words::word("Arguments") } else { words::word("Options") };
    arg.help_heading(heading)
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory as _;

    use super::super::Arguments;
    use super::*;

    fn texts(command: &Command, texts: &mut Vec<String>) {
        let own = [command.get_about(), command.get_long_about(), command.get_after_help()];
        texts.extend(own.into_iter().flatten().map(ToString::to_string));
        texts.extend(command.get_arguments().filter_map(|arg| arg.get_help()).map(ToString::to_string));
        command.get_subcommands().for_each(|sub| self::texts(sub, texts));
    }

    #[test]
    fn every_text_of_the_help_has_its_spanish() {
        let mut all = Vec::new();
        texts(&Arguments::command(), &mut all);
        assert!(all.len() > 60, "{}", all.len());
        let missing: Vec<_> = all.into_iter().filter(|text| !words::has(text)).collect();
        assert!(missing.is_empty(), "{} texts of the help have no Spanish: {missing:#?}", missing.len());
    }

    #[test]
    fn help_is_asked_for_in_either_language() {
        let asked = |words: &[&str]| language_of(&words.iter().map(OsString::from).collect::<Vec<_>>());
        assert_eq!(asked(&["deadfront", "--language", "es", "--help"]), Language::Spanish);
        assert_eq!(asked(&["deadfront", "check", "--help", "--language=es"]), Language::Spanish);
        assert_eq!(asked(&["deadfront", "--language"]), Language::English);
        assert_eq!(asked(&["deadfront", "--language", "xx"]), Language::English);
        let _spoken = words::speak(Language::Spanish);
        let help = told(Arguments::command()).render_long_help().to_string();
        assert!(help.contains("Uso:") && help.contains("Opciones:"), "{help}");
        assert!(help.contains("Revisar un levantamiento"), "{help}");
        // With its own flags in place every command is still well-formed and read as before.
        told(Arguments::command()).debug_assert();
        for words in [&["deadfront", "check", "a.json", "--all"][..], &["deadfront", "demo", "--no-window"]] {
            told(Arguments::command()).try_get_matches_from(words).unwrap();
        }
    }
}
