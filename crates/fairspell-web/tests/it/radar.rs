use crate::{
    desk::moment,
    readings::Readings,
    served::{Browser, Served, Setup, it_is},
};

const HERE: &str = "/sessions/2026-09-03-linh/radar";

fn with_radar(readings: &Readings) {
    readings.dry();
    for minutes in 0..=6 {
        readings
            .radar(moment("2026-09-03T02:00:00Z") + jiff::SignedDuration::from_mins(10 * minutes));
    }
}

async fn at(text: &str) -> (Served, Browser) {
    it_is(text);
    let served = Served::with(Setup { readings: with_radar, ..Setup::default() }).await;
    let hers = served.hers().await;
    (served, hers)
}

/// The frames of a page: its links, and in each drawing the one that is not hidden.
fn shown(page: &str) -> (usize, Vec<usize>) {
    let links = page.matches("data-show-frame=\"").count();
    let frames = page.split("<g data-frame=\"").skip(1).filter_map(|rest| {
        let tag = rest.split('>').next().unwrap();
        let number = tag.split('"').next().unwrap().parse().unwrap();
        (!tag.contains("data-off")).then_some(number)
    });
    (links, frames.collect())
}

#[tokio::test]
async fn the_newest_picture_is_shown_and_every_other_one_is_a_link_away() {
    let (_served, hers) = at("2026-09-03T03:05:00Z").await;
    let page = hers.get(HERE).await;
    let (frames, first_shown) = shown(&page.text);
    assert_eq!(frames, 7 + 18, "seen and coming pictures");
    let [wide, narrow] = first_shown[..] else { panic!("two drawings show {first_shown:?}") };
    assert_eq!(wide, narrow);
    page.says("Coming pictures carry the rain on").says("The beam climbs with distance");
    let current = page.between("aria-current=\"true\">", "<").unwrap().to_owned();
    assert!(current.contains("13:00"), "{current}");
    for frame in 0..frames {
        let page = hers.get(&format!("{HERE}?frame={frame}")).await;
        assert_eq!(shown(&page.text), (frames, vec![frame, frame]));
        page.says(&format!("data-show-frame=\"{frame}\" aria-current=\"true\""));
        assert_eq!(page.text.matches("aria-current=\"true\"").count(), 1);
    }
    for odd in ["?frame=", "?frame=999", "?frame=x", "?frame=-1", "?x=1"] {
        let page = hers.get(&format!("{HERE}{odd}")).await;
        assert_eq!(shown(&page.text), (frames, first_shown.clone()), "{odd}");
    }
}

#[tokio::test]
async fn the_place_itself_is_told_first_and_gaps_before_rain() {
    let (_served, hers) = at("2026-09-03T03:05:00Z").await;
    let page = hers.get(HERE).await;
    let (before_loop, _) = page.text.split_once("data-rain-loop").unwrap();
    let (_, here) = before_loop.split_once("The next three hours here").unwrap();
    let gap = here.find("25 dry minutes on end, by 16:").unwrap();
    let rain = here.find("How hard by 16:").unwrap();
    let sky = here.find("Wet sky within 60 km").unwrap();
    assert!(gap < rain && rain < sky, "{here}");
}

#[tokio::test]
async fn every_picture_says_whether_it_was_seen_or_is_likely_and_when() {
    let (_served, hers) = at("2026-09-03T03:05:00Z").await;
    let page = hers.get(HERE).await;
    page.says("aria-label=\"13:00, seen, 5 minutes old\"")
        .says("aria-label=\"13:05, expected by now\"")
        .says("aria-label=\"13:40, expected, in 35 minutes\"")
        .says("aria-label=\"14:30, expected, in 85 minutes\"");
    // In each of two drawings: the words of a frame, and what it rests on.
    assert_eq!(page.text.matches(">expected, in 35 minutes</text>").count(), 2);
    let rests_on = ">told from the picture of 13:00, 5 minutes old</text>";
    assert_eq!(page.text.matches(rests_on).count(), 2 * 18);
    let (seen, coming) = page.text.split_once("id=\"frames-coming\"").unwrap();
    assert_eq!(seen.matches("data-show-frame=").count(), 7);
    assert_eq!(coming.matches("data-show-frame=").count(), 18);
}

#[tokio::test]
async fn the_chances_of_the_next_hour_say_their_hours_place_source_and_age() {
    let (_served, hers) = at("2026-09-03T03:05:00Z").await;
    let page = hers.get(HERE).await;
    let (_, hour) = page.text.split_once("id=\"next-hour\"").unwrap();
    assert_eq!(hour.matches("<svg ").count(), 2);
    let title = hour.split_once("<title").unwrap().1.split_once("</title>").unwrap().0;
    for words in [
        "Chance of rain around Heron Walk, 13:05 to 14:05: ",
        " % at Heron Walk; likely in ",
        " % of what was measured; 0 % of the map not measured.",
        "Radar (invented), as of 13:00, 5 minutes old.",
    ] {
        assert!(title.contains(words), "{words} in {title}");
    }
    for words in ["unlikely, under 20 %", "likely, 50 to 80 %", "very likely, 80 % and more"] {
        assert_eq!(hour.matches(&format!(">{words}</text>")).count(), 2, "{words}");
    }
    // A shower passes, and far from it the sky is clear: there are both kinds of answer.
    for class in ["<path class=\"paper\" d=", "-many-c)"] {
        assert!(hour.contains(class), "{class}");
    }
}

#[tokio::test]
async fn where_there_is_no_picture_it_says_why() {
    let (_served, hers) = at("2026-09-02T08:10:00Z").await;
    hers.get(HERE).await.says("from about four hours before the session on");
    // Twenty minutes and more after the last picture it is too old to go by.
    let (_served, hers) = at("2026-09-03T04:45:00Z").await;
    let page = hers.get(HERE).await;
    page.says("That does not mean that it is dry.").never_says("data-frame");
}
