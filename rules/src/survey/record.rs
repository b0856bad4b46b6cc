//! The macro that declares an item of the survey: plain fields, then facts that may be unknown.

/// Declares a serialisable item whose facts are all [`Fact`](super::Fact)s: left out of the file
/// while not seen, and listed by name so that questions and tests can walk them.
macro_rules! record {
    ($(#[$meta:meta])* $name:ident {
        $($(#[$field_meta:meta])* $field:ident: $type:ty,)*
        @facts {
            $($(#[$fact_meta:meta])* $fact:ident: $fact_type:ty,)*
        }
    }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            $($(#[$field_meta])* pub $field: $type,)*
            $(
                #[serde(default, skip_serializing_if = "crate::survey::Fact::is_not_seen")]
                $(#[$fact_meta])* pub $fact: crate::survey::Fact<$fact_type>,
            )*
        }
        impl $name {
            /// The facts of this item by their names in the file.
            pub const FACTS: &'static [&'static str] = &[$(stringify!($fact)),*];

            /// How each fact is entered, in the order of the file.
            pub const ENTRIES: &'static [crate::survey::form::FactEntry] = &[$(crate::survey::form::FactEntry {
                name: stringify!($fact),
                form: <$fact_type as crate::survey::form::Enterable>::form,
                read: <$fact_type as crate::survey::form::Enterable>::read,
            }),*];

            /// How many facts somebody has looked for, whether they were seen or not.
            #[must_use]
            pub fn answered(&self) -> usize {
                [$(!self.$fact.is_not_seen()),*].into_iter().filter(|answered| *answered).count()
            }

            /// The facts with their values in words, in the order of the file.
            #[must_use]
            pub fn facts(&self) -> Vec<(&'static str, crate::survey::Fact<String>)> {
                vec![$((stringify!($fact), self.$fact.worded())),*]
            }
        }
        impl crate::survey::form::Record for $name {
            fn field(&self, name: &str) -> Option<serde_json::Value> {
                match name {
                    $(stringify!($field) => serde_json::to_value(&self.$field).ok(),)*
                    $(stringify!($fact) => serde_json::to_value(&self.$fact).ok(),)*
                    _ => None,
                }
            }
            fn set_field(&mut self, name: &str, value: &serde_json::Value) -> Result<(), String> {
                match name {
                    $(stringify!($field) => {
                        self.$field = serde::Deserialize::deserialize(value).map_err(|error: serde_json::Error| error.to_string())?;
                    })*
                    $(stringify!($fact) => {
                        self.$fact = serde::Deserialize::deserialize(value).map_err(|error: serde_json::Error| error.to_string())?;
                    })*
                    _ => return Err(format!("there is no field \"{name}\" here")),
                }
                Ok(())
            }
        }
    };
}

/// Declares a choice with its spelling in the file and its words for people.
macro_rules! choice {
    ($(#[$meta:meta])* $name:ident {
        $($(#[$variant_meta:meta])* $variant:ident = $file:literal, $words:literal;)+
    }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash,
                 serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        pub enum $name {
            $($(#[$variant_meta])* #[doc = concat!("In the file `", $file, "`: ", $words, ".")]
              #[serde(rename = $file)] $variant,)+
        }
        impl $name {
            /// Every choice, in the order in which it is offered.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];
            /// Every choice as the file spells it, with its words.
            pub const PICKS: &'static [crate::survey::form::Pick] = &[$(($file, $words)),+];
            /// The choice in words.
            #[must_use]
            pub fn words(self) -> &'static str {
                crate::words::word(match self { $(Self::$variant => $words),+ })
            }
            /// The spelling in the survey file.
            #[must_use]
            pub fn file_word(self) -> &'static str {
                match self { $(Self::$variant => $file),+ }
            }
        }
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.words())
            }
        }
        impl crate::survey::Worded for $name {
            fn worded(&self) -> String {
                self.words().to_owned()
            }
        }
        impl crate::survey::form::Enterable for $name {
            fn form() -> crate::survey::form::Form {
                crate::survey::form::Form::Choice(Self::PICKS)
            }
            fn read(text: &str) -> Result<serde_json::Value, String> {
                crate::survey::form::read_choice(Self::PICKS, text)
            }
        }
    };
}

pub(crate) use {choice, record};
