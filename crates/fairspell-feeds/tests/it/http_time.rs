use fairspell_feeds::http_time::{Freshness, http_date, retry_after};
use jiff::Timestamp;

use crate::world::{at, minutes};

/// RFC 9110, section 5.6.7: three forms of one date, as the section prints them.
#[test]
fn all_three_forms_of_a_date_are_read() {
    let expected = Some(at("1994-11-06T08:49:37Z"));
    for text in [
        "Sun, 06 Nov 1994 08:49:37 GMT",
        "Sunday, 06-Nov-94 08:49:37 GMT",
        "Sun Nov  6 08:49:37 1994",
    ] {
        assert_eq!(http_date(text), expected, "{text}");
    }
    for text in ["", "0", "tomorrow", "Sun, 06 Nov 1994 08:49:37"] {
        assert_eq!(http_date(text), None, "{text}");
    }
}

/// RFC 9110, section 10.2.3: the two examples it prints.
#[test]
fn a_service_may_say_when_to_come_back_by_date_or_by_seconds() {
    let now = at("1999-12-31T23:00:00Z");
    assert_eq!(retry_after("Fri, 31 Dec 1999 23:59:59 GMT", now), Some(at("1999-12-31T23:59:59Z")));
    assert_eq!(retry_after("120", now), Some(now + minutes(2)));
    assert_eq!(retry_after("soon", now), None);
    assert_eq!(retry_after("Fri, 31 Dec 1999 22:00:00 GMT", now), Some(now), "has passed");
}

fn until(cache_control: Option<&str>, expires: Option<&str>, age: Option<&str>) -> Option<i64> {
    let now: Timestamp = at("1994-12-01T15:30:00Z");
    let date = Some("Thu, 01 Dec 1994 15:00:00 GMT");
    let until = Freshness { cache_control, expires, date, age }.until(now)?;
    Some(until.duration_since(now).as_secs())
}

/// RFC 9111, section 5.3, whose example is `Expires: Thu, 01 Dec 1994 16:00:00 GMT`. Our clock here
/// is half an hour ahead of the service's: its hour stays an hour.
#[test]
fn an_expiry_is_read_against_the_services_own_clock() {
    let expires = Some("Thu, 01 Dec 1994 16:00:00 GMT");
    assert_eq!(until(None, expires, None), Some(3600));
    // Section 5.3: "0" and whatever else is no date has expired.
    assert_eq!(until(None, Some("0"), None), None);
    assert_eq!(until(None, Some("-1"), None), None);
}

/// RFC 9111, sections 4.2.1, 4.2.3, 5.2.2 and 1.2.2.
#[test]
fn max_age_comes_before_expires_and_a_cache_on_the_way_uses_it_up() {
    let expires = Some("Thu, 01 Dec 1994 16:00:00 GMT");
    assert_eq!(until(Some("public, max-age=282, s-maxage=3600"), expires, None), Some(282));
    assert_eq!(until(Some("Max-Age=\"282\""), expires, Some("82")), Some(200));
    assert_eq!(until(Some("max-age=60"), None, Some("61")), None, "stale on arrival");
    assert_eq!(until(Some("no-cache, max-age=600"), expires, None), None);
    assert_eq!(until(Some("no-store"), expires, None), None);
    // Too large for a number of 31 bits, and for any: both are a very long time, which we cut.
    let a_day = Some(24 * 3600);
    assert_eq!(until(Some("max-age=2147483648"), None, None), a_day);
    assert_eq!(until(Some("max-age=99999999999999999999999"), None, None), a_day);
    assert_eq!(until(Some("max-age=soon"), None, None), None);
}
