//! The events of a calendar become bookings.

use fairspell_ground::Reading;
use jiff::tz::TimeZone;

use crate::{
    About, Booking, CalendarError, Origin, Remark,
    lines::{Component, components},
    plain::{Plain, cut, one_line},
    read::MOST,
    vevent::booking,
};

/// Reads a calendar; see [`read_bookings`](crate::read_bookings).
pub(crate) fn bookings_of_calendar(
    bytes: &[u8],
    zone: &TimeZone,
) -> Result<Reading<Vec<Booking>, Remark>, CalendarError> {
    let calendars = components(bytes);
    let events = || {
        calendars
            .iter()
            .flat_map(|calendar| calendar.all("VEVENT").map(move |event| (calendar, event)))
    };
    if events().count() > MOST {
        return Err(CalendarError::TooMany { most: MOST });
    }
    let (mut value, mut remarks) = (Vec::new(), Vec::new());
    for (index, (calendar, event)) in events().enumerate() {
        let origin = Origin::Event { number: index + 1, uid: uid(event) };
        let mut plain = Plain { origin: &origin, remarks: &mut remarks };
        let booking = if calls_off(calendar, event) {
            Err(About::CalledOff)
        } else if event.is_whole {
            booking(calendar, event, &mut plain, zone)
        } else {
            Err(About::CutShort)
        };
        match booking {
            Ok(booking) => value.push(booking),
            Err(about) => plain.remark(about),
        }
    }
    Ok(Reading { value, remarks })
}

fn uid(event: &Component) -> Option<String> {
    let uid = cut(&one_line(&event.property("UID")?.value), 200).0;
    Some(uid).filter(|uid| !uid.is_empty())
}

fn calls_off(calendar: &Component, event: &Component) -> bool {
    let is = |component: &Component, name: &str, value: &str| {
        component
            .property(name)
            .is_some_and(|property| property.value.trim().eq_ignore_ascii_case(value))
    };
    is(event, "STATUS", "CANCELLED") || is(calendar, "METHOD", "CANCEL")
}
