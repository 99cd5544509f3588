//! The field for a position: pasted, or out of a photograph.

use fairspell_ground::LatLon;
use fairspell_words::screens::places as words;
use maud::{Markup, html};

use crate::{
    fields::Fields,
    form_markup::{Field, Input},
    photo_position::{NoPosition, position_of_photo},
    place_input::{NotAPlace, read_position},
};

/// The fields' names.
const POSITION: &str = "position";
const PHOTO: &str = "photo";

/// Files with a camera's notes.
const PHOTOS: &str = "image/jpeg,image/heic,image/heif,image/tiff,image/png,image/webp";

/// A position as the field shows it; read back, it is the same one to the last digit.
pub(crate) fn shown(position: LatLon) -> String {
    format!("{}, {}", position.lat_deg(), position.lon_deg())
}

/// The two fields; the form must be sent as `multipart/form-data`.
///
/// A photograph is gone when a form is shown again, so the position that was read from it takes the
/// place of what was typed.
pub(crate) fn inputs(fields: &Fields, label: &str) -> Markup {
    let from_photo = fields.file(PHOTO).and_then(|photo| position_of_photo(&photo.bytes).ok());
    let typed = from_photo.map_or_else(|| fields.text(POSITION).to_owned(), shown);
    html! {
        (Field::new(fields, POSITION, label)
            .hint(words::POSITION_HINT)
            .value(&typed)
            .input(Input::Text))
        (Field::new(fields, PHOTO, words::PHOTO)
            .hint(words::PHOTO_HINT)
            .input(Input::File(PHOTOS)))
    }
}

/// The position of a form; a photograph counts before what was typed. What is wrong is noted.
pub(crate) fn read(fields: &mut Fields) -> Option<LatLon> {
    if let Some(photo) = fields.file(PHOTO) {
        return match position_of_photo(&photo.bytes) {
            Ok(position) => Some(position),
            Err(why) => {
                fields.refuse(PHOTO, photo_words(why));
                None
            }
        };
    }
    let Some(typed) = fields.filled(POSITION) else {
        fields.refuse(POSITION, words::POSITION_NEEDED);
        return None;
    };
    match read_position(typed) {
        Ok(position) => Some(position),
        Err(why) => {
            fields.refuse(POSITION, position_words(why));
            None
        }
    }
}

fn position_words(why: NotAPlace) -> &'static str {
    match why {
        NotAPlace::Unreadable => words::POSITION_UNREADABLE,
        NotAPlace::OutOfRange => words::POSITION_OUT_OF_RANGE,
        NotAPlace::LinkWithout => words::POSITION_LINK,
        NotAPlace::OtherGrid => words::POSITION_GRID,
    }
}

fn photo_words(why: NoPosition) -> &'static str {
    match why {
        NoPosition::NotReadable => words::PHOTO_UNREADABLE,
        NoPosition::NotNoted => words::PHOTO_WITHOUT,
        NoPosition::Impossible => words::PHOTO_IMPOSSIBLE,
    }
}
