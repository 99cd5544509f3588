use fairspell_studio::field_text::{LogText, LogTextError, read_log_text};
use proptest::prelude::*;

const LINH: &str = "2026-09-03-linh";
const LOG: &str = "{\"fairspell_field_log\": 1, \"session\": \"2026-09-03-linh\", \
                   \"sheet_digest\": \"ab\", \"written_at\": \"2026-09-03T08:00:00Z\", \
                   \"events\": [{\"id\": \"k3-1\", \"kind\": \"note\", \"text\": \"mud {at} the gate\"}]}";

fn read(text: &str) -> Result<LogText, LogTextError> {
    read_log_text(text, LINH)
}

#[test]
fn a_log_is_found_among_what_a_message_puts_around_it() {
    let log = read(LOG).unwrap();
    assert_eq!((log.sheet_digest.as_str(), log.events.len()), ("ab", 1));
    for text in [
        format!("Field log of Linh, 1 tap {{so far}}\n{LOG}"),
        format!("  {LOG}\n\nSent from my telephone"),
        format!("> {LOG} }} {{"),
        LOG.replace(", ", ",\r\n"),
        // Members may come in any order.
        LOG.replace("\"fairspell_field_log\": 1, ", "")
            .replace("}]}", "}], \"fairspell_field_log\": 1}"),
        // Wrapped in the middle of a note.
        LOG.replace("mud {at}", "mud\n{at}"),
    ] {
        assert_eq!(read(&text).as_ref(), Ok(&log), "{text}");
    }
}

#[test]
fn what_is_wrong_is_told_apart() {
    assert_eq!(read(""), Err(LogTextError::NoLog));
    assert_eq!(read("how was it?"), Err(LogTextError::NoLog));
    assert_eq!(read("fairspell_field_log 1"), Err(LogTextError::Garbled));
    assert_eq!(read(&LOG.replace("\"events\":", "\"events\"")), Err(LogTextError::Garbled));
    assert_eq!(read(&LOG.replace("\"events\"", "\"taps\"")), Err(LogTextError::Garbled));
    let other = LOG.replace("linh", "mai");
    let found = "2026-09-03-mai".to_owned();
    assert_eq!(read(&other), Err(LogTextError::OtherSession { found }));
    let newer = LOG.replace("_log\": 1", "_log\": 2");
    assert_eq!(read(&newer), Err(LogTextError::OtherVersion { found: 2 }));
}

#[test]
fn a_log_that_is_cut_off_anywhere_is_never_taken_for_a_whole_one() {
    for end in LOG.find(':').unwrap()..LOG.len() {
        assert_eq!(read(&LOG[..end]), Err(LogTextError::CutOff), "{end}");
    }
}

proptest! {
    #[test]
    fn no_text_is_a_panic(text in ".{0,40}", at in 0_usize..300) {
        let at = (0..=at.min(LOG.len())).rev().find(|at| LOG.is_char_boundary(*at)).unwrap();
        let _ = read(&format!("{}{text}{}", &LOG[..at], &LOG[at..]));
    }
}
