//! A picture of the window.

/// Pixels of the window, row by row from the top left, each red, green, blue, opacity.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Width [px].
    pub width: u32,
    /// Height [px].
    pub height: u32,
    /// Four bytes a pixel.
    pub rgba: Vec<u8>,
}
