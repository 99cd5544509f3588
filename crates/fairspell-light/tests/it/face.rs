use fairspell_light::{Daylight, Dome, EYES_LIT_FROM};

use crate::scene::{black_ground, sky, sun};

/// A uniform sky over black ground, in closed form: the crown has twice the front's light; of that
/// what comes from below forty degrees is (2x + sin 2x)/pi; and the sky is twice as bright as a
/// white sheet in the face's place.
#[test]
fn a_face_under_an_even_sky_is_what_the_integrals_say() {
    let dome = Dome::new(black_ground());
    let face = dome.lit(&sun(20.0, 10.0), &sky(5, 1000.0)).face(0.0);
    let brow = 40.0_f64.to_radians();
    let under_brow = (2.0 * brow + (2.0 * brow).sin()) / std::f64::consts::PI;
    assert!((face.front.total_lx() - 500.0).abs() < 0.01);
    assert!((face.top_over_front() - 2.0).abs() < 1e-4);
    assert!((face.eye_share() - under_brow).abs() < 1e-4, "{}", face.eye_share());
    assert!((face.catchlight - 2.0).abs() < 1e-4, "{}", face.catchlight);
    // The cheeks' planes pass between looks: a thousandth.
    assert!((face.ratio() - 1.0).abs() < 1e-3 && face.ratio_stops() < 2e-3);
    assert!(face.eyes_lit() && under_brow > EYES_LIT_FROM);
}

/// A sun without a sky: cheeks turned by 45 degrees have it by the cosines.
#[test]
fn the_bare_sun_lights_the_cheeks_by_their_cosines() {
    let dome = Dome::new(black_ground());
    let bare = Daylight {
        direct_normal_lx: 10_000.0,
        direct_horizontal_lx: 10_000.0 * 10.0_f64.to_radians().sin(),
        ..sky(5, 0.0)
    };
    let lit = dome.lit(&sun(10.0, 300.0), &bare);
    for (turn_deg, ratio) in [(0.0, 1.0), (15.0, 1.732), (30.0, 3.732), (-30.0, 3.732)] {
        let face = lit.face(300.0 + turn_deg);
        // Three decimals.
        assert!((face.ratio() - ratio).abs() < 1e-3, "{turn_deg}°: {}", face.ratio());
    }
    // With the sun to its left the left cheek is the bright one.
    let face = lit.face(330.0);
    assert!(face.left_cheek.direct_lx > face.right_cheek.direct_lx);
    // A sun behind lights the crown, which is no light from above on a face.
    let behind = dome.lit(&sun(10.0, 300.0), &Daylight { sky_horizontal_lx: 100.0, ..bare });
    let face = behind.face(120.0);
    assert!(face.front.direct_lx == 0.0 && face.top.direct_lx > 1000.0);
    assert!((face.top_over_front() - 2.0).abs() < 1e-2, "{}", face.top_over_front());
}
