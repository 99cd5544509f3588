//! What is read of the maps where the air of a window's steps is now.

/// The air that arrives at one step.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Arrival {
    /// Wet share around, at three widths.
    pub(crate) share: [f64; 3],
    /// The same stretched: the largest is wanted in hundreds of windows.
    pub(crate) stretched_share: [f64; 3],
    /// Scaled level around, at the two narrower widths.
    pub(crate) level: [f64; 2],
    /// Distance to the edge of the rain, km.
    pub(crate) edge_km: f64,
}

/// The air of several steps on end, put together one by one: so the windows that begin at one step
/// cost a step each.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Upstream {
    steps: f64,
    share_max: [f64; 3],
    level_max: [f64; 2],
    share_sum: [f64; 3],
    level_sum: [f64; 2],
    edge_sum_km: f64,
}

impl Upstream {
    /// Of no step.
    pub(crate) const NONE: Upstream = Upstream {
        steps: 0.0,
        share_max: [f64::NEG_INFINITY; 3],
        level_max: [f64::NEG_INFINITY; 2],
        share_sum: [0.0; 3],
        level_sum: [0.0; 2],
        edge_sum_km: 0.0,
    };

    /// One step more.
    pub(crate) fn add(&mut self, arrival: &Arrival) {
        self.steps += 1.0;
        for width in 0..3 {
            self.share_max[width] = self.share_max[width].max(arrival.stretched_share[width]);
            self.share_sum[width] += arrival.share[width];
        }
        for width in 0..2 {
            self.level_max[width] = self.level_max[width].max(arrival.level[width]);
            self.level_sum[width] += arrival.level[width];
        }
        self.edge_sum_km += arrival.edge_km;
    }

    /// Largest wet share, stretched, at three widths.
    pub(crate) fn share_max(&self) -> [f64; 3] {
        self.share_max
    }

    /// Largest scaled level, at two widths.
    pub(crate) fn level_max(&self) -> [f64; 2] {
        self.level_max
    }

    /// Mean wet share, at three widths.
    pub(crate) fn share_mean(&self) -> [f64; 3] {
        self.share_sum.map(|sum| sum / self.steps)
    }

    /// Mean scaled level, at two widths.
    pub(crate) fn level_mean(&self) -> [f64; 2] {
        self.level_sum.map(|sum| sum / self.steps)
    }

    /// Mean distance to the edge of the rain, km.
    pub(crate) fn edge_mean_km(&self) -> f64 {
        self.edge_sum_km / self.steps
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::float_cmp, reason = "the quick way adds up in the same order")]

    use super::*;

    #[test]
    fn steps_put_together_have_the_largest_and_the_mean_of_all() {
        let arrival = |step: u32| {
            let value = |seed: f64| (f64::from(step) * seed).sin();
            let share = [0.3, 1.7, 2.9].map(value);
            Arrival {
                share,
                stretched_share: share.map(crate::logistic::stretched),
                level: [0.7, 1.1].map(value),
                edge_km: 20.0 * value(0.9),
            }
        };
        let arrivals: Vec<Arrival> = (0..30).map(arrival).collect();
        let mut upstream = Upstream::NONE;
        for arrival in &arrivals {
            upstream.add(arrival);
        }
        let all = |of: &dyn Fn(&Arrival) -> f64| -> Vec<f64> { arrivals.iter().map(of).collect() };
        let max = |values: Vec<f64>| values.into_iter().fold(f64::NEG_INFINITY, f64::max);
        let mean = |values: Vec<f64>| values.iter().sum::<f64>() / 30.0;
        for width in 0..3 {
            let stretched = max(all(&|arrival| arrival.stretched_share[width]));
            assert_eq!(upstream.share_max()[width], stretched);
            assert_eq!(upstream.share_mean()[width], mean(all(&|arrival| arrival.share[width])));
        }
        for width in 0..2 {
            assert_eq!(upstream.level_max()[width], max(all(&|arrival| arrival.level[width])));
            assert_eq!(upstream.level_mean()[width], mean(all(&|arrival| arrival.level[width])));
        }
        assert_eq!(upstream.edge_mean_km(), mean(all(&|arrival| arrival.edge_km)));
    }
}
