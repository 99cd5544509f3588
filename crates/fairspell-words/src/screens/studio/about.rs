//! Name, place, clock, artist, contact.

/// The page's heading.
pub const HEADING: &str = "Name and place";
/// The studio's name.
pub const NAME: &str = "The studio's name, as it stands on letters";
/// The photographer's name.
pub const OWNER: &str = "Your name, as you sign";
/// Where it is.
pub const PLACE: &str = "Where it is, in words";
/// Home.
pub const HOME: &str = "Home, where your drive begins";
/// How a position is written.
pub const HOME_HINT: &str = "Degrees north and east with a comma between them, such as -31.72, 152.79. \
                             South and west are negative.";
/// The zone.
pub const ZONE: &str = "Time zone";
/// How a zone is written.
pub const ZONE_HINT: &str = "As computers name it, by continent and city: Australia/Sydney.";
/// Hair and make-up.
pub const ARTIST: &str = "Hair and make-up";
/// Her name.
pub const ARTIST_NAME: &str = "Her name";
/// When it stays empty.
pub const ARTIST_NAME_HINT: &str = "Empty where somebody at home does it.";
/// Her terms.
pub const ARTIST_FREE: &str = "A change is free up to so many hours before her chair";
/// From when on her whole fee is due.
pub const ARTIST_FULL: &str = "Her whole fee is due from so many hours before her chair on";
/// What it is in between.
pub const ARTIST_FULL_HINT: &str = "In between it is half of it.";
/// What she charges.
pub const ARTIST_FEE: &str = "Her fee for a session, in your currency";
/// The contact.
pub const CONTACT: &str = "E-mail address for weather services";
/// Who sees it.
pub const CONTACT_HINT: &str = "Services ask for one, to write before they turn somebody away. It goes \
                                to them with every request, and to nobody else. Some send nothing \
                                without it.";
/// The codes of warnings.
pub const AREAS: &str = "Codes by which official warnings name your place";
/// How they are written.
pub const AREAS_HINT: &str = "One on each line, with the system before it, such as UGC:FLC109. Empty \
                              where warnings come with their own outlines.";
/// Nothing was typed.
pub const TEXT_WRONG: &str = "Please fill this in.";
/// No position.
pub const HOME_WRONG: &str = "That is no position. One looks like -31.72, 152.79.";
/// No zone.
pub const ZONE_WRONG: &str = "That time zone is not known. One looks like Australia/Sydney.";
/// A session would start at an hour that does not come once.
pub const ZONE_SKIPS: &str = "By that clock one of your sessions would start at an hour that does not \
                              come, or comes twice, on its day. Move that session first.";
/// No number of hours.
pub const ARTIST_FREE_WRONG: &str = "Please give whole hours, from 0 to 1000.";
/// The hours of the whole fee are none.
pub const ARTIST_FULL_WRONG: &str =
    "Please give whole hours, no more than those up to which a change is free.";
/// The fee is no amount.
pub const ARTIST_FEE_WRONG: &str = "Please give an amount, such as 150.";
/// No address.
pub const CONTACT_WRONG: &str = "That does not look like an e-mail address.";

/// A code is not written as it must be.
pub fn area_wrong(area: &str) -> String {
    format!("\"{area}\" has no system before it. A code looks like UGC:FLC109.")
}
