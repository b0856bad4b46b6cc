//! Photos of a survey: taken in from a file, turned upright, made smaller, without what a camera notes about
//! place and owner.
//!
//! The pictures of `house.json` lie in the folder `house-photos` beside it, named by their content, so that the
//! same picture is there once and a file that was swapped is noticed. Small ones for lists lie in
//! its hidden folder `.small` and can be deleted at any time.
//! A picture stays in the folder when its photo is removed from the survey, because undo brings the photo back.

mod camera;
mod decode;
mod folder;
mod jpeg;
mod notes;
mod printed;
mod small;
mod take;
#[cfg(test)]
mod tests;

pub use camera::CameraFolder;
pub(crate) use folder::copy_whole;
pub use folder::{folder_of, is_file_name};
pub use printed::pictures;
pub use small::{Small, large, small};
pub use take::{Taken, take_in};
