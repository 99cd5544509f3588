//! What every reading said, kept for good.

use fairspell_studio::{ForecastFigure, RadarFigure};
use jiff::Timestamp;

use crate::{
    Store, StoreError,
    values::{from_json, millis, to_json},
};

impl Store {
    /// Keeps what radar pictures said of spots; one that is there already stays as it is.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn keep_radar_figures(&self, figures: &[RadarFigure]) -> Result<(), StoreError> {
        let mut writing = self.begin().await?;
        for figure in figures {
            sqlx::query(
                "INSERT INTO radar_figure (spot, valid_time, source, body) \
                 VALUES ($1, $2, $3, $4) ON CONFLICT DO NOTHING",
            )
            .bind(&figure.spot)
            .bind(millis(figure.valid_time))
            .bind(&figure.source)
            .bind(to_json(figure)?)
            .execute(&mut *writing)
            .await?;
        }
        Ok(writing.commit().await?)
    }

    /// What radar pictures said of a spot between two moments, both included, in their order.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn radar_figures(
        &self,
        spot: &str,
        from: Timestamp,
        to: Timestamp,
    ) -> Result<Vec<RadarFigure>, StoreError> {
        let bodies: Vec<String> = sqlx::query_scalar(
            "SELECT body FROM radar_figure \
             WHERE spot = $1 AND valid_time >= $2 AND valid_time <= $3 ORDER BY valid_time, source",
        )
        .bind(spot)
        .bind(millis(from))
        .bind(millis(to))
        .fetch_all(self.pool())
        .await?;
        bodies.iter().map(|body| from_json("a radar figure", body)).collect()
    }

    /// Keeps what forecasts said of sessions; one that is there already stays as it is.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn keep_forecast_figures(
        &self,
        figures: &[ForecastFigure],
    ) -> Result<(), StoreError> {
        let mut writing = self.begin().await?;
        for figure in figures {
            sqlx::query(
                "INSERT INTO forecast_figure (session, issued, source, body) \
                 VALUES ($1, $2, $3, $4) ON CONFLICT DO NOTHING",
            )
            .bind(&figure.session)
            .bind(millis(figure.issued))
            .bind(&figure.source)
            .bind(to_json(figure)?)
            .execute(&mut *writing)
            .await?;
        }
        Ok(writing.commit().await?)
    }

    /// What forecasts said of a session, in the order of their issue.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn forecast_figures(&self, session: &str) -> Result<Vec<ForecastFigure>, StoreError> {
        let bodies: Vec<String> = sqlx::query_scalar(
            "SELECT body FROM forecast_figure WHERE session = $1 ORDER BY issued, source",
        )
        .bind(session)
        .fetch_all(self.pool())
        .await?;
        bodies.iter().map(|body| from_json("a forecast figure", body)).collect()
    }
}
