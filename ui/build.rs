//! Compiles the window. The font comes out of a crate, so that no font file is committed and the
//! window looks the same on a machine without fonts.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::{env, fs, io};

/// Imports the two faces and names their family.
const FONTS_SLINT: &str = r#"import "NotoSans-Regular.ttf";
import "NotoSans-Bold.ttf";
export global Fonts { out property <string> family: "Noto Sans"; }
"#;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    println!("cargo::rerun-if-changed=build.rs");
    let out = PathBuf::from(env::var("OUT_DIR")?);
    let fonts = write_fonts(&out)?;
    let config = slint_build::CompilerConfiguration::new()
        .with_library_paths(HashMap::from([("fonts".to_owned(), fonts)]))
        .embed_resources(slint_build::EmbedResourcesKind::EmbedFiles)
        .with_style("fluent".into())
        // A text is its own key, wherever it stands: the same words are told alike everywhere.
        .with_default_translation_context(slint_build::DefaultTranslationContext::None)
        .with_bundled_translations("translations");
    slint_build::compile_with_config("ui/app.slint", config)?;
    Ok(())
}

/// Writes the faces and the file that imports them; gives the path of the latter.
fn write_fonts(folder: &Path) -> io::Result<PathBuf> {
    fs::write(folder.join("NotoSans-Regular.ttf"), ttf_noto_sans::REGULAR)?;
    fs::write(folder.join("NotoSans-Bold.ttf"), ttf_noto_sans::BOLD)?;
    let entry = folder.join("fonts.slint");
    fs::write(&entry, FONTS_SLINT)?;
    Ok(entry)
}
