//! Light, text size and language, as the person chose them.

use deadfront_rules::words::Language;

use crate::DisplayChoice;
use crate::generated::Setting;

/// Lets the fixed texts of the window be told in a language.
pub(crate) fn translate(language: Language) {
    let code = if language == Language::English { "" } else { language.code() };
    // Every language of the program is bundled, which a test shows; English is what stands in the source.
    let _ = slint::select_bundled_translation(code);
}

/// What is chosen on the display page.
pub(crate) fn chosen(setting: &Setting<'_>) -> DisplayChoice {
    let percent = (setting.get_text_scale() * 100.0).round().clamp(100.0, 150.0);
    DisplayChoice {
        dark: setting.get_dark(),
        percent: percent as u8,
        language: Language::of_code(&setting.get_language()).unwrap_or_default(),
    }
}
