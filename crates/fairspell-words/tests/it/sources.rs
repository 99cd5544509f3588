use fairspell_studio::{SourceState, outlook::SourceKind};
use fairspell_words::source_state;

use crate::world::{at, zone};

#[test]
fn each_state_says_source_age_and_what_to_do() {
    let source = || "Coast Radar".to_owned();
    let issued = at("2026-09-03 14:06");
    for (state, said) in [
        (
            SourceState::Fresh { source: source(), issued },
            "Radar: fresh; Coast Radar, as of 14:06 (24 minutes old).",
        ),
        (
            SourceState::Stale { source: source(), issued },
            "Radar: too old to rely on; Coast Radar, as of 14:06 (24 minutes old).",
        ),
        (
            SourceState::NotCovering { source: source() },
            "Radar: Coast Radar does not speak of these hours or this place.",
        ),
        (SourceState::Missing, "Radar: missing, so not known."),
        (
            SourceState::NoneHere,
            "Radar: none is read for this place; look at a radar loop and at the sky yourself before you leave.",
        ),
        (SourceState::NotYet, "Radar: not looked at yet, the session is too far off."),
    ] {
        assert_eq!(source_state(SourceKind::Radar, &state, at("2026-09-03 14:30"), &zone()), said);
    }
}
