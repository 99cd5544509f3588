//! Skylines as lines of text.

use fairspell_web::skyline_input::{read_skyline, written_skyline};

#[test]
fn a_skyline_is_read_back_as_it_is_written() {
    let text = "240-295: 8\n350-20: 3.5\n0-360: 1";
    assert_eq!(written_skyline(&read_skyline(text).unwrap()), text);
    assert_eq!(read_skyline("").unwrap().sectors(), []);
}

#[test]
fn dashes_commas_degree_signs_and_blanks_do_not_matter() {
    let plain = read_skyline("240-295: 8.5").unwrap();
    for text in ["240–295:8,5", " 240 to 295 : 8.5° ", "\n240° - 295°: 8.5\n\n"] {
        assert_eq!(read_skyline(text).unwrap(), plain, "{text}");
    }
}

#[test]
fn the_line_that_cannot_be_read_is_named() {
    for text in [
        "240-295",
        "240: 8",
        "240-295: high",
        "west-north: 8",
        "240-395: 8",
        "-10-20: 8",
        "240-295: 91",
        "240-295: NaN",
        "240-295: 1e1",
    ] {
        let refused = read_skyline(&format!("0-10: 1\n\n{text}")).unwrap_err();
        assert_eq!((refused.line, refused.text.as_str()), (3, text));
    }
}
