use base64::{Engine, prelude::BASE64_STANDARD};
use fairspell_tell::{
    MailSettings, TellError,
    mail::{Mailbox, Security, message, send},
};
use mailparse::{MailHeaderMap, ParsedMail, parse_mail};

use crate::{
    server::smtp,
    world::{NOON, at, mail_settings},
};

fn formatted(settings: &MailSettings, subject: &str, body: &str) -> Vec<u8> {
    message(settings, subject, body, at(NOON), "must-move/linh").unwrap().formatted()
}

fn header(mail: &ParsedMail<'_>, name: &str) -> String {
    mail.headers.get_first_value(name).unwrap()
}

const NAMES: [&str; 7] = [
    "Inés Corrigan-Vale",
    "Nguyễn Thị Linh",
    "山田 花子",
    "Мария Иванова",
    "مريم بنت عبد الله",
    "Quoc \"the dune\" O'Neill, Jr. <x@y.example>",
    "🌧️ Ines",
];

/// The reading side is another program: `mailparse`.
#[test]
fn names_and_words_in_any_script_arrive_as_they_were_written() {
    for name in NAMES.map(str::to_owned).into_iter().chain(NAMES.map(|name| name.repeat(12))) {
        let mut settings = mail_settings(25);
        settings.to.name.clone_from(&name);
        let body =
            format!("{name}\n\nAs of 14:30: wait.\n.\nFrom here on dry. {}", name.repeat(20));
        let text = formatted(&settings, &format!("Must move: {name}"), &body);
        let mail = parse_mail(&text).unwrap();
        assert_eq!(header(&mail, "Subject"), format!("Must move: {name}"));
        let to = mailparse::addrparse_header(mail.headers.get_first_header("To").unwrap()).unwrap();
        let to = to.extract_single_info().unwrap();
        assert_eq!(to.display_name.as_ref(), Some(&name));
        assert_eq!(to.addr, "ines@studio.example");
        let read = mail.get_body().unwrap();
        assert_eq!(read.replace("\r\n", "\n").trim_end(), body);
    }
}

/// RFC 5322, section 2.1.1: lines must have 998 characters at most and should have 78; RFC 2047,
/// section 2: an encoded word has 75 at most. The writing crate keeps the last piece of a long name
/// on one line with the address, which is why 78 is asked of the body alone.
#[test]
fn the_message_keeps_to_rfc_5322_line_by_line() {
    for name in NAMES.map(|name| name.repeat(12)) {
        let mut settings = mail_settings(25);
        settings.from.name.clone_from(&name);
        let text = String::from_utf8(formatted(&settings, &name, &name.repeat(9))).unwrap();
        assert!(!text.replace("\r\n", "").contains(['\r', '\n']), "bare CR or LF in\n{text}");
        let (head, body) = text.split_once("\r\n\r\n").unwrap();
        assert!(head.is_ascii() && body.is_ascii(), "{text}");
        assert!(head.split("\r\n").all(|line| line.len() <= 998), "{head}");
        assert!(body.split("\r\n").all(|line| line.len() <= 78), "{body}");
        for word in head.split_whitespace().filter(|word| word.starts_with("=?")) {
            assert!(word.len() <= 75 && word.ends_with("?="), "{word}");
        }
    }
}

#[test]
fn the_header_says_when_from_whom_to_whom_and_that_nobody_need_answer() {
    let text = formatted(&mail_settings(25), "Must move: Linh", "As of 12:00.");
    let mail = parse_mail(&text).unwrap();
    assert_eq!(header(&mail, "Date"), "Thu, 03 Sep 2026 02:00:00 +0000");
    assert_eq!(header(&mail, "From"), "\"Half Past Dune\" <ines@studio.example>");
    assert_eq!(header(&mail, "Auto-Submitted"), "auto-generated");
    assert_eq!(header(&mail, "Content-Type"), "text/plain; charset=utf-8");
    let id = header(&mail, "Message-ID");
    assert!(id.starts_with('<') && id.ends_with("@studio.example>"), "{id}");
    for once in ["Date", "From", "To", "Subject", "Message-ID", "MIME-Version"] {
        assert_eq!(mail.headers.get_all_values(once).len(), 1, "{once}");
    }
}

