use fairspell_weather::vtec::{Vtec, VtecAction};
use proptest::prelude::*;

use crate::time;

#[test]
fn a_code_is_read_field_by_field() {
    let code: Vtec = "/O.NEW.KTST.SV.W.0042.300614T2112Z-300614T2200Z/".parse().unwrap();
    assert_eq!((code.product_class, code.action), ('O', VtecAction::New));
    assert_eq!((code.office.as_str(), code.phenomenon.as_str()), ("KTST", "SV"));
    assert_eq!((code.significance, code.event_number), ('W', 42));
    assert_eq!(code.begin, Some(time("2030-06-14T21:12:00Z")));
    assert_eq!(code.end, Some(time("2030-06-14T22:00:00Z")));
    assert!(!code.is_over());
}

#[test]
fn zeros_mean_begun_already_and_until_further_notice() {
    let code: Vtec = "/O.UPG.KTST.HU.A.1003.000000T0000Z-000000T0000Z/".parse().unwrap();
    assert_eq!((code.begin, code.end), (None, None));
    assert!(code.is_over());
}

#[test]
fn other_texts_are_no_codes() {
    for text in [
        "",
        "/",
        "//",
        "O.NEW.KTST.SV.W.0042.300614T2112Z-300614T2200Z",
        "/O.QQQ.KTST.SV.W.0042.300614T2112Z-300614T2200Z/",
        "/O.NEW.KTST.SV.W.0042.301314T2112Z-300614T2200Z/",
        "/O.NEW.KTST.SV.W.0042.300614T2112Z-+30614T2200Z/",
        "/O.NEW.KTST.SV.W.0042.300614T2112Z-300614T22é/",
        "/O.NEW.KTST.SV.W.0042.300614T2112Z-300614T2200Z.more/",
    ] {
        assert!(text.parse::<Vtec>().is_err(), "{text}");
    }
}

proptest! {
    #[test]
    fn no_text_whatever_is_fatal(text in "(/[A-Z]\\.[A-Z]{3}\\.\\PC{0,40}/)|\\PC{0,60}") {
        let _ = text.parse::<Vtec>();
    }
}
