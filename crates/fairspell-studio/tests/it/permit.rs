use fairspell_studio::{
    Session, Studio,
    permit::{Permit, PermitStanding, PermitState, PermitTerms},
};
use jiff::civil::date;

use crate::world::{session, studio};

fn world(moves_free: bool) -> (Studio, Session, String) {
    let (mut studio, mut session) = (studio(), session());
    let spot = session.looks[0].spot.clone();
    let here = studio.spots.iter_mut().find(|it| it.id == spot).unwrap();
    here.site.permit = Some(PermitTerms { ask_days: 5, fee: 80.0, moves_free });
    session.dates.permits = vec![Permit {
        spot: spot.clone(),
        date: session.start.date(),
        state: PermitState::Granted,
    }];
    (studio, session, spot)
}

#[test]
fn a_move_voids_a_dated_permit_and_has_it_asked_and_paid_again() {
    let (studio, session, spot) = world(false);
    let booked = session.start.date();
    let today = booked.saturating_sub(jiff::Span::new().days(7));
    assert_eq!(
        studio.permits_on(&session, booked, today),
        [(spot.clone(), PermitStanding::Granted)]
    );
    let later = booked.saturating_add(jiff::Span::new().days(3));
    let by = later.saturating_sub(jiff::Span::new().days(5));
    let again = PermitStanding::ToAsk { by, fee: 80.0, voids: true };
    assert_eq!(studio.permits_on(&session, later, today), [(spot, again)]);
}

#[test]
fn a_permit_that_moves_free_costs_nothing_again_and_is_still_asked_in_time() {
    let (studio, session, spot) = world(true);
    let later = session.start.date().saturating_add(jiff::Span::new().days(3));
    let by = later.saturating_sub(jiff::Span::new().days(5));
    let free = PermitStanding::ToAsk { by, fee: 0.0, voids: false };
    assert_eq!(studio.permits_on(&session, later, by), [(spot.clone(), free)]);
    let day_after = by.saturating_add(jiff::Span::new().days(1));
    assert_eq!(
        studio.permits_on(&session, later, day_after),
        [(spot, PermitStanding::TooLate { by })]
    );
}

#[test]
fn a_spot_whose_owner_asks_nothing_needs_no_permit() {
    let day = date(2026, 9, 3);
    assert_eq!(studio().permits_on(&session(), day, day), []);
}