#[test]
fn the_same_notice_has_the_same_message_id_and_another_has_another() {
    let id = |key: &str| {
        let message = message(&mail_settings(25), "Hello", "Text", at(NOON), key).unwrap();
        header(&parse_mail(&message.formatted()).unwrap(), "Message-ID")
    };
    assert_eq!(id("band/linh"), id("band/linh"));
    assert_ne!(id("band/linh"), id("band/mateo"));
}

#[test]
fn a_line_end_in_a_name_or_subject_begins_no_header() {
    for evil in ["Linh\r\nBcc: all@example.org", "Linh\nBcc: all@example.org", "Linh\r\n\r\nBcc: x"]
    {
        let mut settings = mail_settings(25);
        evil.clone_into(&mut settings.from.name);
        evil.clone_into(&mut settings.to.name);
        let text = formatted(&settings, evil, "Text");
        let mail = parse_mail(&text).unwrap();
        assert!(mail.headers.get_first_value("Bcc").is_none(), "{evil:?}");
        assert_eq!(mail.get_body().unwrap().trim_end(), "Text");
        evil.clone_into(&mut settings.to.address);
        assert!(matches!(settings.check(), Err(TellError::MailSetting { what: "to", .. })));
    }
}

#[test]
fn settings_are_checked_and_the_open_way_is_for_this_machine_only() {
    let check = |change: &dyn Fn(&mut MailSettings)| {
        let mut settings = mail_settings(25);
        change(&mut settings);
        settings.check().err().map(|error| error.to_string())
    };
    assert_eq!(check(&|_| ()), None);
    assert_eq!(check(&|s| s.host = "localhost".into()), None);
    assert_eq!(check(&|s| s.host = "::1".into()), None);
    let open = "mail to mail.example without encryption would be readable on the way";
    assert_eq!(check(&|s| s.host = "mail.example".into()).unwrap(), open);
    assert_eq!(
        check(&|s| (s.host, s.security) = ("mail.example".into(), Security::StartTls)),
        None
    );
    assert_eq!(check(&|s| s.host = String::new()).unwrap(), "the mail setting `host` cannot be ``");
    assert_eq!(
        check(&|s| s.host = "a b".into()).unwrap(),
        "the mail setting `host` cannot be `a b`"
    );
    assert_eq!(check(&|s| s.port = 0).unwrap(), "the mail setting `port` cannot be `0`");
    assert_eq!(
        check(&|s| s.from.address = "ines".into()).unwrap(),
        "the mail setting `from` cannot be `ines`"
    );
}

#[test]
fn settings_keep_their_password_to_themselves() {
    let settings = mail_settings(25);
    let printed = format!("{settings:?}");
    assert!(printed.contains("ines@studio.example"));
    assert!(!printed.contains(&settings.password), "{printed}");
    let json = serde_json::to_string(&settings).unwrap();
    assert_eq!(serde_json::from_str::<MailSettings>(&json).unwrap(), settings);
}

async fn sent(settings: &MailSettings) -> Result<(), TellError> {
    let message =
        message(settings, "Must move: Linh", "One.\n.\n..two\nThree.", at(NOON), "k").unwrap();
    send(settings, &message).await
}

