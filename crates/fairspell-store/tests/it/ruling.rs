//! Rulings are kept when somebody would act differently.

use fairspell_studio::{Band, Rule, Step, ruling::Check};

use crate::world::{SESSION, fresh, minutes_later, outlook, ruled};

#[tokio::test]
async fn a_ruling_is_kept_when_band_step_or_rule_differ_and_not_when_figures_move() {
    let (_folder, store) = fresh().await;
    assert_eq!(store.newest_ruling(SESSION).await.unwrap(), None);
    let keep = async |minutes, change: fn(&mut fairspell_studio::Ruling)| {
        let sky = outlook(SESSION, minutes_later(minutes), 40.0);
        let mut ruling = ruled(&sky);
        change(&mut ruling);
        store.keep_ruling(&sky, &ruling).await.unwrap()
    };
    assert!(keep(0, |_| ()).await);
    assert!(!keep(1, |_| ()).await);
    assert!(!keep(2, |ruling| ruling.unchecked = vec![Check::Gusts]).await);
    let figure_moved = outlook(SESSION, minutes_later(3), 41.0);
    assert!(!store.keep_ruling(&figure_moved, &ruled(&figure_moved)).await.unwrap());
    assert!(keep(4, |ruling| ruling.band = Band::AdviseMoving).await);
    assert!(keep(5, |ruling| ruling.step = Some(Step::Go)).await);
    assert!(keep(6, |ruling| ruling.step = Some(Step::WaitUntil(minutes_later(60)))).await);
    assert!(keep(7, |ruling| ruling.step = Some(Step::WaitUntil(minutes_later(75)))).await);
    assert!(keep(8, |ruling| ruling.rule = Rule::BeyondForecast).await);
    assert_eq!(store.rulings_of(SESSION).await.unwrap().len(), 6);
}

#[tokio::test]
async fn rulings_come_back_with_their_sky_in_the_order_of_time() {
    let (_folder, store) = fresh().await;
    let skies = [
        outlook(SESSION, minutes_later(0), 10.0),
        outlook(SESSION, minutes_later(30), 60.0),
        outlook("b", minutes_later(60), 10.0),
    ];
    for sky in &skies {
        assert!(store.keep_ruling(sky, &ruled(sky)).await.unwrap());
    }
    let kept = store.rulings_of(SESSION).await.unwrap();
    assert_eq!(kept.len(), 2);
    for (kept, sky) in kept.iter().zip(&skies) {
        assert_eq!((&kept.outlook, &kept.ruling), (sky, &ruled(sky)));
    }
    assert_eq!(store.newest_ruling(SESSION).await.unwrap().unwrap().outlook, skies[1]);
}

/// Somebody sets the clock back and walks through the same evening again.
#[tokio::test]
async fn the_same_evening_replayed_keeps_nothing_twice() {
    let (_folder, store) = fresh().await;
    let evening = [(0, 10.0), (30, 60.0), (60, 10.0)];
    for _ in 0..2 {
        for (minutes, percent) in evening {
            let sky = outlook(SESSION, minutes_later(minutes), percent);
            store.keep_ruling(&sky, &ruled(&sky)).await.unwrap();
        }
    }
    assert_eq!(store.rulings_of(SESSION).await.unwrap().len(), 3);
}
