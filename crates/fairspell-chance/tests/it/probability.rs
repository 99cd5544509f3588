use fairspell_chance::{Chance, Probability};
use proptest::prelude::*;

use crate::{certain, p};

#[test]
fn only_0_to_1_is_a_probability() {
    for value in [-0.01, 1.01, f64::NAN, f64::INFINITY] {
        assert_eq!(Probability::new(value), None, "{value}");
    }
    assert_eq!(Probability::new(-0.0).map(|p| p.get().is_sign_positive()), Some(true));
    assert_eq!(Probability::from_percent(100.0), Some(Probability::ONE));
}

#[test]
fn what_is_read_back_is_checked() {
    let chance = Chance::new(p(0.2), p(0.3), p(0.5)).unwrap();
    let text = serde_json::to_string(&chance).unwrap();
    assert_eq!(text, r#"{"low":0.2,"centre":0.3,"high":0.5}"#);
    assert_eq!(serde_json::from_str::<Chance>(&text).unwrap(), chance);

    let error = serde_json::from_str::<Probability>("1.3").unwrap_err().to_string();
    assert!(error.contains("expected a probability from 0 to 1, found `1.3`"), "{error}");
    let swapped = r#"{"low":0.5,"centre":0.3,"high":0.2}"#;
    assert!(serde_json::from_str::<Chance>(swapped).is_err());
}

#[test]
fn a_range_out_of_order_is_no_chance() {
    assert_eq!(Chance::new(p(0.4), p(0.3), p(0.5)), None);
    assert_eq!(Chance::new(p(0.2), p(0.6), p(0.5)), None);
}

proptest! {
    #[test]
    fn a_blend_lies_between_its_sources_and_keeps_its_order(
        a in prop::array::uniform3(0.0..=1.0_f64),
        b in prop::array::uniform3(0.0..=1.0_f64),
        weight in 0.0..=1.0_f64,
    ) {
        let chance = |mut ends: [f64; 3]| {
            ends.sort_by(f64::total_cmp);
            Chance::new(p(ends[0]), p(ends[1]), p(ends[2])).unwrap()
        };
        let (a, b) = (chance(a), chance(b));
        let blend = a.blend(&b, weight);
        prop_assert!(blend.low <= blend.centre && blend.centre <= blend.high);
        prop_assert_eq!(a.blend(&b, 1.0), a);
        prop_assert_eq!(a.blend(&b, 0.0), b);
        let between = |x: f64, a: f64, b: f64| a.min(b) - 1e-12 <= x && x <= a.max(b) + 1e-12;
        prop_assert!(between(blend.centre.get(), a.centre.get(), b.centre.get()));
        prop_assert_eq!(certain(weight).complement().complement().centre.get(), 1.0 - (1.0 - weight));
    }
}