#[tokio::test]
async fn a_mail_server_takes_the_message_from_her_to_her() {
    let server = smtp("", "");
    sent(&mail_settings(server.port)).await.unwrap();
    let heard = server.heard.recv().unwrap();
    assert!(heard.starts_with("EHLO localhost\r\n"), "{heard}");
    let credentials = BASE64_STANDARD.encode("\0ines\0a dune at half past");
    assert!(heard.contains(&format!("AUTH PLAIN {credentials}\r\n")), "{heard}");
    assert!(heard.contains("MAIL FROM:<ines@studio.example>"), "{heard}");
    assert!(heard.contains("RCPT TO:<ines@studio.example>"), "{heard}");
    // RFC 5321, section 4.5.2: a line that begins with a dot gets another.
    assert!(heard.contains("One.\r\n..\r\n...two\r\nThree."), "{heard}");
}

#[tokio::test]
async fn each_no_of_a_mail_server_is_named_by_its_cause() {
    for (command, answer, expected) in [
        ("AUTH", "535 5.7.8 no such user", "refused sign-in: "),
        ("MAIL", "530 5.7.0 sign in first", "refused sign-in: "),
        ("RCPT", "550 5.1.1 no such mailbox", "refused address: "),
        ("MAIL", "553 5.1.8 not your address", "refused address: "),
        ("RCPT", "451 4.3.0 busy", "the mail server asks to try later: "),
        ("MAIL", "421 4.3.2 closing", "the mail server asks to try later: "),
        ("DATA", "554 5.7.1 no", "the mail server refused: "),
    ] {
        let server = smtp(command, answer);
        let error = sent(&mail_settings(server.port)).await.unwrap_err();
        assert!(error.to_string().starts_with(expected), "{answer}: {error}");
        assert_eq!(error.is_passing(), answer.starts_with('4'), "{answer}");
        assert!(!error.to_string().contains("half past"), "{error}");
    }
}

#[tokio::test]
async fn a_server_without_starttls_or_sign_in_is_not_talked_into_it() {
    let server = smtp("", "");
    let settings = MailSettings { security: Security::StartTls, ..mail_settings(server.port) };
    let error = sent(&settings).await.unwrap_err();
    assert!(matches!(error, TellError::NotSecure { .. }), "{error}");
    let heard = server.heard.recv().unwrap();
    assert!(!heard.contains("AUTH") && !heard.contains("MAIL"), "{heard}");

    let server = smtp("EHLO", "250 mail.example");
    let error = sent(&mail_settings(server.port)).await.unwrap_err();
    assert!(matches!(error, TellError::SignIn(_)), "{error}");
}

/// With the clock of the test, ten seconds of waiting pass at once.
#[tokio::test(start_paused = true)]
async fn a_server_that_is_not_there_or_says_nothing_cannot_be_reached() {
    let silent = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    for port in [1, silent.local_addr().unwrap().port()] {
        let error = sent(&mail_settings(port)).await.unwrap_err();
        assert_eq!(error, TellError::CannotReach { host: "127.0.0.1".to_owned(), port });
        assert!(error.is_passing());
    }
}

#[tokio::test]
async fn nobody_signs_in_where_no_user_is_set() {
    let server = smtp("AUTH", "535 nobody asked you");
    let settings = MailSettings { user: String::new(), ..mail_settings(server.port) };
    sent(&settings).await.unwrap();
}

#[test]
fn control_characters_in_a_name_become_blanks() {
    let mut settings = mail_settings(25);
    settings.to.name = "Linh\u{0}\u{1b}[31m\tTran\u{7f}".to_owned();
    let text = formatted(&settings, "Hello\u{7}", "Text");
    let mail = parse_mail(&text).unwrap();
    let to = header(&mail, "To");
    assert!(to.contains("Linh [31m Tran") && !to.contains(char::is_control), "{to:?}");
    assert_eq!(header(&mail, "Subject"), "Hello");
}

#[test]
fn an_empty_name_leaves_the_address_alone() {
    let mut settings = mail_settings(25);
    settings.to = Mailbox { name: " ".to_owned(), ..settings.to };
    let text = formatted(&settings, "Hello", "Text");
    assert_eq!(header(&parse_mail(&text).unwrap(), "To"), "ines@studio.example");
}
