//! Has the photo been made smaller on its way here?
//!
//! Messengers shrink photos to a fixed longest side and strip the camera's name. A 'per pixel' scale of the original
//! is then void, and nothing in the file says so. The sides below are common practice, no source; they change with the
//! messengers. A microscope may well give 1600 x 1200 px, so this is a hint and never a refusal.
//!
//! Not covered: a shrunk photo saved as something else than JPEG; other sides; a photo cut after it was shrunk.

use crate::decode::{Format, Photo};

/// Longest sides, in pixels, to which messengers and picture pages commonly shrink. Common practice, no source.
const USUAL_SIDES_PX: [u32; 5] = [960, 1280, 1600, 2048, 2560];

/// A remark for the user when a photo looks like one that a messenger has shrunk, or `None`.
///
/// To be shown with a [`ScaleMark::PerPixel`](super::ScaleMark::PerPixel), whose value it voids if true.
pub fn resampled_hint(photo: &Photo) -> Option<String> {
    hint(photo.format, photo.width, photo.height, photo.camera.is_named())
}

fn hint(format: Format, width: u32, height: u32, camera_named: bool) -> Option<String> {
    let longest = width.max(height);
    if format != Format::Jpeg || camera_named || !USUAL_SIDES_PX.contains(&longest) {
        return None;
    }
    Some(format!(
        "the longest side is {longest} px and the camera's name is missing, as after sending by messenger: if the photo was shrunk, \
         a scale in micrometres per pixel is void; mark a ruler, bar or plate in this photo instead"
    ))
}

#[cfg(test)]
mod tests {
    use super::hint;
    use crate::decode::Format;

    #[test]
    fn only_a_nameless_jpeg_of_a_messengers_size_gets_the_hint() {
        let text = "the longest side is 1600 px and the camera's name is missing, as after sending by messenger: if the photo was shrunk, \
                    a scale in micrometres per pixel is void; mark a ruler, bar or plate in this photo instead";
        assert_eq!(hint(Format::Jpeg, 1200, 1600, false).as_deref(), Some(text));
        assert_eq!(hint(Format::Jpeg, 1200, 1600, true), None, "the camera left its name");
        assert_eq!(hint(Format::Tiff, 1600, 1200, false), None, "a microscope's own file");
        assert_eq!(hint(Format::Jpeg, 4000, 3000, false), None);
        assert_eq!(hint(Format::Jpeg, 1601, 1200, false), None);
    }
}
