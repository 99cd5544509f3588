//! Calendars and lists of bookings in, the private calendar of gates out.
