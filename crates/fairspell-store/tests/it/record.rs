//! What every reading said.

use crate::world::{SESSION, forecast_figure, fresh, minutes_later, radar_figure};

#[tokio::test]
async fn radar_figures_of_a_spot_come_in_order_and_each_is_kept_once() {
    let (_folder, store) = fresh().await;
    let pictures: Vec<_> =
        (0..6).map(|index| radar_figure("arcade", minutes_later(5 * index))).collect();
    store.keep_radar_figures(&pictures[3..]).await.unwrap();
    store.keep_radar_figures(&pictures).await.unwrap();
    let mut again = pictures[0].clone();
    again.rain_rate_mm_h = Some(99.0);
    store.keep_radar_figures(&[again, radar_figure("dune", minutes_later(0))]).await.unwrap();
    let all = store.radar_figures("arcade", minutes_later(0), minutes_later(25)).await.unwrap();
    assert_eq!(all, pictures);
    let some = store.radar_figures("arcade", minutes_later(5), minutes_later(10)).await.unwrap();
    assert_eq!(some, pictures[1..3]);
    let mut other_source = pictures[0].clone();
    other_source.source = "another radar".to_owned();
    store.keep_radar_figures(&[other_source]).await.unwrap();
    let both = store.radar_figures("arcade", minutes_later(0), minutes_later(0)).await.unwrap();
    assert_eq!(both.len(), 2);
    store.keep_radar_figures(&[]).await.unwrap();
}

#[tokio::test]
async fn forecast_figures_of_a_session_come_in_order_and_each_is_kept_once() {
    let (_folder, store) = fresh().await;
    let runs: Vec<_> =
        (0..4).map(|index| forecast_figure(SESSION, minutes_later(360 * index))).collect();
    store.keep_forecast_figures(&runs[2..]).await.unwrap();
    store.keep_forecast_figures(&runs).await.unwrap();
    let mut again = runs[0].clone();
    again.thunder = None;
    store.keep_forecast_figures(&[again, forecast_figure("b", minutes_later(0))]).await.unwrap();
    assert_eq!(store.forecast_figures(SESSION).await.unwrap(), runs);
    assert_eq!(store.forecast_figures("c").await.unwrap(), Vec::new());
}
